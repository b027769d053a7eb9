"""The steps by which a wheel's file came to be, in plain words."""

from ..keep.changes import Change, DropPart, Put, SetDrive, SetPart, TakeBack, Withdraw, taken_back
from ..keep.entries import KeptReading
from ..keep.kept import KeptWheel
from ..keep.parts_text import WORD_OF

NO_DATE = "before dates were kept"


def history_text(wheel: KeptWheel) -> str:
    """List all steps with number and date; those that were taken back say so."""
    gone = taken_back(wheel.steps)
    lines = [
        f"{number:>4}  {(step.when or NO_DATE)[:16].replace('T', ' '):<16}  {step_words(wheel, number)}"
        + ("  (taken back)" if number in gone else "")
        for number, step in enumerate(wheel.steps, 1)
    ]
    return "\n".join(lines or ["Nothing has been put into this file yet."])


def step_words(wheel: KeptWheel, number: int) -> str:
    """Say what a step did."""
    return ", ".join(_did(wheel, change) for change in wheel.steps[number - 1].changes)


def _did(wheel: KeptWheel, change: Change) -> str:
    match change:
        case Put(entry):
            what = entry.title if isinstance(entry, KeptReading) else entry.file
            return f"added {entry.id} ({what})"
        case Withdraw(name):
            return f"withdrew {name}"
        case SetDrive(drive):
            return f"noted the drive: {drive or 'unknown'}"
        case SetPart(part):
            return f"noted the {WORD_OF[type(part)]} {part.name}"
        case DropPart(kind, name):
            return f"removed the {WORD_OF[kind]} {name}"
        case TakeBack(step):
            return f"took back step {step}: {step_words(wheel, step)}"
