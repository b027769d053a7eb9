"""Things with four straight sides and a size laid down in a standard: bank cards and sheets of paper."""

from dataclasses import dataclass

import numpy as np

from ..find.edges import lab_pixels
from ..find.rectangles import Rectangle, find_rectangles, refined_corners
from ..find.round_parts import square_view
from ..geometry.camera import Points
from ..open.picture import Picture
from .found import FoundReference, ReferenceKind, ReferenceRequest, Surroundings

#: Outer radii of drive wheels, from small travelling wheels to great wheels (common practice, no source).
WHEEL_RADII_MM = (180.0, 420.0)
#: Pixels to which the rim's radius, and at the most the longest side looked for, are scaled for the search.
SEARCH_RADIUS_PX, LONGEST_SIDE_PX = 340.0, 260.0
#: A rectangle is a candidate if this share of its outline is seen.
BELIEVED = 0.75
#: Fitted corners must give the thing's shape: its aspect within a share, its angles within degrees.
ASPECT_TOLERANCE, ANGLE_TOLERANCE_DEG = 0.03, 2.5
CORNER_DEVIATION_PX = 0.5


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
        lab = lab_pixels(picture.bgr)
        fitting: list[tuple[Rectangle, Points]] = []
        for rectangle in find_rectangles(view, self.long_mm / self.short_mm, (shortest, longest)):
            corners_px = plane.pixels_from_plane(view.plane_from_view(rectangle.corners_px))
            refined = refined_corners(lab, corners_px)
            if refined is not None and self._has_its_shape(plane.plane_from_pixels(refined[0])):
                fitting.append((rectangle, refined[0]))
        return [
            FoundReference(
                self.name,
                corners_px,
                self.long_mm,
                self.short_mm,
                self.size_doubt,
                CORNER_DEVIATION_PX,
                rectangle.outlined,
            )
            for rectangle, corners_px in fitting
            if rectangle.outlined >= BELIEVED
        ]

    def _has_its_shape(self, corners_mm: Points) -> bool:
        sides = np.roll(corners_mm, -1, axis=0) - corners_mm
        lengths = np.linalg.norm(sides, axis=1)
        aspect = (lengths[0] + lengths[2]) / (lengths[1] + lengths[3])
        units = sides / lengths[:, None]
        off_square_deg = np.degrees(np.arcsin(np.abs(np.sum(units * np.roll(units, -1, axis=0), axis=1))))
        fits = abs(aspect / (self.long_mm / self.short_mm) - 1) < ASPECT_TOLERANCE
        return bool(fits and off_square_deg.max() < ANGLE_TOLERANCE_DEG)


# ISO/IEC 7810 ID-1: 85.60 x 53.98 mm; an unused card keeps within 0.15 %, a worn one a little more.
CARD_SHEET = StandardSheet("card", 85.60, 53.98, 0.001, reach=1.05)
# ISO 216: sides up to 600 mm within 2 mm. ANSI/ASME Y14.1 for Letter; the same tolerance is assumed.
A4_SHEET = StandardSheet("a4", 297.0, 210.0, 0.0035, reach=2.2)
A5_SHEET = StandardSheet("a5", 210.0, 148.0, 0.005, reach=2.2)
LETTER_SHEET = StandardSheet("letter", 279.4, 215.9, 0.0035, reach=2.2)

CARD, A4, A5, LETTER = (
    ReferenceKind(sheet.name, sheet.find) for sheet in (CARD_SHEET, A4_SHEET, A5_SHEET, LETTER_SHEET)
)
