"""Things with four straight sides and a size laid down in a standard: bank cards and sheets of paper."""

from dataclasses import dataclass
from functools import partial

import numpy as np

from ..find.outlines import Outline, likeliest_outline, outline_cover
from ..find.rectangles import find_rectangles
from ..find.round_parts import square_view
from ..geometry.camera import Points
from ..geometry.plane import BandPlane
from ..geometry.rectangle import shape_misfit
from ..open.picture import Picture
from .found import FoundReference, ReferenceKind, ReferenceRequest, Surroundings

#: Outer radii of drive wheels, from small travelling wheels to great wheels (common practice, no source).
WHEEL_RADII_MM = (180.0, 420.0)
#: Pixels to which the rim's radius, and at the most the longest side looked for, are scaled for the search.
SEARCH_RADIUS_PX, LONGEST_SIDE_PX = 340.0, 260.0
#: A rectangle is a candidate if this share of its outline is seen; so many of the best seen ones are kept.
WORTH_A_LOOK, CANDIDATES = 0.65, 4
#: How far a side may be off in the search's view, in its pixels.
VIEW_DOUBT_PX = 2.5
#: Corners may miss the thing's shape by this share of its size: the plane is known by the rim alone as yet.
SHAPE_TOLERANCE = 0.02
#: How far a point of a side is off: rounded edges, shadows, grain.
SIDE_DEVIATION_PX = 0.6


@dataclass(frozen=True, slots=True)
class StandardSheet:
    """A rectangle by the book.

    Attributes
    ----------
    name : str
    long_mm, short_mm : float
        Nominal sides.
    size_doubt : float
        Standard uncertainty of the sides as a share: the standard's tolerance, wear, and a little bend.
    reach : float
        How far from the hub it may lie, in rim radii.
    """

    name: str
    long_mm: float
    short_mm: float
    size_doubt: float
    reach: float

    def find(
        self, picture: Picture, surroundings: Surroundings, request: ReferenceRequest
    ) -> list[FoundReference]:
        """Rectangles of the sheet's shape, the best outlined first; the joint fit judges between them."""
        plane, radius = surroundings.plane, surroundings.rim_radius_mm
        longest_share = self.long_mm / WHEEL_RADII_MM[0]
        search_px = min(SEARCH_RADIUS_PX, LONGEST_SIDE_PX / longest_share)
        px_per_mm = min(search_px / radius, plane.px_per_mm((0.0, 0.0)))
        view = square_view(picture.bgr, plane, np.zeros(2), self.reach * radius, px_per_mm)
        shortest, longest = (self.long_mm * radius / r * px_per_mm for r in reversed(WHEEL_RADII_MM))
        found = []
        for rectangle in find_rectangles(view, self.long_mm / self.short_mm, (shortest, longest)):
            rough_px = plane.pixels_from_plane(view.plane_from_view(rectangle.corners_px))
            reach_px = VIEW_DOUBT_PX * plane.px_per_mm((0.0, 0.0)) / px_per_mm
            outline = likeliest_outline(picture.lab, rough_px, partial(self._misfit, plane), reach_px)
            if outline is not None and self._misfit(plane, outline.corners_px) < SHAPE_TOLERANCE:
                found.append(self._as_found(outline, outline_cover(picture.lab, outline.corners_px)))
        found.sort(key=lambda reference: -reference.outlined)
        return [reference for reference in found if reference.outlined >= WORTH_A_LOOK][:CANDIDATES]

    def _as_found(self, outline: Outline, outlined: float) -> FoundReference:
        return FoundReference(
            self.name,
            outline.corners_px,
            self.long_mm,
            self.short_mm,
            self.size_doubt,
            SIDE_DEVIATION_PX,
            outlined,
            certain=False,
            sides_px=outline.sides_px,
        )

    def _misfit(self, plane: BandPlane, corners_px: Points) -> float:
        return shape_misfit(plane.plane_from_pixels(corners_px), self.long_mm, self.short_mm)


# ISO/IEC 7810 ID-1: 85.60 x 53.98 mm; an unused card keeps within 0.15 %, a worn one a little more.
CARD_SHEET = StandardSheet("card", 85.60, 53.98, 0.001, reach=1.05)
# ISO 216: sides up to 600 mm within 2 mm. ANSI/ASME Y14.1 for Letter; the same tolerance is assumed.
A4_SHEET = StandardSheet("a4", 297.0, 210.0, 0.0035, reach=2.2)
A5_SHEET = StandardSheet("a5", 210.0, 148.0, 0.005, reach=2.2)
LETTER_SHEET = StandardSheet("letter", 279.4, 215.9, 0.0035, reach=2.2)

CARD, A4, A5, LETTER = (
    ReferenceKind(sheet.name, sheet.find) for sheet in (CARD_SHEET, A4_SHEET, A5_SHEET, LETTER_SHEET)
)
