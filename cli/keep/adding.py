"""The option ``--add-to``: what a command measured goes into a wheel's file."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from ...calc.wheel import reading_of
from .facts import sha256_of, taken
from .kept import KeptReading, KeptWheel
from .numbers import Numbers
from .store import change_wheel, check_wheel_file

#: Parameters of a command that say nothing of how it measures.
NOT_KEPT: Final = frozenset({"file", "wheel", "add_to", "as_json", "proof", "force"})


@dataclass(frozen=True, slots=True)
class WheelToAddTo:
    """A wheel's file to which a reading can be added. Made by :func:`wheel_to_add_to`, which checks it."""

    path: Path

    def add(self, kind: str, source: Path, numbers: Numbers, typed: Mapping[str, object]) -> str:
        """Add the numbers that a command measured in a picture or clip, and tell so in a sentence.

        Parameters
        ----------
        kind : str
            The command.
        source : Path
            The picture or clip, which is only read.
        numbers : mapping of Dimension to UFloat
        typed : mapping of str to object
            The command's parameters, as Typer's context holds them.

        Raises
        ------
        UnreadableFileError, WrongUsageError
            If the file can no longer be read or written; it stays as it is.
        """
        reading = reading_of("new", numbers)
        if not reading.values:
            return f"Nothing was added to {self.path}, because nothing trustworthy was measured."
        when, told_by = taken(source)
        new = KeptReading(kind, source.name, sha256_of(source), when, told_by, _how(typed), reading)
        outcome: list[tuple[KeptReading, bool]] = []

        def change(wheel: KeptWheel) -> KeptWheel:
            changed, added, replaced = wheel.with_reading(new)
            outcome.append((added, replaced))
            return changed

        change_wheel(self.path, change)
        added, replaced = outcome[-1]
        if replaced:
            return (
                f"{source.name} was in {self.path} already; its new reading took the place of the old one, "
                f"{added.id}."
            )
        return f"Added to {self.path} as {added.id}; 'whirlwise wheel {self.path}' tells what all say."


def _how(typed: Mapping[str, object]) -> dict[str, str | bool | list[str]]:
    """Options that were typed and bear on the measurement, under their names."""
    how: dict[str, str | bool | list[str]] = {}
    for name, value in typed.items():
        if name in NOT_KEPT or value in (None, False, [], ()):
            continue
        option = "--" + name.replace("_", "-")
        if isinstance(value, list | tuple):
            how[option] = [str(each) for each in value]
        else:
            how[option] = value if isinstance(value, bool) else str(value)
    return how


def wheel_to_add_to(path: Path | None) -> WheelToAddTo | None:
    """Check a wheel's file before anything is measured.

    Raises
    ------
    UnreadableFileError, WrongUsageError
        If a reading could not be added to it.
    """
    if path is None:
        return None
    check_wheel_file(path)
    return WheelToAddTo(path)
