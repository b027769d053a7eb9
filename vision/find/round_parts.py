"""Round edges about the spindle: flanges, spindle end, bobbin ends.

The neighbourhood of the whirl is looked at squarely, in band plane coordinates. There the edge of every part
that turns about the spindle is a true circle, whatever its height above the plane.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from ..geometry.plane import BandPlane
from .chains import in_chains
from .circle_votes import likely_circles
from .edges import EdgePoints, Pixels, edges_across, lab_pixels

#: Half the side of the neighbourhood, and radii looked for, as shares of the rim's radius.
WINDOW_SHARE = 0.32
RADIUS_SHARES = (0.014, 0.25)
#: A place where the rim would be smaller than this in the picture is no place beside the wheel.
LEAST_RADIUS_PX = 60.0
#: Resolution of the search for circles (pixels of the rim's radius) and the finest one for their edges.
SEARCH_RADIUS_PX, FINEST_RADIUS_PX = 520.0, 900.0
CANDIDATES = 40
LEAST_ARC = 0.22
OUTLINE_POINTS = 180
INLIER_PX = 0.8
#: Directions (OUTLINE_POINTS, 2) from a circle's middle to its points.
OUTWARDS = np.column_stack(
    [f(np.linspace(0, 2 * np.pi, OUTLINE_POINTS, endpoint=False)) for f in (np.cos, np.sin)]
)
#: An edge of a part goes on over so many lines at least, and over so many pixels.
LEAST_LINES, LEAST_LENGTH_PX = 12, 16.0
#: A part is seen a second time if this share of its edge is that of a clearer one.
SAME_SHARE = 0.5
#: Turned parts run true to so much; and how far off is the middle of an edge of no clarity at all, which
#: falls by e for so much more of it. Edges of neighbouring parts run into each other, and a short arc tells
#: little of its middle. Set from pictures with known truth.
CENTRE_DOUBT_MM, VAGUE_DOUBT_PX, CLEARER = 0.1, 11.5, 0.145
#: Circles tried near a guess, and rounds of fitting the likeliest one: to all edges near it, then to those
#: that go on beside it.
TRIALS, ROUNDS, LAST_ROUNDS = 300, 3, 2
CHANCE = np.random.default_rng(0).random((TRIALS, 3))


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
    parts = [part for guess in guesses if (part := _refined(fine, plane, guess)) is not None]
    return _each_once(sorted(parts, key=lambda part: -part.clarity), plane, INLIER_PX / fine.px_per_mm)


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
    away_mm = np.linalg.norm(points_mm - part.centre_mm, axis=1) - part.radius_mm
    return float(np.mean(np.abs(away_mm) < near_mm))


def _refined(view: SquareView, plane: BandPlane, guess: tuple[float, float, float]) -> RoundPart | None:
    """Circle through the edge points near a guess; None if too little of it is seen."""
    x, y, radius = guess
    reach_px = max(3.0, 0.05 * radius)
    edges = edges_across(view.lab, np.array([x, y]) + radius * OUTWARDS, OUTWARDS, reach_px, most=3)
    edges = _going_on(edges, np.array([x, y]), radius)
    circle = _agreed(edges, guess, reach_px) if _arc(edges) >= LEAST_ARC else None
    if circle is None:
        return None
    centre, radius = circle
    for last in range(ROUNDS + LAST_ROUNDS):
        near = edges.chosen(np.abs(_misfit(edges, centre, radius)) < INLIER_PX)
        if last >= ROUNDS:
            # What crosses the circle is near it for a short way only.
            near = _going_on(near, centre, radius)
        if _arc(near) < LEAST_ARC:
            return None
        centre, radius = fit_circle(near.points_px)
    return RoundPart(
        view.plane_from_view(centre[None])[0],
        radius / view.px_per_mm,
        plane.pixels_from_plane(view.plane_from_view(near.points_px)),
        _arc(near),
        float(_misfit(near, centre, radius).std()),
        view.px_per_mm,
    )


def _misfit(edges: EdgePoints, centre: Points, radius: float) -> NDArray[np.float64]:
    """How far (n,) edges lie outside a circle."""
    return np.asarray(np.linalg.norm(edges.points_px - centre, axis=1) - radius)


def _going_on(edges: EdgePoints, centre: Points, radius: float) -> EdgePoints:
    """The edges that go on beside a circle; of cloth and wood there are short ones everywhere."""
    line_px = 2 * np.pi * radius / OUTLINE_POINTS
    least = max(LEAST_LINES, LEAST_LENGTH_PX / line_px)
    return edges.chosen(in_chains(edges.line, _misfit(edges, centre, radius), OUTLINE_POINTS, least))


def _arc(edges: EdgePoints) -> float:
    """On what share of the lines there is an edge."""
    return np.count_nonzero(np.bincount(edges.line)) / OUTLINE_POINTS


def _agreed(
    edges: EdgePoints, guess: tuple[float, float, float], reach_px: float
) -> tuple[Points, float] | None:
    """Of many circles through three edges near a guess, the one on which most lines show an edge.

    Edges of several parts lie beside each other; a circle through the middle of all would be of none.
    """
    by_third = np.bincount(edges.line * 3 // OUTLINE_POINTS, minlength=3)
    if by_third.min() == 0:
        return None
    # One of each third of the circle; edges come line by line.
    chosen = np.cumsum(by_third) - by_third + (CHANCE * by_third).astype(np.intp)
    centres, radii = _circles_through(edges.points_px[chosen])
    x, y, radius = guess
    near = (np.hypot(*(centres - [x, y]).T) < reach_px) & (np.abs(radii - radius) < reach_px)
    centres, radii = centres[near], radii[near]
    if not len(radii):
        return None
    best = int(_said(edges.points_px, centres, radii).argmax())
    return centres[best], float(radii[best])


def _said(points: Points, centres: Points, radii: NDArray[np.float64]) -> NDArray[np.float64]:
    """What points (n, 2) say for circles (m,), each at most 1.

    One array serves all steps, for there are thousands of circles about a whirl.
    """
    said = np.square(points[:, 0] - centres[:, :1])
    said += np.square(points[:, 1] - centres[:, 1:])
    np.sqrt(said, out=said)
    said -= radii[:, None]
    said /= INLIER_PX
    np.square(said, out=said)
    np.subtract(1.0, said, out=said)
    return np.asarray(np.maximum(said, 0.0, out=said).sum(axis=1))


def _circles_through(corners: Points) -> tuple[Points, NDArray[np.float64]]:
    """Circles through triples (n, 3, 2): centres (n, 2) and radii (n,); none is infinite."""
    origin = corners[:, 0]
    b, c = corners[:, 1] - origin, corners[:, 2] - origin
    area = 2 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
    area = np.where(np.abs(area) < 1e-9, 1e-9, area)
    bb, cc = (b**2).sum(axis=1), (c**2).sum(axis=1)
    middle = np.column_stack([c[:, 1] * bb - b[:, 1] * cc, b[:, 0] * cc - c[:, 0] * bb]) / area[:, None]
    return origin + middle, np.hypot(*middle.T)


def fit_circle(points: Points) -> tuple[Points, float]:
    """Circle through points (n, 2), n >= 3: centre (2,) and radius, by the algebraic fit of Kasa (1976).

    Kasa's fit is a little small on short arcs; here it only gathers points for the joint fit.
    """
    # Reckoned from their middle, the normal equations are as good as any other way.
    middle = points.mean(axis=0)
    away = points - middle
    squares = np.einsum("ij,ij->i", away, away)
    off = 0.5 * np.linalg.solve(away.T @ away, away.T @ squares)
    return middle + off, float(np.sqrt(squares.mean() + off @ off))
