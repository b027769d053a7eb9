"""Readings and sessions as they stand in a wheel's file.

Each number stands with its 95 % interval for the reader; what the program goes by is ``value`` and
``relative_covariance``, the covariance of the values' logarithms, beside what ``shared`` causes do to them.
"""

import re
from typing import Any, Final

import numpy as np

from ...calc.interval import Interval
from ...calc.wheel import WHATS, Dimension, Reading
from ..show.rounding import DIGITS_IN_JSON, rounded
from .checks import DamagedError, an_object, finite, of_type
from .entries import HAND, KeptReading, KeptSession
from .told_session import check_told

#: Digits that are kept; fewer could make a covariance allow less than no doubt.
DIGITS: Final = 12
SOURCE_KEYS: Final = ("file", "sha256", "taken", "taken_from")


def reading_document(kept: KeptReading) -> dict[str, Any]:
    """Give a reading as JSON."""
    reading = kept.reading
    return {
        "id": kept.id,
        "kind": kept.kind,
        **{key: getattr(kept, key) for key in SOURCE_KEYS},
        "how": dict(kept.how),
        "numbers": [
            {
                "of": dimension.part,
                "what": dimension.what,
                **({"head": dimension.head} if dimension.head else {}),
                "value": _digits(value),
                **_ends(reading.interval_95(dimension)),
            }
            for dimension, value in reading.values.items()
        ],
        "relative_covariance": [[_digits(entry) for entry in row] for row in reading.covariance.tolist()],
        "shared": {
            cause: [_digits(entry) for entry in moves.tolist()] for cause, moves in reading.shared.items()
        },
    }


def session_document(kept: KeptSession) -> dict[str, Any]:
    """Give a session as JSON."""
    return {
        "id": kept.id,
        **{key: getattr(kept, key) for key in SOURCE_KEYS},
        "how": dict(kept.how),
        "told": dict(kept.told),
    }


def reading_of_document(document: Any, where: str) -> KeptReading:
    """Read a reading.

    Raises
    ------
    DamagedError
        If something is missing or cannot be; ``where`` names the reading.
    """
    entry = an_object(document, where, "reading")
    name, kind = _id(entry, where), of_type(entry, "kind", str, where)
    return KeptReading(
        kind=kind,
        **_source(entry, where, of_a_file=kind != HAND),
        how=of_type(entry, "how", dict, where),
        reading=_reading(entry, name, where),
    )


def session_of_document(document: Any, where: str) -> KeptSession:
    """Read a session.

    Raises
    ------
    DamagedError
        If something is missing or cannot be.
    """
    entry = an_object(document, where, "session")
    check_told(of_type(entry, "told", dict, where), where)
    return KeptSession(
        id=_id(entry, where),
        **_source(entry, where, of_a_file=True),
        how=of_type(entry, "how", dict, where),
        told=of_type(entry, "told", dict, where),
    )


def _id(entry: dict[str, Any], where: str) -> str:
    name = of_type(entry, "id", str, where)
    if not name:
        raise DamagedError(f"{where} has no id or no checksum")
    return name


def _source(entry: dict[str, Any], where: str, *, of_a_file: bool) -> dict[str, str]:
    words = {key: of_type(entry, key, str, where) for key in SOURCE_KEYS}
    if not re.fullmatch(r"[0-9a-f]{64}" if of_a_file else "", words["sha256"]):
        raise DamagedError(f"{where} has no id or no checksum")
    return words


def _digits(number: float) -> float:
    return float(f"{number:.{DIGITS}g}")


def _ends(interval: Interval) -> dict[str, float]:
    shown = rounded(interval, DIGITS_IN_JSON)
    return {"low": shown.low, "high": shown.high}


def _reading(entry: dict[str, Any], name: str, where: str) -> Reading:
    values = _values(entry, where)
    rows = of_type(entry, "relative_covariance", list, where)
    shared = of_type(entry, "shared", dict, where)
    count = len(values)
    try:
        return Reading(
            name,
            values,
            np.array([_row(row, count, where) for row in rows], dtype=float).reshape(len(rows), count),
            {cause: np.array(_row(moves, count, where), dtype=float) for cause, moves in shared.items()},
        )
    except ValueError as problem:
        if isinstance(problem, DamagedError):
            raise
        raise DamagedError(f"the numbers of {where} do not fit together ({problem})") from problem


def _values(entry: dict[str, Any], where: str) -> dict[Dimension, float]:
    numbers = of_type(entry, "numbers", list, where)
    values: dict[Dimension, float] = {}
    for number in numbers:
        if not isinstance(number, dict):
            raise DamagedError(f"{where} holds a number that is none")
        told = of_type(number, "what", str, where)
        what = next((each for each in WHATS if each == told), None)
        if what is None:
            raise DamagedError(f"{where} holds a '{told}', which this version does not know")
        head = of_type(number, "head", str, where) if "head" in number else ""
        dimension = Dimension(what, of_type(number, "of", str, where), head)
        values[dimension] = finite(number.get("value"), where)
    if len(values) < len(numbers):
        raise DamagedError(f"{where} tells one dimension twice")
    return values


def _row(row: Any, count: int, where: str) -> list[float]:
    if not isinstance(row, list) or len(row) != count:
        raise DamagedError(f"the covariance of {where} has a row of the wrong length")
    return [finite(entry, where) for entry in row]
