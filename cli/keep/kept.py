"""What a wheel's file holds, as it stands in memory.

Nothing that was ever put into it is taken out: the file is the list of all steps, and what counts now comes
of doing again every step that was not taken back.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from ...calc.parts import Parts
from .changes import Change, Entry, Put, Step, TakeBack, Withdraw, standing, taken_back
from .entries import KeptReading, KeptSession

#: The whirl that carries the band, where nobody gave it a name.
UNNAMED_WHIRL: Final = "whirl"


@dataclass(frozen=True, slots=True)
class KeptWheel:
    """All that is kept of one wheel, in the order in which it came."""

    steps: tuple[Step, ...] = ()

    @classmethod
    def of(cls, entries: Iterable[Entry]) -> "KeptWheel":
        """Make a wheel of readings and sessions whose ids are known, each a step."""
        return cls(tuple(Step("", (Put(entry),)) for entry in entries))

    @property
    def readings(self) -> tuple[KeptReading, ...]:
        """Readings that count."""
        return tuple(each for each in standing(self.steps).entries if isinstance(each, KeptReading))

    @property
    def sessions(self) -> tuple[KeptSession, ...]:
        """Sessions that count."""
        return tuple(each for each in standing(self.steps).entries if isinstance(each, KeptSession))

    @property
    def parts(self) -> Parts:
        """What the wheel is made of."""
        return standing(self.steps).parts

    def with_step(self, when: str, *changes: Change) -> "KeptWheel":
        """Add a step."""
        return KeptWheel((*self.steps, Step(when, changes)))

    def with_reading(
        self, new: Entry, when: str = "", instead_of: str | None = None
    ) -> tuple["KeptWheel", Entry, bool]:
        """Add a reading or session, or put it in the place of one of the same file by the same command.

        Parameters
        ----------
        new : KeptReading or KeptSession
        when : str
            Date and time of the step.
        instead_of : str, optional
            Id of one that shall count no more.

        Returns
        -------
        wheel : KeptWheel
        added : KeptReading or KeptSession
            The reading under the id that it got.
        replaced : bool
            Whether there was an earlier one.
        """
        old = next((each for each in standing(self.steps).entries if _same_file(each, new)), None)
        added = new.named(old.id if old else self._next_id(new.kind))
        out = (Withdraw(instead_of),) if instead_of not in (None, added.id) else ()
        return self.with_step(when, *out, Put(added)), added, old is not None

    def last_to_undo(self) -> int | None:
        """Number of the last step that counts and took nothing back itself; None where there is none."""
        gone = taken_back(self.steps)
        return max((n for n, targets in self._targets() if not targets and n not in gone), default=None)

    def last_undone(self) -> int | None:
        """Number of the last step that counts and took a change back; None where there is none.

        Those that took back such a step brought a change back, and are passed over.
        """
        gone = taken_back(self.steps)
        plain = {number for number, targets in self._targets() if not targets}
        return max((n for n, targets in self._targets() if targets & plain and n not in gone), default=None)

    def _targets(self) -> list[tuple[int, set[int]]]:
        """Number of each step, and which steps it takes back."""
        return [
            (number, {each.step for each in step.changes if isinstance(each, TakeBack)})
            for number, step in enumerate(self.steps, 1)
        ]

    def _next_id(self, kind: str) -> str:
        """An id that nothing in the file ever had, so that no step can be misread."""
        ever = [each.entry.id for step in self.steps for each in step.changes if isinstance(each, Put)]
        numbers = [
            int(number)
            for each in ever
            if each.startswith(f"{kind}-") and (number := each.removeprefix(f"{kind}-")).isdecimal()
        ]
        return f"{kind}-{max(numbers, default=0) + 1}"


def _same_file(one: Entry, other: Entry) -> bool:
    return one.source is not None and one.source == other.source
