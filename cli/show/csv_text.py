"""Tables as CSV (RFC 4180) that a spreadsheet opens without running anything that stands in them.

A cell that begins like a formula would be reckoned by a spreadsheet, and a picture's name may begin so. Such
a cell is given an apostrophe in front, as people do who want it taken for text (OWASP, "CSV Injection");
reading it back takes the apostrophe off again. Numbers stay numbers.
"""

import csv
from collections.abc import Iterable, Mapping, Sequence
from io import StringIO
from typing import Final

from ...calc.interval import Interval
from .rounding import DIGITS_IN_JSON, rounded

#: Beginnings that a spreadsheet may take for a formula (the last four are full-width signs), and the
#: apostrophe itself, so that reading is exact.
FORMULA_SIGNS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "'", *"\uff1d\uff0b\uff0d\uff20")

Cell = str | float | None


def csv_text(header: Sequence[str], rows: Iterable[Mapping[str, Cell]]) -> str:
    """Write a table; cells that are missing or None stay empty."""
    out = StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(header)
    writer.writerows([_written(row.get(name)) for name in header] for row in rows)
    return out.getvalue()


def csv_bytes(header: Sequence[str], rows: Iterable[Mapping[str, Cell]]) -> bytes:
    """Write a table as a file's bytes, with the mark by which spreadsheets know UTF-8."""
    return csv_text(header, rows).encode("utf-8-sig", "backslashreplace")


def rows_of_csv(text: str) -> tuple[list[str], list[dict[str, str]]]:
    """Read a table: its header, and its rows by it; a row that was cut short is left out.

    Raises
    ------
    ValueError
        If it is no table.
    """
    try:
        lines = list(csv.reader(StringIO(text, newline=""), strict=True))
    except csv.Error as problem:
        raise ValueError(str(problem)) from problem
    header = lines[0] if lines else []
    whole = [line for line in lines[1:] if len(line) == len(header)]
    return header, [dict(zip(header, map(_read, line), strict=True)) for line in whole]


def interval_cells(name: str, interval: Interval | None) -> dict[str, Cell]:
    """Spread an interval over three cells: ``name``, ``name_low`` and ``name_high``."""
    if interval is None:
        return {name: None, f"{name}_low": None, f"{name}_high": None}
    shown = rounded(interval, DIGITS_IN_JSON)
    return {name: shown.value, f"{name}_low": shown.low, f"{name}_high": shown.high}


def _written(cell: Cell) -> str:
    if cell is None:
        return ""
    if not isinstance(cell, str):
        return repr(float(cell))
    # A null sign would end the text in some programs.
    text = cell.replace("\0", "")
    return f"'{text}" if text.startswith(FORMULA_SIGNS) else text


def _read(cell: str) -> str:
    return cell.removeprefix("'")
