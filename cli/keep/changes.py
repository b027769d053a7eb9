"""Steps by which a wheel's file came to be, and what stands after them.

A step can be taken back, and so can the step that took it back. Every change says what shall stand, not how
it differs from what stood, so those that remain fit together whichever are left out.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

from ...calc.parts import Drive, Part, Parts
from .entries import KeptReading, KeptSession

Entry: TypeAlias = KeptReading | KeptSession


@dataclass(frozen=True, slots=True)
class Put:
    """A reading or session stands under its id, in the place of one that had it."""

    entry: Entry


@dataclass(frozen=True, slots=True)
class Withdraw:
    """The reading or session of this id counts no more."""

    id: str


@dataclass(frozen=True, slots=True)
class SetDrive:
    """The wheel is driven so; None: nobody knows."""

    drive: Drive | None


@dataclass(frozen=True, slots=True)
class SetPart:
    """A part stands under its name, in the place of one of its kind that had it."""

    part: Part


@dataclass(frozen=True, slots=True)
class DropPart:
    """The part of this kind and name is no part of the wheel."""

    kind: type[Part]
    name: str


@dataclass(frozen=True, slots=True)
class TakeBack:
    """An earlier step, by its number, is as if it had not been."""

    step: int


Change: TypeAlias = Put | Withdraw | SetDrive | SetPart | DropPart | TakeBack


@dataclass(frozen=True, slots=True)
class Step:
    """What one command did to the file.

    Attributes
    ----------
    when : str
        ISO 8601, in UTC; empty where it is not known.
    changes : tuple of Change
    """

    when: str
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """What counts after all steps: entries, each with the number of the step that put it there, and parts."""

    placed: tuple[tuple[int, Entry], ...] = ()
    parts: Parts = field(default_factory=Parts)

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Readings and sessions, in the order in which their ids came."""
        return tuple(entry for _, entry in self.placed)


def standing(steps: Sequence[Step]) -> Standing:
    """Do again every step that was not taken back, from the first to the last."""
    gone = taken_back(steps)
    found = Standing()
    for number, step in enumerate(steps, 1):
        for change in step.changes if number not in gone else ():
            found = _after(found, number, change)
    return found


def taken_back(steps: Sequence[Step]) -> frozenset[int]:
    """Numbers (from 1) of the steps that are as if they had not been.

    A step can only take back an earlier one, so whether the last counts is known, then the last but one ...
    """
    gone: set[int] = set()
    for number in range(len(steps), 0, -1):
        if number not in gone:
            gone |= {each.step for each in steps[number - 1].changes if isinstance(each, TakeBack)}
    return frozenset(gone)


def _after(before: Standing, number: int, change: Change) -> Standing:
    match change:
        case Put(entry):
            return replace(before, placed=_with(before.placed, (number, entry)))
        case Withdraw(name):
            return replace(before, placed=tuple(each for each in before.placed if each[1].id != name))
        case SetDrive(drive):
            return replace(before, parts=replace(before.parts, drive=drive))
        case SetPart(part):
            return replace(before, parts=before.parts.with_part(part))
        case DropPart(kind, name):
            return replace(before, parts=before.parts.without_part(kind, name))
        case TakeBack():
            return before


def _with(placed: tuple[tuple[int, Entry], ...], new: tuple[int, Entry]) -> tuple[tuple[int, Entry], ...]:
    ids = [entry.id for _, entry in placed]
    if new[1].id not in ids:
        return (*placed, new)
    place = ids.index(new[1].id)
    return (*placed[:place], new, *placed[place + 1 :])
