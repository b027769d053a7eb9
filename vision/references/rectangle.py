"""Things with four straight sides and a size laid down in a standard: bank cards and sheets of paper.

They are looked for about the wheel, or between four corners that the spinner points at: among bricks, on a
chequered cloth or behind a spoke, people see at once what no search is sure of.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from ..find.corner_rounding import corner_rounding
from ..find.outlines import USUAL_REACH_PX, Outline, likeliest_outline, outline_cover
from ..find.rectangles import find_rectangles
from ..find.round_parts import square_view
from ..geometry.camera import Points
from ..geometry.plane import BandPlane
from ..geometry.rectangle import shape_misfit
from ..measured import NotMeasured
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
#: A board under a sheet of paper shows round it by up to so much of its shorter side, and is found as easily.
BORDER_SHARE = 0.05
#: The scales at which straight edges are looked for, at first and for a closer look.
USUAL_CLOSENESS, CLOSER = 0.6, 1.0
#: Corners may miss the thing's shape by this share of its size: the plane is known by the rim alone as yet.
SHAPE_TOLERANCE = 0.02
#: By so much a thing's true corners usually miss it then.
USUAL_MISFIT = 0.005
#: How far a point of a side is off: rounded edges, shadows, grain.
SIDE_DEVIATION_PX = 0.6
#: A finger's tap is so far off in either direction, in pixels, with a magnifier under it; the sides are
#: looked for within three times as much of where taps put them.
TAP_DEVIATION_PX = 3.0
TAP_REACH_PX = 3 * TAP_DEVIATION_PX
#: Taps that make another shape than this, beside what their own doubt explains, are not this thing's corners.
TAPPED_TOLERANCE = 0.05

NOT_ITS_CORNERS = "The four corners that you pointed at are not those of the {name}: they make another shape."
POINT_AT_CORNERS = "Point at its four corners, in any order, or let it be looked for by naming it alone."


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
        How far from the hub it mostly lies, in rim radii.
    rounded_mm : float
        Radius of its corners.
    thickness_mm : float
    plain : bool
        Whether it has one colour along all its sides.
    further : float
        How far from the hub it may lie if nothing is found nearer.
    """

    name: str
    long_mm: float
    short_mm: float
    size_doubt: float
    reach: float
    rounded_mm: float = 0.0
    thickness_mm: float = 0.0
    plain: bool = False
    further: float = 0.0

    def find(
        self, picture: Picture, surroundings: Surroundings, request: ReferenceRequest
    ) -> Sequence[FoundReference | NotMeasured]:
        """The sheet between the corners pointed at, or whatever has its shape: the joint fit judges that."""
        if request.points_px:
            return [self._pointed_at(picture, surroundings.plane, np.array(request.points_px))]
        return self._searched(picture, surroundings, self.reach, USUAL_CLOSENESS)

    def find_further(
        self, picture: Picture, surroundings: Surroundings, request: ReferenceRequest
    ) -> Sequence[FoundReference | NotMeasured]:
        """What a closer look shows near the wheel, and a look farther away from it."""
        if request.points_px:
            return []
        closer = self._searched(picture, surroundings, self.reach, CLOSER)
        if self.further <= self.reach:
            return closer
        return closer + self._searched(picture, surroundings, self.further, USUAL_CLOSENESS)

    def _searched(
        self, picture: Picture, surroundings: Surroundings, reach: float, closeness: float
    ) -> list[FoundReference]:
        """Rectangles of the sheet's shape within reach, in rim radii, the likeliest first."""
        found = list(self._outlined(picture, surroundings, reach, closeness))
        found.sort(key=lambda reference: -reference.merit)
        return [reference for reference in found if reference.outlined >= WORTH_A_LOOK][:CANDIDATES]

    def _outlined(
        self, picture: Picture, surroundings: Surroundings, reach: float, closeness: float
    ) -> Iterator[FoundReference]:
        """Rectangles of about the sheet's shape, with their sides where the picture shows them."""
        plane, radius = surroundings.plane, surroundings.rim_radius_mm
        longest_share = self.long_mm / WHEEL_RADII_MM[0]
        search_px = min(SEARCH_RADIUS_PX, LONGEST_SIDE_PX / longest_share)
        px_per_mm = min(search_px / radius, plane.px_per_mm((0.0, 0.0)))
        view = square_view(picture.bgr, plane, np.zeros(2), reach * radius, px_per_mm)
        shortest, longest = (self.long_mm * radius / r * px_per_mm for r in reversed(WHEEL_RADII_MM))
        for rectangle in find_rectangles(view, self.long_mm / self.short_mm, (shortest, longest), closeness):
            rough_px = plane.pixels_from_plane(view.plane_from_view(rectangle.corners_px))
            reach_px = VIEW_DOUBT_PX * plane.px_per_mm((0.0, 0.0)) / px_per_mm
            if self.plain:
                reach_px = max(reach_px, BORDER_SHARE * _shortest_side(rough_px))
            outline = likeliest_outline(
                picture.lab, rough_px, partial(self._misfit, plane), USUAL_MISFIT, reach_px, plain=self.plain
            )
            if outline is not None and self._misfit(plane, outline.corners_px) < SHAPE_TOLERANCE:
                yield self._as_found(picture, plane, outline)

    def _pointed_at(
        self, picture: Picture, plane: BandPlane, taps_px: Points
    ) -> FoundReference | NotMeasured:
        """The clearest sides near the taps; where one shows none, the taps with a finger's doubt."""
        taps_px = self._in_order(plane, taps_px)
        shortest_px = _shortest_side(taps_px)
        tolerance = TAPPED_TOLERANCE + TAP_REACH_PX / max(shortest_px, 1.0)
        if self._misfit(plane, taps_px) > tolerance:
            return NotMeasured(NOT_ITS_CORNERS.format(name=self.name), POINT_AT_CORNERS)
        reach_px = min(TAP_REACH_PX, shortest_px / 5)
        outline = likeliest_outline(
            picture.lab,
            taps_px,
            partial(self._misfit, plane),
            USUAL_MISFIT,
            max(reach_px, USUAL_REACH_PX),
            float(np.arctan2(2 * reach_px, shortest_px)),
            self.plain,
        )
        if outline is None or self._misfit(plane, outline.corners_px) > SHAPE_TOLERANCE:
            return self._as_tapped(taps_px)
        return replace(self._as_found(picture, plane, outline), certain=True)

    def _in_order(self, plane: BandPlane, taps_px: Points) -> Points:
        """Four taps clockwise as seen, a long side first."""
        away = taps_px - taps_px.mean(axis=0)
        taps_px = taps_px[np.argsort(np.arctan2(away[:, 1], away[:, 0]))]
        return min((taps_px, np.roll(taps_px, -1, axis=0)), key=partial(self._misfit, plane))

    def _as_tapped(self, taps_px: Points) -> FoundReference:
        """Two taps make a side, each off by as much across it as along it."""
        # People tap the corner that they see, which lies inside the one of the sides if it is rounded off.
        cut_mm = self.rounded_mm * (1 - np.sqrt(0.5))
        return FoundReference(
            self.name,
            taps_px,
            self.long_mm,
            self.short_mm,
            float(np.hypot(self.size_doubt, 2 * cut_mm / (0.5 * (self.long_mm + self.short_mm)))),
            TAP_DEVIATION_PX,
            outlined=0.0,
            sides_px=tuple(np.array([taps_px[k], taps_px[(k + 1) % 4]]) for k in range(4)),
        )

    def _as_found(self, picture: Picture, plane: BandPlane, outline: Outline) -> FoundReference:
        rounding = corner_rounding(picture.lab, plane, outline.corners_px, self.rounded_mm / self.long_mm)
        return FoundReference(
            self.name,
            outline.corners_px,
            self.long_mm,
            self.short_mm,
            self.size_doubt,
            SIDE_DEVIATION_PX,
            outline_cover(picture.lab, outline.corners_px),
            certain=False,
            sides_px=outline.sides_px,
            thickness_mm=self.thickness_mm,
            rounded_mm=self.rounded_mm,
            rounding=rounding,
        )

    def _misfit(self, plane: BandPlane, corners_px: Points) -> NDArray[np.float64]:
        corners_mm = plane.plane_from_pixels(corners_px.reshape(-1, 2)).reshape(corners_px.shape)
        return shape_misfit(corners_mm, self.long_mm, self.short_mm)


