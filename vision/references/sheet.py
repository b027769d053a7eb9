"""Our own printed sheet: four markers, each known by its number, on one stiff piece of paper.

The outer edges of the markers lie on the four sides of one large rectangle, so the sheet enters the joint
fit as that rectangle: far larger than a card, and pinned down by eight clean edges.
"""

from collections.abc import Mapping

import cv2
import numpy as np
from numpy.typing import NDArray

from ..find.outlines import Outline, refined_outline
from ..geometry.camera import Points
from ..open.picture import Picture
from .found import FoundReference, ReferenceKind, ReferenceRequest, Surroundings
from .marker import SIDE_DEVIATION_PX
from .marker_fields import as_printed
from .sheet_layout import CHECK_LINE_MM, SHEETS, SheetLayout

#: Printers enlarge or shrink by up to half a percent (common practice, no source); with the check line
#: measured what remains is the paper, which bends and takes up damp.
PRINTER_DOUBT, PAPER_DOUBT = 0.003, 0.0008
#: So many markers must be seen.
LEAST_MARKERS = 2
#: Corners may miss the sheet's shape by this share of a marker's side; more is bent paper or other markers.
SHAPE_TOLERANCE = 0.04
#: Whose outer edges make which side of the frame: top, right, bottom, left, as places round the sheet.
ON_SIDE = ((0, 1), (1, 2), (2, 3), (3, 0))


def find_sheet(
    picture: Picture, surroundings: Surroundings, request: ReferenceRequest
) -> list[FoundReference]:
    """Each sheet of which enough markers are seen and lie as they were printed."""
    outlines = _marker_outlines(picture)
    found = []
    for layout in SHEETS:
        seen = {place: outlines[n] for place, n in enumerate(layout.numbers) if n in outlines}
        corners_px = _frame_px(layout, seen) if len(seen) >= LEAST_MARKERS else None
        if corners_px is not None:
            found.append(_as_found(layout, seen, corners_px, request))
    return found


def _marker_outlines(picture: Picture) -> dict[int, Outline]:
    """Refined outlines by number; a number seen twice is none, for nothing tells which one is meant."""
    grey = cv2.cvtColor(picture.bgr, cv2.COLOR_BGR2GRAY)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    corners, numbers, _ = cv2.aruco.ArucoDetector(dictionary).detectMarkers(grey)
    listed = [] if numbers is None else [int(n) for n in np.ravel(numbers)]
    outlines = {}
    for four, number in zip(corners, listed, strict=True):
        rough = np.asarray(four, dtype=float).reshape(4, 2)
        outline = refined_outline(picture.light, rough) if listed.count(number) == 1 else None
        if outline is not None:
            outlines[number] = as_printed(picture.light, outline, number)
    return outlines


def _frame_px(layout: SheetLayout, seen: Mapping[int, Outline]) -> Points | None:
    """Where the frame's corners (4, 2) lie, by all markers; None if these don't lie as they were printed."""
    printed_mm = np.concatenate([layout.marker_corners_mm(place) for place in seen])
    seen_px = np.concatenate([outline.corners_px for outline in seen.values()])
    found, _ = cv2.findHomography(printed_mm, seen_px)
    if found is None:
        return None
    matrix = np.asarray(found, dtype=float)
    off_px = np.linalg.norm(_mapped(matrix, printed_mm) - seen_px, axis=1)
    sides_px = [
        np.linalg.norm(o.corners_px - np.roll(o.corners_px, 1, axis=0), axis=1) for o in seen.values()
    ]
    if off_px.max() > SHAPE_TOLERANCE * float(np.mean(sides_px)):
        return None
    return _mapped(matrix, layout.frame_corners_mm())


def _mapped(matrix: NDArray[np.float64], points: Points) -> Points:
    return np.asarray(cv2.perspectiveTransform(points[None], matrix)[0], dtype=float)


def _as_found(
    layout: SheetLayout, seen: Mapping[int, Outline], corners_px: Points, request: ReferenceRequest
) -> FoundReference:
    sides = tuple(
        np.concatenate(
            [np.empty((0, 2)), *(seen[place].sides_px[k] for place in ON_SIDE[k] if place in seen)]
        )
        for k in range(4)
    )
    enlarged, doubt = 1.0, PRINTER_DOUBT
    if request.length_mm is not None:
        enlarged = request.length_mm.nominal_value / CHECK_LINE_MM
        doubt = float(np.hypot(request.length_mm.std_dev / request.length_mm.nominal_value, PAPER_DOUBT))
    width_mm, height_mm = (enlarged * side_mm for side_mm in layout.frame_mm)
    return FoundReference("sheet", corners_px, width_mm, height_mm, doubt, SIDE_DEVIATION_PX, sides_px=sides)


SHEET = ReferenceKind("sheet", find_sheet)
