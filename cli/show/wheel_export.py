"""A wheel's file for other programs: as a table (CSV), or as JSON that can be taken in again."""

from collections.abc import Iterator
from typing import Final

from ...calc.interval import Interval
from ...calc.wheel import SPINDLE, Dimension
from ..keep.as_text import document_of_wheel
from ..keep.kept import KeptWheel
from ..keep.telling import ToldWheel
from .as_json import as_text
from .csv_text import Cell, csv_bytes
from .dimensions import unit_of
from .ratio_table import turned_words
from .rounding import DIGITS_IN_JSON, rounded
from .wheel_words import wheel_document

COLUMNS: Final = ("told_by", "of", "what", "on", "value", "low", "high", "unit", "file", "taken")
#: What stands under ``told_by`` for all readings together.
TOGETHER: Final = "all together"


def wheel_as_json(wheel: KeptWheel, told: ToldWheel) -> bytes:
    """Give the whole file, and beside it what its readings tell together."""
    return (as_text({**document_of_wheel(wheel), "told": wheel_document(told)}) + "\n").encode()


def wheel_as_csv(told: ToldWheel) -> bytes:
    """Give a table of every number: first what all readings tell together, then each reading's own."""
    return csv_bytes(COLUMNS, [*_together(told), *_by_each(told)])


def _together(told: ToldWheel) -> Iterator[dict[str, Cell]]:
    dimensions = list(dict.fromkeys(d for kept in told.used for d in kept.reading.values))
    for dimension in dimensions:
        if "ratio" not in dimension.what:
            yield _row(TOGETHER, dimension, told.interval_95(dimension))
    for head in told.heads():
        pair = Dimension("ratio", SPINDLE, head)
        yield _row(TOGETHER, pair, told.interval_95(pair))
    for row in told.table:
        yield {**_row(TOGETHER, row.dimension, row.ratio), "on": turned_words(row)}
    slip = told.slip_percent()
    if slip is not None:
        yield {"told_by": TOGETHER, "of": "band", "what": "slip", **_numbers(slip), "unit": "%"}


def _by_each(told: ToldWheel) -> Iterator[dict[str, Cell]]:
    for kept in told.used:
        for dimension in kept.reading.values:
            row = _row(kept.id, dimension, kept.reading.interval_95(dimension))
            yield {**row, "file": kept.file, "taken": kept.taken}


def _row(told_by: str, dimension: Dimension, interval: Interval | None) -> dict[str, Cell]:
    return {
        "told_by": told_by,
        "of": dimension.part,
        "what": dimension.what.removesuffix("_mm"),
        **({"on": f"head {dimension.head}"} if dimension.head else {}),
        **_numbers(interval),
        "unit": unit_of(dimension),
    }


def _numbers(interval: Interval | None) -> dict[str, Cell]:
    if interval is None:
        return {}
    shown = rounded(interval, DIGITS_IN_JSON)
    return {"value": shown.value, "low": shown.low, "high": shown.high}
