"""Our reference sheet as a page in true size: four markers, a frame for a bank card, a line of 200 mm.

A unit of the page is 1/72 inch (ISO 32000-1, 8.3.2.3), which is how a printer knows the size.
"""

import io
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.metadata import version
from typing import Literal

import cv2
import matplotlib as mpl
import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import FancyBboxPatch, Patch, Polygon, Rectangle
from numpy.typing import NDArray

from ...calc.facts import MM_PER_INCH
from ...vision.references.sheet_layout import CARD_CORNER_MM, CARD_MM, CHECK_LINE_MM, MARKER_MM, SheetLayout
from .palette import INK

POINTS_PER_MM = 72 / MM_PER_INCH
#: Thickness of the frame's and the line's strokes: thin enough to lay a card along, thick enough to print.
STROKE_MM, TICK_MM = 0.25, 6.0
#: Where things stand: from the paper's left edge, or from its middle.
LEFT_MM, LINE_RIGHT_OF_MIDDLE_MM, CARD_ABOVE_MIDDLE_MM, STEPS_ABOVE_MIDDLE_MM = 22.0, 32.0, 40.0, 4.0
TITLE_MM, TEXT_MM, LEADING = 5.6, 3.4, 1.5

PAPER_NAMES = {"a4": "A4", "letter": "US Letter"}
CARD_TEXT = "Lay a bank card here. If it\nfits the frame on all four\nsides, the size is right."
STEPS = """1  Print at 100 % (actual size), no fit to page.
2  Check: a bank card fits the frame,
    and the line is 200 mm long from tick to tick.
3  Glue or tape the sheet flat onto stiff card.
4  Fasten it beside or before the resting wheel, in the
    plane of the band or as near to it as it goes, with
    all four squares in the picture.
5  whirlwise photo wheel.jpg --reference sheet
    (if your line is 199.5 mm long: sheet=199.5mm)

Take the sheet off before the wheel turns."""


def sheet_pdf(layout: SheetLayout) -> bytes:
    """Draw the sheet for one paper; the same sheet is the same bytes."""
    width_mm, height_mm = layout.page_mm
    figure = Figure(figsize=(width_mm / MM_PER_INCH, height_mm / MM_PER_INCH), facecolor="white")
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0), xlim=(0, width_mm), ylim=(0, height_mm))
    axes.set_axis_off()
    for patch in (*_markers(layout), *_card_frame(layout), *_check_line(layout)):
        axes.add_patch(patch)
    for text in _texts(layout):
        axes.text(
            *text.place_mm,
            text.words,
            fontsize=text.size_mm * POINTS_PER_MM,
            color=INK,
            linespacing=LEADING,
            rotation=text.turned_deg,
            ha=text.side,
            va="top" if text.side == "left" else "center",
        )
    described = {
        "Title": f"Whirlwise reference sheet, {PAPER_NAMES[layout.paper]}",
        "Creator": f"whirlwise {version('whirlwise')}",
        "CreationDate": None,
    }
    held = io.BytesIO()
    with mpl.rc_context({"pdf.fonttype": 42, "font.family": "DejaVu Sans"}):
        figure.savefig(held, format="pdf", metadata=described)
    return held.getvalue()


def _markers(layout: SheetLayout) -> Iterator[Patch]:
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    for place, number in enumerate(layout.numbers):
        left_mm, top_mm = layout.marker_corners_mm(place)[0]
        yield _filled(left_mm, top_mm - MARKER_MM, MARKER_MM, MARKER_MM, "black")
        white = cv2.aruco.generateImageMarker(dictionary, number, 6) > 128
        step_mm = MARKER_MM / 6
        for row, column, height, width in _runs(white):
            bottom_mm = top_mm - (row + height) * step_mm
            yield _filled(left_mm + column * step_mm, bottom_mm, width * step_mm, height * step_mm, "white")


