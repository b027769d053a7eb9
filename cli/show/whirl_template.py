"""A whirl to turn as a page in true size: its outline, gauges to cut out, a line to check the print.

A unit of a PDF page is 1/72 inch (ISO 32000-1, 8.3.2.3), which is how a printer knows the size; an SVG
drawing tells its width and height in points of 1/72 inch (SVG 1.1, 7.2).
"""

import io
from importlib.metadata import version
from typing import Final

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon
from uncertainties import nominal_value

from ...calc.facts import MM_PER_INCH
from ...calc.groove import GrooveToTurn
from ...vision.references.sheet_layout import CARD_MM
from ..trouble import WrongUsageError
from .groove_words import GroovesTold
from .lengths import Lengths
from .palette import INK, RUST
from .paper import PAPER_NAMES, PAPERS_MM
from .whirl_shapes import Outline, gauge_of, groove_middles_mm, whirl_outline

POINTS_PER_MM: Final = 72 / MM_PER_INCH
STROKE_MM: Final = 0.25
MARGIN_MM, TEXT_MM, TITLE_MM, LEADING = 16.0, 3.4, 5.6, 1.5
#: From the paper's top: the steps, the line, the whirl; room for the sizes beside it, and between gauges.
STEPS_AT_MM, LINE_AT_MM, WHIRL_AT_MM, WORDS_MM, APART_MM = 26.0, 68.0, 86.0, 62.0, 9.0
WOOD: Final = "#F3ECE1"
#: From the sizes of one groove to those of the next, so that thin bands don't crowd them.
ROW_MM: Final = 12.5
#: The line to check is as long as a card's long side (ISO/IEC 7810, ID-1).
CHECK_MM: Final = CARD_MM[0]

STEPS: Final = """1  Print at 100 % (actual size), no fit to page.
2  Check: a bank card's long side is as long as the line below, from tick to tick.
    If it is not, this page is not in true size: do not turn by it.
3  Glue the page onto stiff card and cut the gauges out along their lines.
4  The gauge's mouth goes over the groove's bottom, its narrower throat does not:
    then the ratio is within the tolerance.
Turning is for people who have learnt it; the rules of the workshop come first."""
TOO_LARGE: Final = (
    "A whirl of this size, with so many grooves, does not fit on one page; ask for a template of fewer "
    "ratios at a time, or of a higher ratio."
)


def whirl_template(told: GroovesTold, paper: str, ending: str, shown: Lengths) -> bytes:
    """Draw the template; the same whirl is the same bytes.

    Parameters
    ----------
    told : GroovesTold
    paper : str
        ``"a4"`` or ``"letter"``.
    ending : str
        ``".pdf"`` or ``".svg"``.
    shown : Lengths
        In which unit sizes are written.

    Raises
    ------
    WrongUsageError
        If the whirl is too large for the paper.
    """
    width_mm, height_mm = PAPERS_MM[paper]
    with mpl.rc_context(
        {"pdf.fonttype": 42, "svg.fonttype": "none", "font.family": "DejaVu Sans", "svg.hashsalt": "whirl"}
    ):
        figure = Figure(figsize=(width_mm / MM_PER_INCH, height_mm / MM_PER_INCH), facecolor="white")
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0), xlim=(0, width_mm), ylim=(0, height_mm))
        axes.set_axis_off()
        _write(axes, MARGIN_MM, height_mm - MARGIN_MM, _title(told), TITLE_MM)
        _write(axes, MARGIN_MM, height_mm - STEPS_AT_MM, STEPS)
        _check_line(axes, height_mm - LINE_AT_MM)
        lowest_mm = _whirl(axes, told, width_mm, height_mm - WHIRL_AT_MM, shown)
        _gauges(axes, told, width_mm, lowest_mm - APART_MM, shown)
        held = io.BytesIO()
        figure.savefig(held, format=ending[1:], metadata=_described(told, paper, ending))
    return held.getvalue()


def _described(told: GroovesTold, paper: str, ending: str) -> dict[str, str | None]:
    undated = "CreationDate" if ending == ".pdf" else "Date"
    made_by = f"whirlwise {version('whirlwise')}"
    return {"Title": f"{_title(told)}, {PAPER_NAMES[paper]}", "Creator": made_by, undated: None}


def _title(told: GroovesTold) -> str:
    return "Whirl to turn, ratio " + " and ".join(f"{groove.ratio:g}" for groove in told.grooves)


def _check_line(axes: Axes, y_mm: float) -> None:
    """A line as long as a bank card; its length runs from the middle of one tick to the other's."""
    ends_mm = (MARGIN_MM, MARGIN_MM + CHECK_MM)
    _stroke(axes, [(ends_mm[0], y_mm), (ends_mm[1], y_mm)])
    for x_mm in ends_mm:
        _stroke(axes, [(x_mm, y_mm - 3), (x_mm, y_mm + 3)])
    words = f"{CHECK_MM:.1f} mm, the long side of a bank card"
    _write(axes, ends_mm[1] + 4, y_mm + TEXT_MM / 2, words)


