"""The table of ratios: in the terminal within 80 columns, and as JSON."""

from collections.abc import Sequence
from typing import Final

from ...calc.interval import Interval
from ...calc.ratio_table import RatioRow
from .as_json import Json, interval_document
from .rounding import texts

WIDEST: Final = 80
GAP: Final = "  "
HEAD: Final = ("", "whirl", "band runs on", "ratio", "95 % sure")
NOT_MEASURED: Final = "not measured"


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
        }
        for row in rows
    ]


def table_lines(rows: Sequence[RatioRow]) -> tuple[str, ...]:
    """Lay the table out as lines of text, names shortened where they would not fit."""
    if not any(row.ratio for row in rows):
        return ()
    cells = [HEAD, *(_cells(row) for row in rows)]
    turned, whirl, pitch, ratio, ends = (max(map(len, column)) for column in zip(*cells, strict=True))
    room = WIDEST - len(GAP) * len(HEAD) - pitch - ratio - ends
    turned = min(turned, max(room // 2, room - whirl))
    whirl = min(whirl, room - turned)
    return tuple(
        GAP
        + GAP.join(
            (
                f"{_short(line[0], turned):<{turned}}",
                f"{_short(line[1], whirl):<{whirl}}",
                f"{line[2]:>{pitch}}",
                f"{line[3]:>{ratio}}",
                line[4],
            )
        ).rstrip()
        for line in cells
    )


def _cells(row: RatioRow) -> tuple[str, str, str, str, str]:
    turned = f"{row.turned} {row.on}".strip()
    whirl = row.whirl if row.groove == row.whirl else f"{row.whirl}, {row.groove}"
    pitch = f"{texts(row.pitch_mm)[0]} mm" if row.pitch_mm else ""
    if row.ratio is None:
        return turned, whirl, pitch, "", NOT_MEASURED
    return turned, whirl, pitch, *_ratio(row.ratio)


def _ratio(interval: Interval) -> tuple[str, str]:
    value, low, high = texts(interval)
    return value, f"{low}-{high}"


def _short(text: str, width: int) -> str:
    return text if len(text) <= width else text[: width - 1] + "…"