def _runs(white: NDArray[np.bool_]) -> Iterator[tuple[int, int, int, int]]:
    """Rows and columns of white fields in one piece each, (row, column, height, width).

    Fields drawn one by one show hairlines between them on a screen; rows and columns cover each other's.
    """
    for k, line in enumerate(white):
        yield from ((k, start, 1, length) for start, length in _stretches(line))
    for k, line in enumerate(white.T):
        yield from ((start, k, length, 1) for start, length in _stretches(line))


def _stretches(line: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    """Start and length of each stretch of true values."""
    steps = np.flatnonzero(np.diff(np.concatenate([[False], line, [False]]).astype(int)))
    for start, end in steps.reshape(-1, 2):
        yield int(start), int(end - start)


def _filled(left_mm: float, bottom_mm: float, width_mm: float, height_mm: float, colour: str) -> Patch:
    return Rectangle((left_mm, bottom_mm), width_mm, height_mm, facecolor=colour, edgecolor="none")


def _card_frame(layout: SheetLayout) -> Iterator[Patch]:
    """The outline of a card; the stroke lies outside it, so that a card that fits leaves it just in sight."""
    bottom_mm = layout.page_mm[1] / 2 + CARD_ABOVE_MIDDLE_MM - CARD_MM[1] / 2
    out_mm = STROKE_MM / 2
    yield FancyBboxPatch(
        (LEFT_MM - out_mm, bottom_mm - out_mm),
        CARD_MM[0] + 2 * out_mm,
        CARD_MM[1] + 2 * out_mm,
        boxstyle=f"round,pad=0,rounding_size={CARD_CORNER_MM + out_mm}",
        facecolor="none",
        edgecolor=INK,
        linewidth=STROKE_MM * POINTS_PER_MM,
    )


def _check_line(layout: SheetLayout) -> Iterator[Patch]:
    """A line with a tick across each end; its length runs from the middle of one tick to the other's."""
    x_mm = layout.page_mm[0] / 2 + LINE_RIGHT_OF_MIDDLE_MM
    ends_mm = [layout.page_mm[1] / 2 + sign * CHECK_LINE_MM / 2 for sign in (-1, 1)]
    yield _stroke([(x_mm, y_mm) for y_mm in ends_mm])
    for y_mm in ends_mm:
        yield _stroke([(x_mm - TICK_MM / 2, y_mm), (x_mm + TICK_MM / 2, y_mm)])


def _stroke(points_mm: list[tuple[float, float]]) -> Patch:
    return Polygon(points_mm, fill=False, closed=False, edgecolor=INK, linewidth=STROKE_MM * POINTS_PER_MM)


@dataclass(frozen=True, slots=True)
class _Text:
    words: str
    place_mm: tuple[float, float]
    size_mm: float = TEXT_MM
    turned_deg: float = 0.0
    side: Literal["left", "center"] = "left"


def _texts(layout: SheetLayout) -> Iterator[_Text]:
    middle_mm, half_height_mm = layout.page_mm[0] / 2, layout.page_mm[1] / 2
    left_mm = layout.marker_corners_mm(0)[1, 0] + MARKER_MM / 6 + 1.0
    top_mm = layout.frame_corners_mm()[0, 1]
    yield _Text("Reference sheet", (left_mm, top_mm), TITLE_MM)
    yield _Text(f"for a wheel's picture, {PAPER_NAMES[layout.paper]}", (left_mm, top_mm - 9.5))
    yield _Text(CARD_TEXT, (LEFT_MM + 8.0, half_height_mm + CARD_ABOVE_MIDDLE_MM + 9.0))
    yield _Text(STEPS, (LEFT_MM, half_height_mm + STEPS_ABOVE_MIDDLE_MM))
    line_mm = (middle_mm + LINE_RIGHT_OF_MIDDLE_MM + 4.0, half_height_mm)
    yield _Text("this line: 200 mm from tick to tick", line_mm, turned_deg=90.0, side="center")
