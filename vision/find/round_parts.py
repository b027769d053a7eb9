"""Round edges about the spindle: flanges, spindle end, bobbin ends.

The neighbourhood of the whirl is looked at squarely, in band plane coordinates. There the edge of every part
that turns about the spindle is a true circle, whatever its height above the plane.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from ..geometry.plane import BandPlane
from .circle_votes import likely_circles
from .edges import Pixels, lab_pixels
from .traced_circles import INLIER_PX, TracedCircle, fit_circle, outside, traced_circles

#: Half the side of the neighbourhood, and radii looked for, as shares of the rim's radius.
WINDOW_SHARE = 0.32
RADIUS_SHARES = (0.014, 0.25)
#: A place where the rim would be smaller than this in the picture is no place beside the wheel.
LEAST_RADIUS_PX = 60.0
#: Resolution of the search for circles (pixels of the rim's radius) and the finest one for their edges.
SEARCH_RADIUS_PX, FINEST_RADIUS_PX = 520.0, 900.0
CANDIDATES = 40
#: A part is seen a second time if this share of its edge is that of a clearer one.
SAME_SHARE = 0.5
#: Turned parts run true to so much; and how far off is the middle of an edge of no clarity at all, which
#: falls by e for so much more of it. Edges of neighbouring parts run into each other, and a short arc tells
#: little of its middle. Set from pictures with known truth.
CENTRE_DOUBT_MM, VAGUE_DOUBT_PX, CLEARER = 0.1, 11.5, 0.145


@dataclass(frozen=True, slots=True)
class SquareView:
    """A part of the picture as it lies in the band plane.

    ``lab`` is (n, n, 3); ``centre_mm`` its middle in the plane; x to the right, y up.
    """

    lab: Pixels
    centre_mm: Points
    px_per_mm: float

    def plane_from_view(self, points: Points) -> Points:
        """Plane coordinates (n, 2) of view pixels (n, 2)."""
        middle = (self.lab.shape[0] - 1) / 2
        return np.asarray((points - middle) * [1.0, -1.0] / self.px_per_mm + self.centre_mm)


def square_view(
    bgr: NDArray[np.uint8], plane: BandPlane, centre_mm: Points, half_mm: float, px_per_mm: float
) -> SquareView:
    """Resample the picture so that the band plane is seen squarely."""
    count = int(2 * half_mm * px_per_mm) | 1
    steps_mm = (np.arange(count) - (count - 1) / 2) / px_per_mm
    x, y = plane.pixels_of_grid(centre_mm[0] + steps_mm, centre_mm[1] - steps_mm)
    view = cv2.remap(bgr, x, y, cv2.INTER_CUBIC)
    return SquareView(lab_pixels(np.asarray(view, dtype=np.uint8)), np.asarray(centre_mm), px_per_mm)


@dataclass(frozen=True, slots=True)
class RoundPart:
    """A round edge.

    Attributes
    ----------
    centre_mm : (2,) array
        Its middle as it appears in the band plane (where its plane is not the band plane: behind it).
    radius_mm : float
        As it appears in the band plane.
    points_px : (n, 2) array
        Edge points in the picture.
    arc : float
        Share of the circle that was seen.
    scatter_px : float
    px_per_mm : float
        Of the view in which its edge was followed.
    """

    centre_mm: Points
    radius_mm: float
    points_px: Points
    arc: float
    scatter_px: float
    px_per_mm: float

    @property
    def clarity(self) -> float:
        """How surely it is one round edge, 0 to 1: points strewn evenly over the tolerance say nothing."""
        return self.arc * max(1.0 - 3 * (self.scatter_px / INLIER_PX) ** 2, 0.0)

    @property
    def centre_doubt_mm(self) -> float:
        """Standard deviation of its middle in any direction."""
        off_px = VAGUE_DOUBT_PX * np.exp(-self.clarity / CLEARER)
        return float(np.hypot(CENTRE_DOUBT_MM, off_px / self.px_per_mm))

    def seen_in(self, plane: BandPlane) -> "RoundPart":
        """The same edge as it appears in the band plane of another pose."""
        points_mm = plane.plane_from_pixels(self.points_px)
        centre_mm, radius_mm = fit_circle(points_mm)
        scatter_px = float(outside(points_mm, centre_mm, radius_mm).std()) * self.px_per_mm
        return replace(self, centre_mm=centre_mm, radius_mm=radius_mm, scatter_px=scatter_px)


def find_round_parts(
    bgr: NDArray[np.uint8], plane: BandPlane, near_mm: Points, rim_radius_mm: float
) -> list[RoundPart]:
    """Round edges near a place in the band plane, the clearest first."""
    half_mm = WINDOW_SHARE * rim_radius_mm
    native = plane.px_per_mm((float(near_mm[0]), float(near_mm[1])))
    if native * rim_radius_mm < LEAST_RADIUS_PX:
        return []
    coarse = square_view(bgr, plane, near_mm, half_mm, min(native, SEARCH_RADIUS_PX / rim_radius_mm))
    fine = square_view(bgr, plane, near_mm, half_mm, min(1.15 * native, FINEST_RADIUS_PX / rim_radius_mm))
    ratio = fine.px_per_mm / coarse.px_per_mm
    rim_px = rim_radius_mm * coarse.px_per_mm
    radii_px = RADIUS_SHARES[0] * rim_px, RADIUS_SHARES[1] * rim_px
    guesses = [
        ((each.x_px + 0.5) * ratio - 0.5, (each.y_px + 0.5) * ratio - 0.5, each.radius_px * ratio)
        for each in likely_circles(coarse.lab, radii_px, CANDIDATES)
    ]
    parts = [_as_part(circle, fine, plane) for circle in traced_circles(fine.lab, guesses)]
    return _each_once(sorted(parts, key=lambda part: -part.clarity), plane, INLIER_PX / fine.px_per_mm)


def with_earlier(
    parts: Sequence[RoundPart], earlier: Sequence[RoundPart], plane: BandPlane
) -> list[RoundPart]:
    """Parts and those of an earlier look at much the same place, each once, the clearest first.

    Which faint edges are found is a matter of luck; two looks find more than one.
    """
    both = [*parts, *(part.seen_in(plane) for part in earlier)]
    near_mm = INLIER_PX / max((part.px_per_mm for part in both), default=1.0)
    return _each_once(sorted(both, key=lambda part: -part.clarity), plane, near_mm)


def _as_part(circle: TracedCircle, view: SquareView, plane: BandPlane) -> RoundPart:
    return RoundPart(
        view.plane_from_view(circle.centre[None])[0],
        circle.radius / view.px_per_mm,
        plane.pixels_from_plane(view.plane_from_view(circle.edges.points_px)),
        circle.arc,
        float(circle.misfits_px.std()),
        view.px_per_mm,
    )


def _each_once(parts: list[RoundPart], plane: BandPlane, near_mm: float) -> list[RoundPart]:
    """Parts, the clearest first, without those whose edges are mostly those of clearer ones."""
    kept: list[RoundPart] = []
    for part in parts:
        points_mm = plane.plane_from_pixels(part.points_px)
        if all(_share_on(points_mm, other, near_mm) < SAME_SHARE for other in kept):
            kept.append(part)
    return kept


def _share_on(points_mm: Points, part: RoundPart, near_mm: float) -> float:
    """What share of points (n, 2) lies on a part's edge."""
    return float(np.mean(np.abs(outside(points_mm, part.centre_mm, part.radius_mm)) < near_mm))
