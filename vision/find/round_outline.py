"""The outer edge of a flat round thing, such as a coin, near a rough middle: an ellipse with its doubt.

A coin shows rings inside its edge, and a shadow outside it on one side. All rings share one middle, a shadow
does not. So the middle is where the edges about it make the sharpest rings, and the outermost clear ring is
the outline. Seen at a slant it is an ellipse, which is fitted last.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from uncertainties import UFloat, ufloat

from ..geometry.ellipse import Ellipse, Points, fit_ellipse
from .edges import EdgePoints, Pixels, edges_across

LINES, EDGES_A_LINE, WEAKEST = 180, 10, 0.1
DRAWS = 1500
#: A point belongs to the fitted ellipse within so many pixels.
ELLIPSE_PX = 1.5
#: The middle may be off by this share of the radius, at the most.
MIDDLE_SHARE = 0.25
#: An outline must be seen over this share of the way round.
LEAST_ARC = 0.45
#: Rings inside the outline are looked at too, down to this share of the smallest radius.
INNERMOST = 0.35
RING_STEP_PX, RING_WIDTH_PX = 0.5, 0.8
#: Rings are blurred by a Gaussian, which is cut off after so many steps (four deviations).
BLUR_STEPS = 6
#: A ring counts if it is seen so clearly (0 to 1), and compared with the clearest one.
LEAST_SEEN, NEARLY_AS_CLEAR = 0.25, 0.45
#: A thing seen at more of a slant than this (short axis / long axis) is not measured.
MOST_SLANT = 0.5
#: The edge of a coin is rounded and throws a shadow, so its radius is doubtful by so many pixels and by
#: this share; set from photographs of coins.
EDGE_DOUBT_PX, EDGE_DOUBT_SHARE = 0.35, 0.01
#: A ring this near to the outline (as a share of its radius) may be the outline instead.
NEXT_TO = 0.06
#: Neighbouring points err together; so many count as one.
TOGETHER = 6


@dataclass(frozen=True, slots=True)
class RoundOutline:
    """An outline.

    Attributes
    ----------
    ellipse : Ellipse
    points_px : (n, 2) array
        Edge points on it.
    arc : float
        Share of the way round over which it was seen.
    scatter_px : float
        Root mean square distance of the points from the ellipse.
    diameter_px : UFloat
        Its long axis: foreshortening leaves the long axis of a slanted circle as it is.
    """

    ellipse: Ellipse
    points_px: Points
    arc: float
    scatter_px: float
    diameter_px: UFloat

    @property
    def clarity(self) -> float:
        """How surely it is one round edge, 0 to 1: points strewn evenly over the tolerance say nothing."""
        return self.arc * max(1.0 - 3 * (self.scatter_px / (2 * ELLIPSE_PX)) ** 2, 0.0)


def round_outline(
    lab: Pixels, middle_px: Points, radii_px: tuple[float, float], seed: int = 0
) -> RoundOutline | None:
    """The outline about a rough middle (2,) with a radius in a range; None if none is clear.

    Parameters
    ----------
    lab : (h, w, 3) array
    middle_px : (2,) array
    radii_px : tuple of float
        Smallest and largest radius (half the long axis).
    seed : int
        Of the random choice of edges that circles are put through.
    """
    edges = _edges_about(lab, middle_px, radii_px)
    rings = _rings(edges, middle_px, radii_px, np.random.default_rng(seed))
    if rings is None:
        return None
    outermost = _outermost(edges, rings, radii_px)
    if outermost is None:
        return None
    radius, doubt = outermost
    return _as_ellipse(edges, rings.ellipse(radius), doubt / radius)


def _edges_about(lab: Pixels, middle_px: Points, radii_px: tuple[float, float]) -> EdgePoints:
    smallest, largest = INNERMOST * radii_px[0], (1 + MIDDLE_SHARE) * radii_px[1]
    turn = np.linspace(0, 2 * np.pi, LINES, endpoint=False)
    normals = np.column_stack([np.cos(turn), np.sin(turn)])
    between = middle_px + 0.5 * (smallest + largest) * normals
    return edges_across(lab, between, normals, 0.5 * (largest - smallest), most=EDGES_A_LINE, weakest=WEAKEST)


@dataclass(frozen=True, slots=True)
class _Rings:
    """The middle that all rings of a coin share, and how oval they all are."""

    x_px: float
    y_px: float
    oval_cos: float = 0.0
    oval_sin: float = 0.0

    def radii(self, points_px: Points) -> NDArray[np.float64]:
        """Radius (n,) of the ring on which each point lies."""
        x, y = points_px[:, 0] - self.x_px, points_px[:, 1] - self.y_px
        # Asked tens of thousands of times, so by squares: without angles, and without NumPy's slower hypot.
        xx, yy = x * x, y * y
        radius = np.sqrt(xx + yy)
        # The squared radius times cosine and sine of twice the angle.
        oval = self.oval_cos * (xx - yy) + (2 * self.oval_sin) * (x * y)
        return np.asarray(radius - oval / np.maximum(radius, 1e-9))

    def ellipse(self, radius_px: float) -> Ellipse:
        """The ring of a radius."""
        oval = float(np.hypot(self.oval_cos, self.oval_sin))
        turn = 0.5 * float(np.arctan2(self.oval_sin, self.oval_cos))
        return Ellipse(self.x_px, self.y_px, radius_px * (1 + oval), radius_px * (1 - oval), turn)


def _rings(
    edges: EdgePoints, middle_px: Points, radii_px: tuple[float, float], rng: np.random.Generator
) -> _Rings | None:
    """The middle about which most edges lie on sharp rings; None if no circle goes through any."""
    if len(edges.line) < 3:
        return None
    circles = _circles_through(edges.points_px[rng.integers(len(edges.line), size=(DRAWS, 3))])
    off = np.hypot(circles[:, 0] - middle_px[0], circles[:, 1] - middle_px[1])
    likely = (circles[:, 2] > INNERMOST * radii_px[0]) & (circles[:, 2] < radii_px[1])
    circles = circles[likely & (off < MIDDLE_SHARE * np.maximum(circles[:, 2], radii_px[0]))]
    if not len(circles):
        return None
    clear = _clarity(edges)

    def blur(x: NDArray[np.float64]) -> float:
        return -_sharpness(edges, clear, _Rings(*x))

    best = min(circles, key=lambda circle: blur(np.array([circle[0], circle[1], 0.0, 0.0])))
    start = np.array([best[0], best[1], 0.0, 0.0])
    steps = np.array([1.0, 1.0, 0.01, 0.01])
    simplex = np.vstack([start, start + np.diag(steps)])
    found = minimize(blur, start, method="Nelder-Mead", options={"initial_simplex": simplex, "maxfev": 200})
    return _Rings(*found.x)


def _clarity(edges: EdgePoints) -> NDArray[np.float64]:
    """Strength of each edge, the usual strongest edge of a line and more being 1."""
    firsts = np.unique(edges.line, return_index=True)[1]
    usual = np.median(np.maximum.reduceat(edges.strength, firsts))
    return np.asarray(np.minimum(edges.strength / usual, 1.0))


def _ring_course(
    edges: EdgePoints, clear: NDArray[np.float64], rings: _Rings
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """How clearly a ring is seen all round, 0 to 1, for radii half a pixel apart."""
    radii = rings.radii(edges.points_px)
    bins = np.arange(0.0, radii.max() + 4.0, RING_STEP_PX)
    # Tens of thousands of middles are tried: NumPy's histogram and SciPy's filter take six times as long.
    bin_of = np.maximum(radii / RING_STEP_PX, 0.0).astype(np.intp)
    counts = np.bincount(bin_of, weights=clear, minlength=len(bins))
    # Mirrored at radius 0; beyond the outermost edge there are more empty bins than the blur reaches over.
    mirrored = np.concatenate([counts[BLUR_STEPS - 1 :: -1], counts])
    return bins + RING_STEP_PX / 2, np.convolve(mirrored, _ring_blur(), mode="same")[BLUR_STEPS:]


@cache
def _ring_blur() -> NDArray[np.float64]:
    """Gaussian that makes a ring seen all round on one radius 1 high."""
    width = RING_WIDTH_PX / RING_STEP_PX
    blur = np.exp(-0.5 * (np.arange(-BLUR_STEPS, BLUR_STEPS + 1) / width) ** 2)
    return np.asarray(blur / blur.sum() * np.sqrt(2 * np.pi) * width / LINES)


def _sharpness(edges: EdgePoints, clear: NDArray[np.float64], rings: _Rings) -> float:
    seen = _ring_course(edges, clear, rings)[1]
    return float(np.dot(seen * seen, seen))


def _outermost(edges: EdgePoints, rings: _Rings, radii_px: tuple[float, float]) -> tuple[float, float] | None:
    """Radius of the outermost clear ring, and its doubt where others lie next to it.

    What is not about the coin's middle, like a shadow, makes no ring.
    """
    radii, seen = _ring_course(edges, _clarity(edges), rings)
    inside = (radii > radii_px[0]) & (radii < radii_px[1])
    radii, seen = radii[inside], seen[inside]
    if len(seen) < 3 or seen.max() < LEAST_SEEN:
        return None
    tops = np.flatnonzero((seen[1:-1] >= seen[:-2]) & (seen[1:-1] > seen[2:])) + 1
    good = tops[seen[tops] > max(LEAST_SEEN, NEARLY_AS_CLEAR * seen.max())]
    if not len(good):
        return None
    radius = float(radii[good[-1]])
    rivals = tops[(seen[tops] > LEAST_SEEN) & (np.abs(radii[tops] / radius - 1) < NEXT_TO)]
    return radius, float(np.sqrt(np.average((radii[rivals] - radius) ** 2, weights=seen[rivals])))


def _circles_through(triples: Points) -> Points:
    """Centres and radii (m, 3) of the circles through three points each (n, 3, 2); none if in a line."""
    a, b, c = triples[:, 0], triples[:, 1] - triples[:, 0], triples[:, 2] - triples[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        twice = 2 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
        bb, cc = (b**2).sum(axis=1), (c**2).sum(axis=1)
        x = (c[:, 1] * bb - b[:, 1] * cc) / twice
        y = (b[:, 0] * cc - c[:, 0] * bb) / twice
    circles = np.column_stack([a[:, 0] + x, a[:, 1] + y, np.hypot(x, y)])
    return np.asarray(circles[np.isfinite(circles).all(axis=1)], dtype=np.float64)


def _as_ellipse(edges: EdgePoints, guess: Ellipse, doubt_share: float) -> RoundOutline | None:
    """The ellipse through the edges next to a guess, found by closing in on it."""
    ellipse, radius = guess, guess.mean_radius_px
    for share in (0.02, 0.015, 0.0, 0.0, 0.0):
        away = np.abs(ellipse.distance_px(edges.points_px))
        nearest = edges.chosen(away < max(share * radius, ELLIPSE_PX))
        fitted = fit_ellipse(nearest.points_px)
        if fitted is None or not _slant(fitted) > MOST_SLANT or abs(fitted.mean_radius_px / radius - 1) > 0.1:
            return None
        ellipse = fitted
    away = ellipse.distance_px(edges.points_px)
    chosen = edges.chosen(np.abs(away) < ELLIPSE_PX)
    arc = len(np.unique(chosen.line)) / LINES
    if arc < LEAST_ARC:
        return None
    scatter = float(np.sqrt(np.mean(ellipse.distance_px(chosen.points_px) ** 2)))
    long_px = 2 * max(ellipse.semi_a_px, ellipse.semi_b_px)
    chance = scatter / np.sqrt(arc * LINES / TOGETHER) / arc
    share = float(np.hypot(EDGE_DOUBT_SHARE, doubt_share))
    doubt = float(np.hypot.reduce([2 * EDGE_DOUBT_PX, 2 * chance, share * long_px]))
    return RoundOutline(ellipse, chosen.points_px, arc, scatter, ufloat(long_px, doubt))


def _slant(ellipse: Ellipse) -> float:
    short_px, long_px = sorted((ellipse.semi_a_px, ellipse.semi_b_px))
    return short_px / long_px
