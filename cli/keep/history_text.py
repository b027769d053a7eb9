"""The steps by which a wheel's file came to be, as they stand in it.

A step names the readings that it put there; they stand elsewhere in the file, each with its step's number.
"""

from collections.abc import Mapping
from typing import Any

from .changes import Change, DropPart, Entry, Put, SetDrive, SetPart, Step, TakeBack, Withdraw
from .checks import DamagedError, an_object, of_type
from .parts_text import WORD_OF, drive_of_document, kind_of_word, part_document, part_of_document


def step_document(number: int, step: Step) -> dict[str, Any]:
    """Give a step as JSON."""
    return {"step": number, "when": step.when, "did": [_change_document(each) for each in step.changes]}


def _change_document(change: Change) -> dict[str, Any]:
    match change:
        case Put(entry):
            return {"add": entry.id}
        case Withdraw(name):
            return {"withdraw": name}
        case SetDrive(drive):
            return {"drive": drive}
        case SetPart(part):
            return {"set": WORD_OF[type(part)], **part_document(part)}
        case DropPart(kind, name):
            return {"drop": WORD_OF[kind], "name": name}
        case TakeBack(step):
            return {"take back": step}


def step_of_document(document: Any, number: int, entries: Mapping[tuple[int, str], Entry]) -> Step:
    """Read a step.

    Parameters
    ----------
    document : Any
    number : int
        Its place, counted from 1, which it must tell itself.
    entries : mapping of (int, str) to KeptReading or KeptSession
        What stands in the file, by step and id.

    Raises
    ------
    DamagedError
        If something is missing or cannot be.
    """
    where = f"step {number}"
    entry = an_object(document, where, "step")
    if of_type(entry, "step", int, where) != number:
        raise DamagedError(f"{where} stands in the wrong place")
    changes = [_change(each, number, entries) for each in of_type(entry, "did", list, where)]
    return Step(of_type(entry, "when", str, where), tuple(changes))


def _change(document: Any, number: int, entries: Mapping[tuple[int, str], Entry]) -> Change:
    where = f"step {number}"
    entry = an_object(document, where, "list of changes")
    if "add" in entry:
        return Put(_added(of_type(entry, "add", str, where), number, entries))
    if "withdraw" in entry:
        return Withdraw(of_type(entry, "withdraw", str, where))
    if "drive" in entry:
        return SetDrive(drive_of_document(entry["drive"], where))
    if "set" in entry:
        return SetPart(part_of_document(kind_of_word(str(entry["set"]), where), entry, where))
    if "drop" in entry:
        return DropPart(kind_of_word(str(entry["drop"]), where), of_type(entry, "name", str, where))
    if "take back" in entry:
        return _take_back(of_type(entry, "take back", int, where), number)
    raise DamagedError(f"{where} did something that this version does not know")


def _added(name: str, number: int, entries: Mapping[tuple[int, str], Entry]) -> Entry:
    if (number, name) not in entries:
        raise DamagedError(f"step {number} adds {name}, which is not there")
    return entries[number, name]


def _take_back(step: int, number: int) -> TakeBack:
    if not 0 < step < number:
        raise DamagedError(f"step {number} takes back a step that is not before it")
    return TakeBack(step)
