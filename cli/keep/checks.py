"""Checks of what stands in a wheel's file, while it is read."""

from math import isfinite
from typing import Any, TypeVar

Wanted = TypeVar("Wanted")


class DamagedError(ValueError):
    """A text that is no wheel's file, or one that this version does not know; the message says which."""


def of_type(entry: dict[str, Any], key: str, kind: type[Wanted], where: str) -> Wanted:
    """Give what stands under a key, if it is of the kind that it must be.

    Raises
    ------
    DamagedError
    """
    value = entry.get(key)
    if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
        raise DamagedError(f"{where} lacks its '{key}'")
    return value


def an_object(entry: Any, where: str, what: str) -> dict[str, Any]:
    """Give an entry that must have keys.

    Raises
    ------
    DamagedError
    """
    if not isinstance(entry, dict):
        raise DamagedError(f"{where} is no {what}")
    return entry


def words_of(entry: dict[str, Any], key: str, where: str) -> tuple[str, ...]:
    """Give a list of words under a key.

    Raises
    ------
    DamagedError
    """
    words = of_type(entry, key, list, where)
    if not all(isinstance(word, str) for word in words):
        raise DamagedError(f"{where} holds a name that is none")
    return tuple(words)


def finite(number: Any, where: str) -> float:
    """Give a number that is one.

    Raises
    ------
    DamagedError
    """
    if not isinstance(number, int | float) or isinstance(number, bool) or not abs(number) < 1e300:
        raise DamagedError(f"{where} holds a number that is none")
    return float(number)


def plain_json(node: Any) -> bool:
    """Tell whether a piece of JSON holds finite numbers only, and can be written again."""
    if isinstance(node, dict):
        return all(isinstance(key, str) and plain_json(child) for key, child in node.items())
    if isinstance(node, list):
        return all(map(plain_json, node))
    return not isinstance(node, float) or isfinite(node)
