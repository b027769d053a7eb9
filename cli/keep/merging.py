"""One wheel's file taken into another, of the same wheel."""

from dataclasses import dataclass

from ...calc.parts import Part, Parts
from .changes import Change, Entry, Put, SetDrive, SetPart, standing
from .entries import KeptReading
from .kept import KeptWheel
from .parts_text import KINDS


@dataclass(frozen=True, slots=True)
class Merged:
    """A wheel into which another file was taken.

    Attributes
    ----------
    wheel : KeptWheel
        Without a new step where there was nothing new.
    added : tuple of str
        Ids that the new readings and sessions got.
    there_already : tuple of str
        Ids in the other file of what was here already.
    parts_kept : tuple of str
        Names of parts that are otherwise here; they stayed as they are.
    """

    wheel: KeptWheel
    added: tuple[str, ...]
    there_already: tuple[str, ...]
    parts_kept: tuple[str, ...]


def merged(wheel: KeptWheel, other: KeptWheel, when: str) -> Merged:
    """Take all that counts in another file into this one, as one step that can be taken back."""
    here, there = standing(wheel.steps), standing(other.steps)
    new = [entry for entry in there.entries if not any(_same(entry, known) for known in here.entries)]
    grown, puts = wheel, []
    for entry in new:
        grown, added, _ = grown.with_reading(entry)
        puts.append(Put(added))
    parts, kept = _parts_to_set(here.parts, there.parts)
    changes: tuple[Change, ...] = (*puts, *parts)
    return Merged(
        wheel.with_step(when, *changes) if changes else wheel,
        tuple(put.entry.id for put in puts),
        tuple(entry.id for entry in there.entries if entry not in new),
        kept,
    )


def _same(one: Entry, other: Entry) -> bool:
    """Whether both come from one file by one command, or are the same figures noted by hand."""
    if one.source != other.source:
        return False
    if one.source is not None or not isinstance(one, KeptReading) or not isinstance(other, KeptReading):
        return True
    return (one.taken, one.how, one.reading.values) == (other.taken, other.how, other.reading.values)


def _parts_to_set(here: Parts, there: Parts) -> tuple[list[Change], tuple[str, ...]]:
    """Parts that are new here, and the names of those that are here but otherwise."""
    known: list[Part] = [part for kind in KINDS.values() for part in here.of_kind(kind)]
    names = {(type(part), part.name) for part in known}
    told: list[Part] = [part for kind in KINDS.values() for part in there.of_kind(kind)]
    changes: list[Change] = [SetPart(part) for part in told if (type(part), part.name) not in names]
    if here.drive is None and there.drive is not None:
        changes.insert(0, SetDrive(there.drive))
    unlike = [part.name for part in told if (type(part), part.name) in names and part not in known]
    return changes, tuple(unlike)
