"""How every answer reads: what was found, how sure it is, why it can be trusted, what would do better."""

import shutil
import textwrap
from dataclasses import dataclass

from ...calc.interval import Interval
from .rounding import texts

#: Lines longer than this are hard to read, however wide the screen.
WIDEST = 88


@dataclass(frozen=True, slots=True)
class Row:
    """One measured number in the list below the answer; ``interval`` is None where it was not measured."""

    name: str
    interval: Interval | None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """Sentences in the order in which a person needs them."""

    says: tuple[str, ...]
    rows: tuple[Row, ...] = ()
    tables: tuple[str, ...] = ()
    trust: tuple[str, ...] = ()
    better: tuple[str, ...] = ()
    mind: tuple[str, ...] = ()


def between(interval: Interval, unit: str = "") -> str:
    """Write a number with its interval: ``12.67 (95 % sure: 12.61 to 12.73)``."""
    value, low, high = texts(interval)
    if not interval.half_width:
        return value + _after(unit)
    return f"{value}{_after(unit)} (95 % sure: {low} to {high})"


def text_of(answer: Answer) -> str:
    """Lay an answer out as lines of text."""
    width = min(WIDEST, shutil.get_terminal_size((WIDEST, 24)).columns)
    parts = ["\n".join(textwrap.fill(sentence, width) for sentence in answer.says)]
    if answer.rows:
        parts.append(_list(answer.rows))
    parts += answer.tables
    for title, sentences in (
        ("Why you can trust it", answer.trust),
        ("What would do better", answer.better),
        ("Mind", answer.mind),
    ):
        if sentences:
            parts.append(title + "\n" + "\n".join(_item(sentence, width) for sentence in sentences))
    return "\n\n".join(parts)


def _item(sentence: str, width: int) -> str:
    return textwrap.fill(sentence, width, initial_indent="  - ", subsequent_indent="    ")


def _list(rows: tuple[Row, ...]) -> str:
    name_width = max(len(row.name) for row in rows)
    return "\n".join(f"  {row.name:<{name_width}}   {_measured(row)}".rstrip() for row in rows)


def _measured(row: Row) -> str:
    if row.interval is None:
        return "not measured"
    value, low, high = texts(row.interval)
    if not row.interval.half_width:
        return value + _after(row.unit)
    return f"{value + _after(row.unit):<12}  {low} to {high}"


def _after(unit: str) -> str:
    return f" {unit}" if unit else ""
