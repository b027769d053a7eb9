"""A wheel's parts as they stand in its file."""

from dataclasses import fields
from typing import Any, Final

from ...calc.interval import Interval
from ...calc.parts import DRIVES, Band, Bobbin, Drive, Flyer, Head, Part, Parts, Whirl
from .checks import DamagedError, an_object, finite, of_type, words_of

#: The word for each kind of part, in the file and before people.
KINDS: Final[dict[str, type[Part]]] = {
    "whirl": Whirl,
    "flyer": Flyer,
    "bobbin": Bobbin,
    "head": Head,
    "band": Band,
}
WORD_OF: Final = {kind: word for word, kind in KINDS.items()}


def parts_document(parts: Parts) -> dict[str, Any]:
    """Give all parts as JSON."""
    shelves = {
        f"{word}s": [part_document(each) for each in parts.of_kind(kind)]
        for word, kind in KINDS.items()
        # Heads came later: where there is none, the file stays as earlier versions of the program know it.
        if kind is not Head or parts.heads
    }
    return {"drive": parts.drive, **shelves}


def part_document(part: Part) -> dict[str, Any]:
    """Give one part as JSON, without its kind."""
    match part:
        case Whirl(name, steps):
            return {"name": name, "steps": list(steps)}
        case Flyer(name, whirls) | Bobbin(name, whirls) | Head(name, whirls):
            return {"name": name, "whirls": list(whirls)}
        case Band(name, thickness_mm, material):
            return {"name": name, "thickness_mm": _thickness(thickness_mm), "material": material}


def _thickness(interval: Interval | None) -> dict[str, float] | None:
    return None if interval is None else {key.name: getattr(interval, key.name) for key in fields(Interval)}


def kind_of_word(word: str, where: str) -> type[Part]:
    """Give the kind that a word stands for.

    Raises
    ------
    DamagedError
        If there is no such kind.
    """
    if word not in KINDS:
        raise DamagedError(f"{where} names a '{word}', which this version does not know")
    return KINDS[word]


def part_of_document(kind: type[Part], document: Any, where: str) -> Part:
    """Read one part.

    Raises
    ------
    DamagedError
        If something is missing or cannot be.
    """
    entry = an_object(document, where, "part")
    name = of_type(entry, "name", str, where)
    if not name:
        raise DamagedError(f"{where} holds a part without a name")
    if kind is Whirl:
        return Whirl(name, words_of(entry, "steps", where))
    if kind is Flyer:
        return Flyer(name, words_of(entry, "whirls", where))
    if kind is Bobbin:
        return Bobbin(name, words_of(entry, "whirls", where))
    if kind is Head:
        return Head(name, words_of(entry, "whirls", where))
    return Band(name, _interval(entry, where), of_type(entry, "material", str, where))


def _interval(entry: dict[str, Any], where: str) -> Interval | None:
    if "thickness_mm" in entry and entry["thickness_mm"] is None:
        return None
    told = of_type(entry, "thickness_mm", dict, where)
    value, low, high = (finite(told.get(key), where) for key in ("value", "low", "high"))
    if not 0 < low < value < high:
        raise DamagedError(f"{where} holds a band of a thickness that cannot be")
    return Interval(value, low, high)


def drive_of_document(word: Any, where: str) -> Drive | None:
    """Read how the wheel is driven.

    Raises
    ------
    DamagedError
        If it is driven in a way that this version does not know.
    """
    if word is None:
        return None
    drive = next((each for each in DRIVES if each == word), None)
    if drive is None:
        raise DamagedError(f"{where} names a drive that this version does not know")
    return drive
