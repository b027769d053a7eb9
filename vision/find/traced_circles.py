"""Circles traced: from guesses in a picture to the circles on which most of the edges near them agree."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from .chains import in_chains
from .edges import EdgePoints, Pixels, edges_across

Numbers = NDArray[np.float64]

#: Lines across a circle, on which share of them an edge must be met, and how near to the circle.
OUTLINE_POINTS, LEAST_ARC, INLIER_PX = 180, 0.22, 0.8
#: Directions (OUTLINE_POINTS, 2) from a circle's middle to its points.
OUTWARDS = np.column_stack(
    [f(np.linspace(0, 2 * np.pi, OUTLINE_POINTS, endpoint=False)) for f in (np.cos, np.sin)]
)
#: Edges are looked for so far from a guess, in pixels and as a share of its radius.
LEAST_REACH_PX, REACH_SHARE = 3.0, 0.05
#: An edge of a part goes on over so many lines at least, and over so many pixels.
LEAST_LINES, LEAST_LENGTH_PX = 12, 16.0
#: Circles tried near a guess, and rounds of fitting the likeliest one: to all edges near it, then to those
#: that go on beside it.
TRIALS, ROUNDS, LAST_ROUNDS = 300, 3, 2
CHANCE = np.random.default_rng(0).random((TRIALS, 3))


@dataclass(frozen=True, slots=True)
class TracedCircle:
    """A circle in pixels, and the edges that are thought to be its own."""

    centre: Points
    radius: float
    edges: EdgePoints

    @property
    def arc(self) -> float:
        """On what share of the lines there is an edge."""
        return float(np.count_nonzero(np.bincount(self.edges.line)) / OUTLINE_POINTS)

    @property
    def misfits_px(self) -> Numbers:
        """How far (n,) the edges lie outside the circle."""
        return outside(self.edges.points_px, self.centre, self.radius)

    def chosen(self, keep: NDArray[np.bool_]) -> "TracedCircle":
        """The circle, with the edges for which ``keep`` is true."""
        return TracedCircle(self.centre, self.radius, self.edges.chosen(keep))


def traced_circles(lab: Pixels, guesses: Sequence[tuple[float, float, float]]) -> list[TracedCircle]:
    """The circles through the edges near guesses (x, y, radius), without those of which too little is seen.

    What can be done for all of them in one go is, for most have few edges.
    """
    about = _going_on([_guessed(lab, *guess) for guess in guesses])
    agreed = [(each, _agreed(each)) for each in about if each.arc >= LEAST_ARC]
    #: All edges about each circle, and the circle as it was fitted to some of them last.
    traced = [(each.edges, circle) for each, circle in agreed if circle is not None]
    for last in range(ROUNDS + LAST_ROUNDS):
        near = [_near(edges, circle) for edges, circle in traced]
        if last >= ROUNDS:
            # What crosses the circle is near it for a short way only.
            near = _going_on(near)
        traced = [
            (edges, TracedCircle(*fit_circle(circle.edges.points_px), circle.edges))
            for (edges, _), circle in zip(traced, near, strict=True)
            if circle.arc >= LEAST_ARC
        ]
    return [circle for _, circle in traced]


def outside(points: Points, centre: Points, radius: float) -> Numbers:
    """How far (n,) points (n, 2) lie outside a circle."""
    away = points - centre
    return np.asarray(np.sqrt(away[:, 0] ** 2 + away[:, 1] ** 2) - radius)


def _reach_px(radius: float) -> float:
    return max(LEAST_REACH_PX, REACH_SHARE * radius)


def _guessed(lab: Pixels, x: float, y: float, radius: float) -> TracedCircle:
    """A guess with all edges near it."""
    centre = np.array([x, y])
    edges = edges_across(lab, centre + radius * OUTWARDS, OUTWARDS, _reach_px(radius), most=3)
    return TracedCircle(centre, radius, edges)


def _near(edges: EdgePoints, circle: TracedCircle) -> TracedCircle:
    """A circle with those of some edges that lie on it."""
    about = TracedCircle(circle.centre, circle.radius, edges)
    return about.chosen(np.abs(about.misfits_px) < INLIER_PX)


def _going_on(circles: Sequence[TracedCircle]) -> list[TracedCircle]:
    """The circles with the edges that go on beside them; cloth and wood show short ones everywhere."""
    if not circles:
        return []
    counts = [len(each.edges.line) for each in circles]
    lines_px = 2 * np.pi * np.array([each.radius for each in circles]) / OUTLINE_POINTS
    least = np.maximum(LEAST_LINES, LEAST_LENGTH_PX / lines_px)
    lines = np.concatenate([each.edges.line + k * OUTLINE_POINTS for k, each in enumerate(circles)])
    away_px = np.concatenate([each.misfits_px for each in circles])
    keep = in_chains(lines, away_px, OUTLINE_POINTS, np.repeat(least, counts))
    ends = np.cumsum(counts)
    return [each.chosen(some) for each, some in zip(circles, np.split(keep, ends[:-1]), strict=True)]


def _agreed(about: TracedCircle) -> TracedCircle | None:
    """Of many circles through three edges near a guess, the one on which most lines show an edge.

    Edges of several parts lie beside each other; a circle through the middle of all would be of none.
    """
    line, points = about.edges.line, about.edges.points_px
    by_third = np.bincount(line * 3 // OUTLINE_POINTS, minlength=3)
    if by_third.min() == 0:
        return None
    # One of each third of the circle; edges come line by line.
    chosen = np.cumsum(by_third) - by_third + (CHANCE * by_third).astype(np.intp)
    centres, radii = _circles_through(points[chosen])
    reach_px = _reach_px(about.radius)
    near = np.hypot(*(centres - about.centre).T) < reach_px
    near &= np.abs(radii - about.radius) < reach_px
    centres, radii = centres[near], radii[near]
    if not len(radii):
        return None
    best = int(_said(points, centres, radii).argmax())
    return TracedCircle(centres[best], float(radii[best]), about.edges)


def _said(points: Points, centres: Points, radii: Numbers) -> Numbers:
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


def _circles_through(corners: Points) -> tuple[Points, Numbers]:
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
