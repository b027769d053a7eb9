"""A wheel's file as text: JSON with a version, written for people to read and checked when it is read.

Each number stands with its 95 % interval for the reader; what the program goes by is ``value`` and
``relative_covariance``, the covariance of the values' logarithms, beside what ``shared`` causes do to them.
"""

import json
import re
from typing import Any, Final

import numpy as np

from ...calc.interval import Interval
from ...calc.wheel import WHATS, Dimension, Reading
from ..show.rounding import DIGITS_IN_JSON, rounded
from .kept import KeptReading, KeptWheel

FORMAT: Final = "wheel measured by whirlwise"
VERSION: Final = 1
#: Digits that are kept; fewer could make a covariance allow less than no doubt.
DIGITS: Final = 12


class DamagedError(ValueError):
    """A text that is no wheel's file, or one that this version does not know; the message says which."""


def text_of_wheel(wheel: KeptWheel) -> str:
    """Write a wheel as the text of its file."""
    document = {
        "format": FORMAT,
        "version": VERSION,
        "readings": [_reading_document(kept) for kept in wheel.readings],
    }
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _reading_document(kept: KeptReading) -> dict[str, Any]:
    reading = kept.reading
    return {
        "id": kept.id,
        "kind": kept.kind,
        "file": kept.file,
        "sha256": kept.sha256,
        "taken": kept.taken,
        "taken_from": kept.taken_from,
        "how": dict(kept.how),
        "numbers": [
            {
                "of": dimension.part,
                "what": dimension.what,
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


def _digits(number: float) -> float:
    return float(f"{number:.{DIGITS}g}")


def _ends(interval: Interval) -> dict[str, float]:
    shown = rounded(interval, DIGITS_IN_JSON)
    return {"low": shown.low, "high": shown.high}


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
    entries = _of_type(document, "readings", list, "the file")
    wheel = KeptWheel(tuple(_kept_reading(entry, place) for place, entry in enumerate(entries, 1)))
    ids = [kept.id for kept in wheel.readings]
    if len(set(ids)) < len(ids):
        raise DamagedError("two of its readings have one id")
    return wheel


def _refuse_constant(name: str) -> float:
    raise ValueError(f"{name} is no number")


def _kept_reading(entry: Any, place: int) -> KeptReading:
    where = f"reading {place}"
    if not isinstance(entry, dict):
        raise DamagedError(f"{where} is no reading")
    words = {key: _of_type(entry, key, str, where) for key in ("id", "kind", "file", "taken", "taken_from")}
    sha256 = _of_type(entry, "sha256", str, where)
    if not words["id"] or not re.fullmatch(r"[0-9a-f]{64}", sha256):
        raise DamagedError(f"{where} has no id or no checksum")
    return KeptReading(
        kind=words["kind"],
        file=words["file"],
        sha256=sha256,
        taken=words["taken"],
        taken_from=words["taken_from"],
        how=_of_type(entry, "how", dict, where),
        reading=_reading(entry, words["id"], where),
    )


def _reading(entry: dict[str, Any], name: str, where: str) -> Reading:
    numbers = _of_type(entry, "numbers", list, where)
    values = {}
    for number in numbers:
        if not isinstance(number, dict):
            raise DamagedError(f"{where} holds a number that is none")
        what = _of_type(number, "what", str, where)
        if what not in WHATS:
            raise DamagedError(f"{where} holds a '{what}', which this version does not know")
        values[Dimension(what, _of_type(number, "of", str, where))] = _finite(number.get("value"), where)
    if len(values) < len(numbers):
        raise DamagedError(f"{where} tells one dimension twice")
    rows = _of_type(entry, "relative_covariance", list, where)
    shared = _of_type(entry, "shared", dict, where)
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


def _row(row: Any, count: int, where: str) -> list[float]:
    if not isinstance(row, list) or len(row) != count:
        raise DamagedError(f"the covariance of {where} has a row of the wrong length")
    return [_finite(entry, where) for entry in row]


def _finite(number: Any, where: str) -> float:
    if not isinstance(number, int | float) or isinstance(number, bool) or not abs(number) < 1e300:
        raise DamagedError(f"{where} holds a number that is none")
    return float(number)


def _of_type(entry: dict[str, Any], key: str, kind: type, where: str) -> Any:
    value = entry.get(key)
    if not isinstance(value, kind):
        raise DamagedError(f"{where} lacks its '{key}'")
    return value