def _whirl(axes: Axes, told: GroovesTold, width_mm: float, top_mm: float, shown: Lengths) -> float:
    """The whirl from the side, its axis upright, its sizes beside it; gives where on the page it ends."""
    band_mm = told.size.band_mm
    outline = whirl_outline(told.grooves, told.shape, band_mm)
    radius_mm, end_mm = float(outline[:, 1].max()), top_mm - float(outline[-1, 0])
    if 2 * radius_mm > width_mm - 2 * MARGIN_MM - WORDS_MM:
        raise WrongUsageError(TOO_LARGE)
    middle_mm = MARGIN_MM + radius_mm
    _filled(axes, _both_sides(outline, middle_mm, top_mm), WOOD)
    _stroke(axes, [(middle_mm, top_mm + 5), (middle_mm, end_mm - 5)], dashed=True)
    _write(axes, middle_mm + 2, top_mm + 6, "axis")
    words_mm = top_mm + ROW_MM
    for groove, along_mm in zip(
        told.grooves, groove_middles_mm(len(told.grooves), told.shape, band_mm), strict=True
    ):
        y_mm, words_mm = top_mm - along_mm, min(top_mm - along_mm, words_mm - ROW_MM)
        _band(axes, groove, float(nominal_value(band_mm)), middle_mm, y_mm)
        right_mm = middle_mm + radius_mm + 5
        _stroke(axes, [(middle_mm + groove.edge_mm / 2 + 1, y_mm), (right_mm - 1, words_mm)])
        _write(axes, right_mm, words_mm + TEXT_MM * LEADING, _sizes(groove, shown))
    return min(end_mm, words_mm - ROW_MM / 2) - 5


def _band(axes: Axes, groove: GrooveToTurn, band_mm: float, middle_mm: float, y_mm: float) -> None:
    """The band in its groove, cut through on either side of the axis."""
    away_mm = float(nominal_value(groove.pitch_mm)) / 2
    for x_mm in (middle_mm - away_mm, middle_mm + away_mm):
        axes.add_patch(Circle((x_mm, y_mm), band_mm / 2, facecolor=RUST, edgecolor="none"))


def _sizes(groove: GrooveToTurn, shown: Lengths) -> str:
    bottom, edge = shown.exact(float(nominal_value(groove.bottom_mm))), shown.exact(groove.edge_mm)
    return (
        f"{groove.ratio:g} to 1: {bottom} {shown.unit} across the bottom,\n"
        f"the edges {edge} {shown.unit} or more"
    )


def _both_sides(outline: Outline, middle_mm: float, top_mm: float) -> Outline:
    right = np.column_stack([middle_mm + outline[:, 1], top_mm - outline[:, 0]])
    left = np.column_stack([middle_mm - outline[:, 1], top_mm - outline[:, 0]])
    return np.vstack([right, left[::-1]])


def _gauges(axes: Axes, told: GroovesTold, width_mm: float, top_mm: float, shown: Lengths) -> None:
    """A gauge to cut out for each groove, in as many rows as they need."""
    left_mm, row_mm = MARGIN_MM, 0.0
    for groove in told.grooves:
        gauge = gauge_of(groove)
        wide_mm, high_mm = gauge.size_mm
        if left_mm > MARGIN_MM and left_mm + wide_mm > width_mm - MARGIN_MM:
            left_mm, top_mm, row_mm = MARGIN_MM, top_mm - row_mm - APART_MM, 0.0
        if left_mm + wide_mm > width_mm - MARGIN_MM or top_mm - high_mm < MARGIN_MM:
            raise WrongUsageError(TOO_LARGE)
        _filled(axes, gauge.outline() + np.array([left_mm, top_mm - high_mm]), "white")
        mouth, throat = shown.exact(gauge.mouth_mm), shown.exact(gauge.throat_mm)
        words = f"{groove.ratio:g}: {mouth} / {throat} {shown.unit}"
        _write(axes, left_mm + 2, top_mm - high_mm + 6.5, words)
        left_mm, row_mm = left_mm + wide_mm + APART_MM, max(row_mm, high_mm)


def _filled(axes: Axes, points_mm: Outline, colour: str) -> None:
    width_pt = STROKE_MM * POINTS_PER_MM
    axes.add_patch(Polygon(points_mm, closed=True, facecolor=colour, edgecolor=INK, linewidth=width_pt))


def _stroke(axes: Axes, points_mm: list[tuple[float, float]], *, dashed: bool = False) -> None:
    style = (0, (8, 3, 2, 3)) if dashed else "solid"
    width_pt = STROKE_MM * POINTS_PER_MM
    axes.add_patch(
        Polygon(points_mm, fill=False, closed=False, edgecolor=INK, linewidth=width_pt, linestyle=style)
    )


def _write(axes: Axes, x_mm: float, y_mm: float, words: str, size_mm: float = TEXT_MM) -> None:
    axes.text(x_mm, y_mm, words, fontsize=size_mm * POINTS_PER_MM, color=INK, va="top", linespacing=LEADING)
