"""The option ``--add-to``: what a command measured goes into a wheel's file."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

from ...calc.wheel import reading_of
from ..trouble import WrongUsageError
from .changes import Entry, standing
from .entries import HAND, KeptReading, KeptSession
from .facts import sha256_of, taken
from .kept import KeptWheel
from .numbers import Numbers
from .store import change_wheel, check_wheel_file, read_wheel

#: Parameters of a command that say nothing of how it measures.
NOT_KEPT: Final = frozenset({"file", "wheel", "add_to", "instead_of", "files", "as_json", "proof", "force"})


@dataclass(frozen=True, slots=True)
class WheelToAddTo:
    """A wheel's file to which a reading can be added. Made by :func:`wheel_to_add_to`, which checks it.

    ``instead_of`` is the id of a reading that shall count no more once the new one is there.
    """

    path: Path
    instead_of: str | None = None

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
        return self._put(
            KeptReading(kind, source.name, sha256_of(source), when, told_by, how_measured(typed), reading)
        )

    def add_by_hand(self, numbers: Numbers, typed: Mapping[str, object]) -> str:
        """Add figures that were taken by hand today, and tell so in a sentence.

        Raises
        ------
        UnreadableFileError, WrongUsageError
            If the file can no longer be read or written; it stays as it is.
        """
        reading = reading_of("new", numbers)
        return self._put(
            KeptReading(HAND, "", "", now(), "the day it was noted", how_measured(typed), reading)
        )

    def add_session(self, source: Path, told: Mapping[str, Any], typed: Mapping[str, object]) -> str:
        """Add what a command found of the treadling in a clip or sound, and tell so in a sentence.

        Parameters
        ----------
        source : Path
            The clip or sound, which is only read.
        told : mapping of str to Any
            As it is printed in JSON.
        typed : mapping of str to object
            The command's parameters.

        Raises
        ------
        UnreadableFileError, WrongUsageError
            If the file can no longer be read or written; it stays as it is.
        """
        when, told_by = taken(source)
        return self._put(
            KeptSession("new", source.name, sha256_of(source), when, told_by, how_measured(typed), told)
        )

    def _put(self, new: Entry) -> str:
        outcome: list[tuple[Entry, bool]] = []

        def change(wheel: KeptWheel) -> KeptWheel:
            changed, added, replaced = wheel.with_reading(new, now(), self.instead_of)
            outcome.append((added, replaced))
            return changed

        change_wheel(self.path, change)
        added, replaced = outcome[-1]
        if replaced:
            return (
                f"{new.file} was in {self.path} already; its new reading took the place of the old one, "
                f"{added.id}."
            )
        instead = f" in place of {self.instead_of}" if self.instead_of else ""
        return (
            f"Added to {self.path} as {added.id}{instead}; 'whirlwise wheel {self.path}' tells what all say."
        )


def now() -> str:
    """Date and time of a step (ISO 8601, in UTC)."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def how_measured(typed: Mapping[str, object]) -> dict[str, str | bool | list[str]]:
    """Give the options that were typed and bear on the measurement, under their names."""
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


def wheel_to_add_to(path: Path | None, instead_of: str | None = None) -> WheelToAddTo | None:
    """Check a wheel's file before anything is measured.

    Raises
    ------
    UnreadableFileError, WrongUsageError
        If a reading could not be added to it, or the one whose place it shall take is not there.
    """
    if path is None:
        if instead_of is not None:
            raise WrongUsageError("--instead-of expects --add-to FILE beside it: which wheel is meant?")
        return None
    check_wheel_file(path)
    if instead_of is not None:
        check_id(read_wheel(path), instead_of, "--instead-of")
    return WheelToAddTo(path, instead_of)


def check_id(wheel: KeptWheel, name: str, where: str) -> None:
    """Check that a reading or session of this id counts.

    Raises
    ------
    WrongUsageError
        If there is none.
    """
    ids = [each.id for each in standing(wheel.steps).entries]
    if name not in ids:
        raise WrongUsageError(
            f"{where} got '{name}' but expects the id of a reading in the file: "
            f"{', '.join(ids) or 'there is none'}."
        )
