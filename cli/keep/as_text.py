"""A wheel's file as text: JSON with a version, written for people to read and checked when it is read.

All that was ever put into the file stays in it. What counts now follows from the history; it is written out
beside it for the reader, and a file in which the two differ is refused.
"""

import json
from collections.abc import Callable, Iterator
from typing import Any, Final

from ...calc.parts import Head
from .changes import Entry, Put, SetPart, standing
from .checks import DamagedError, an_object, of_type, plain_json
from .entries import KeptReading, KeptSession
from .entries_text import reading_document, reading_of_document, session_document, session_of_document
from .history_text import step_document, step_of_document
from .kept import KeptWheel
from .parts_text import parts_document

__all__ = ["FORMAT", "VERSION", "DamagedError", "document_of_wheel", "text_of_wheel", "wheel_of_text"]

FORMAT: Final = "wheel measured by whirlwise"
#: Version 1 knew readings alone: no parts, no sessions, no history; version 2 no accelerating heads.
VERSION: Final = 3
#: What is written of a wheel without a head, so that an older program can go on reading it.
WITHOUT_HEADS: Final = 2


def text_of_wheel(wheel: KeptWheel) -> str:
    """Write a wheel as the text of its file."""
    return json.dumps(document_of_wheel(wheel), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def document_of_wheel(wheel: KeptWheel) -> dict[str, Any]:
    """Give a wheel as JSON holds it."""
    counting = {(step, entry.id) for step, entry in standing(wheel.steps).placed}
    put = list(_put(wheel))

    def placed(document: dict[str, Any], step: int, entry: Entry) -> dict[str, Any]:
        return {**document, "step": step, "counts": (step, entry.id) in counting}

    return {
        "format": FORMAT,
        "version": VERSION if _knows_heads(wheel) else WITHOUT_HEADS,
        "parts": parts_document(wheel.parts),
        "readings": [placed(reading_document(e), n, e) for n, e in put if isinstance(e, KeptReading)],
        "sessions": [placed(session_document(e), n, e) for n, e in put if isinstance(e, KeptSession)],
        "history": [step_document(number, step) for number, step in enumerate(wheel.steps, 1)],
    }


def _knows_heads(wheel: KeptWheel) -> bool:
    """Whether anything that was ever put into the file is of an accelerating head."""
    changes = [change for step in wheel.steps for change in step.changes]
    parts = any(isinstance(each, SetPart) and isinstance(each.part, Head) for each in changes)
    told = [entry.reading.values for _, entry in _put(wheel) if isinstance(entry, KeptReading)]
    return parts or any(dimension.head for values in told for dimension in values)


def _put(wheel: KeptWheel) -> Iterator[tuple[int, Entry]]:
    """All that was ever put into the file, and by which step."""
    for number, step in enumerate(wheel.steps, 1):
        for change in step.changes:
            if isinstance(change, Put):
                yield number, change.entry


def wheel_of_text(text: str) -> KeptWheel:
    """Read the text of a wheel's file.

    Raises
    ------
    DamagedError
        If it is no wheel's file, is damaged, or comes from a newer version.
    """
    try:
        document = json.loads(text, parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as problem:
        raise DamagedError("it is not whole JSON text") from problem
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise DamagedError("it is not the file of a wheel")
    version = document.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise DamagedError("its version is missing")
    if version > VERSION:
        raise DamagedError(f"a newer version of the program wrote it (version {version} of the file)")
    if not plain_json(document):
        raise DamagedError("it holds a number that is none")
    return _first_version(document) if version == 1 else _wheel(document)


def _refuse_constant(name: str) -> float:
    raise ValueError(f"{name} is no number")


def _first_version(document: dict[str, Any]) -> KeptWheel:
    entries = of_type(document, "readings", list, "the file")
    readings = [reading_of_document(entry, f"reading {place}") for place, entry in enumerate(entries, 1)]
    _refuse_twice([kept.id for kept in readings], "two of its readings have one id")
    return KeptWheel.of(readings)


def _wheel(document: dict[str, Any]) -> KeptWheel:
    readings = _entries(document, "readings", "reading", reading_of_document)
    sessions = _entries(document, "sessions", "session", session_of_document)
    _refuse_twice([*readings, *sessions], "two of its readings have one id")
    steps = of_type(document, "history", list, "the file")
    entries: dict[tuple[int, str], Entry] = {**readings, **sessions}
    wheel = KeptWheel(tuple(step_of_document(step, n, entries) for n, step in enumerate(steps, 1)))
    added = [(number, entry.id) for number, entry in _put(wheel)]
    _refuse_twice(added, "a step adds one reading twice")
    if len(added) < len(entries):
        raise DamagedError("it holds a reading that no step added")
    _refuse_unlike(document, document_of_wheel(wheel))
    return wheel


def _entries(
    document: dict[str, Any], key: str, what: str, read: Callable[[Any, str], Any]
) -> dict[tuple[int, str], Any]:
    found: dict[tuple[int, str], Any] = {}
    for place, each in enumerate(of_type(document, key, list, "the file"), 1):
        where = f"{what} {place}"
        entry = read(each, where)
        step = of_type(an_object(each, where, what), "step", int, where)
        if (step, entry.id) in found:
            raise DamagedError("two of its readings have one id")
        found[step, entry.id] = entry
    return found


def _refuse_twice(names: list[Any], why: str) -> None:
    if len(set(names)) < len(names):
        raise DamagedError(why)


def _refuse_unlike(document: dict[str, Any], written: dict[str, Any]) -> None:
    """Refuse a file in which what counts is not what its history makes count."""
    if document.get("parts") != written["parts"]:
        raise DamagedError(
            "its parts are not those that its history tells (change them with 'whirlwise parts')"
        )
    for key in ("readings", "sessions"):
        counts = [[each.get("counts") for each in side[key]] for side in (document, written)]
        if counts[0] != counts[1]:
            raise DamagedError(
                f"what counts of its {key} is not what its history tells (change it with 'whirlwise "
                "withdraw' or 'whirlwise undo')"
            )
