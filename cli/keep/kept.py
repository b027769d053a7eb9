"""What a wheel's file holds, as it stands in memory."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from ...calc.wheel import Reading

#: The whirl that carries the band, where nobody gave it a name.
UNNAMED_WHIRL: Final = "whirl"


@dataclass(frozen=True, slots=True)
class KeptReading:
    """One reading as it is kept.

    Attributes
    ----------
    kind : str
        The command that measured it: ``"photo"``, ``"clip"``, ``"profile"``.
    file : str
        Name of the picture or clip, without its folder.
    sha256 : str
        Checksum of that file, in hexadecimal digits (FIPS 180-4); by it the same picture is known again.
    taken, taken_from : str
        When it was taken (ISO 8601) and what tells so.
    how : mapping of str to Any
        The options with which it was measured.
    reading : Reading
        Values with their covariance; its name is the reading's id.
    """

    kind: str
    file: str
    sha256: str
    taken: str
    taken_from: str
    how: Mapping[str, Any]
    reading: Reading

    @property
    def id(self) -> str:
        """The name by which the reading is called, such as ``photo-1``."""
        return self.reading.name


@dataclass(frozen=True, slots=True)
class KeptWheel:
    """All readings of one wheel, in the order in which they were added."""

    readings: tuple[KeptReading, ...] = ()

    def with_reading(self, new: KeptReading) -> tuple["KeptWheel", KeptReading, bool]:
        """Add a reading, or put it in the place of an earlier one of the same file by the same command.

        Returns
        -------
        wheel : KeptWheel
        added : KeptReading
            The reading under the id that it got.
        replaced : bool
            Whether there was an earlier one.
        """
        for place, old in enumerate(self.readings):
            if (old.sha256, old.kind) == (new.sha256, new.kind):
                added = _named(new, old.id)
                return KeptWheel((*self.readings[:place], added, *self.readings[place + 1 :])), added, True
        added = _named(new, self._next_id(new.kind))
        return KeptWheel((*self.readings, added)), added, False

    def _next_id(self, kind: str) -> str:
        numbers = [
            int(number)
            for each in self.readings
            if (number := each.id.removeprefix(f"{kind}-")).isdecimal() and each.id.startswith(f"{kind}-")
        ]
        return f"{kind}-{max(numbers, default=0) + 1}"


def _named(kept: KeptReading, name: str) -> KeptReading:
    return replace(kept, reading=replace(kept.reading, name=name))