def _shortest_side(corners_px: Points) -> float:
    return float(np.linalg.norm(np.roll(corners_px, -1, axis=0) - corners_px, axis=1).min())


# ISO/IEC 7810 ID-1: 85.60 x 53.98 mm; an unused card keeps within 0.15 %, a worn one a little more.
# Its corners are rounded by 3.18 mm, give or take 0.30, and it is 0.76 mm thick.
CARD_SHEET = StandardSheet(
    "card", 85.60, 53.98, 0.001, reach=1.05, rounded_mm=3.18, thickness_mm=0.76, further=2.0
)
# ISO 216: sides up to 600 mm within 2 mm. ANSI/ASME Y14.1 for Letter; the same tolerance is assumed.
A4_SHEET = StandardSheet("a4", 297.0, 210.0, 0.0035, reach=2.2, plain=True)
A5_SHEET = StandardSheet("a5", 210.0, 148.0, 0.005, reach=2.2, plain=True)
LETTER_SHEET = StandardSheet("letter", 279.4, 215.9, 0.0035, reach=2.2, plain=True)

CARD, A4, A5, LETTER = (
    ReferenceKind(sheet.name, sheet.find, find_further=sheet.find_further)
    for sheet in (CARD_SHEET, A4_SHEET, A5_SHEET, LETTER_SHEET)
)
