"""Answers of the commands as the browser gets them: sentences and numbers, in mm and in inches."""

from dataclasses import replace

from ....calc.facts import MM_PER_INCH
from ....calc.interval import Interval
from ...show.answer import Answer, Row
from ...show.rounding import texts
from ..plain import in_inches, plain
from ..worker import Json


def told(answer: Answer) -> Json:
    """Give an answer in both units."""
    return {
        "metric": _sentences(answer, inches=False),
        "imperial": _sentences(answer, inches=True),
    }


def interval_told(interval: Interval | None) -> Json | None:
    """Give a number and its interval: as numbers to draw with, and as they are written."""
    if interval is None:
        return None
    value, low, high = texts(interval)
    return {
        "value": interval.value,
        "low": interval.low,
        "high": interval.high,
        "text": value,
        "low_text": low,
        "high_text": high,
    }


def _sentences(answer: Answer, *, inches: bool) -> Json:
    def said(sentences: tuple[str, ...]) -> list[str]:
        return [in_inches(plain(each)) if inches else plain(each) for each in sentences]

    return {
        "says": said(answer.says),
        "rows": [_row(_in_inches(row) if inches else row) for row in answer.rows],
        "trust": said(answer.trust),
        "better": said(answer.better),
        "mind": said(answer.mind),
    }


def _row(row: Row) -> Json:
    return {"name": row.name, "unit": row.unit, "interval": interval_told(row.interval)}


def _in_inches(row: Row) -> Row:
    if row.unit != "mm" or row.interval is None:
        return row
    mm = row.interval
    inches = Interval(mm.value / MM_PER_INCH, mm.low / MM_PER_INCH, mm.high / MM_PER_INCH)
    return replace(row, interval=inches, unit="in")
