"""The table of ratios: in the terminal within 80 columns, and as JSON."""

from collections.abc import Sequence
from typing import Final

from ...calc.interval import Interval
from ...calc.ratio_table import RatioRow
from .as_json import Json, interval_document
from .lengths import Lengths
from .rounding import texts
from .table import GAP, WIDEST, table

HEAD: Final = ("", "whirl", "band runs on", "ratio", "95 % sure")
NOT_MEASURED: Final = "not measured"
MM: Final = Lengths()


def table_document(rows: Sequence[RatioRow]) -> list[Json]:
    """Give the table under stable keys."""
    return [
        {
            "turns": row.turned,
            "on": row.on or None,
            "whirl": row.whirl,
            "groove": row.groove,
            "pitch_mm": interval_document(row.pitch_mm),
            "ratio": interval_document(row.ratio),
            **({"pairs": [interval_document(each) for each in row.pairs]} if row.pairs else {}),
        }
        for row in rows
    ]


def ratio_table_text(rows: Sequence[RatioRow], shown: Lengths = MM) -> str:
    """Lay the table out as text, names shortened where they would not fit; empty where no ratio is known."""
    if not any(row.ratio for row in rows):
        return ""
    cells = [ratio_cells(row, shown) for row in rows]
    turned, whirl, *rest = (max(map(len, column)) for column in zip(HEAD, *cells, strict=True))
    room = WIDEST - len(GAP) * len(HEAD) - sum(rest)
    turned = min(turned, max(room // 2, room - whirl))
    whirl = min(whirl, room - turned)
    short = [(_short(line[0], turned), _short(line[1], whirl), *line[2:]) for line in cells]
    return table(HEAD, short, left=(0, 1, 4))


def ratio_cells(row: RatioRow, shown: Lengths = MM) -> tuple[str, str, str, str, str]:
    """Give what stands in a row, under the headings of ``HEAD``."""
    turned = turned_words(row)
    whirl = row.whirl if row.groove == row.whirl else f"{row.whirl}, {row.groove}"
    pitch = f"{texts(shown.told(row.pitch_mm))[0]} {shown.unit}" if row.pitch_mm else ""
    if row.ratio is None:
        return turned, whirl, pitch, "", NOT_MEASURED
    return turned, whirl, pitch, *_ratio(row.ratio)


def turned_words(row: RatioRow) -> str:
    """Say what a row's ratio turns, such as ``flyer standard``, or ``spindle, quick`` behind that head."""
    return f"spindle, {row.on}" if row.turned == "spindle" else f"{row.turned} {row.on}".strip()


def _ratio(interval: Interval) -> tuple[str, str]:
    value, low, high = texts(interval)
    return value, f"{low}-{high}"


def _short(text: str, width: int) -> str:
    return text if len(text) <= width else text[: width - 1] + "…"
