"""Whether something round and even lies outside of what was taken for the rim's outermost edge.

Where rim and background are alike, the rim's inner edge, or a ring turned into its face, may be the clearest
round edge about the hub, and of the outer one only arcs show. Its middle lies elsewhere than theirs in the
picture if it stands higher or lower on the axle: then it is seen aside, along the shorter axis. Where most of
it shows with little scatter, it is an edge of the rim like others; where less shows, it is too little to
measure, but enough to tell that the rim goes on.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Ellipse
from .edges import Pixels, lab_pixels
from .rim import OUTLINE_POINTS, REFINE_SIDE_PX, RimEdge, refine_edge

#: An edge is larger by these factors: rims are up to a sixth of their radius deep (common practice, no
#: source), and their face may slope.
LEAST_FACTOR, FURTHEST = 1.025, 1.28
#: First they are looked for in a picture smaller by so much, which is searched in larger steps; guesses of
#: which so much shows are followed up.
ROUGHLY, LEAST_ROUGHLY_SURE = 0.5, 0.15
FACTORS, ROUGH_REACH_PX, REACH = np.arange(1.04, 1.27, 0.04), 4.0, 0.012
#: An edge of the rim stands so much higher or lower than another at the most, in rim radii.
MOST_HEIGHT, MOST_ASIDE = 0.15, 0.03
#: What lies on the known edge itself, within so much of its radius, is no edge beyond it.
CLEAR_OF_IT = 0.02
#: Points that a curve meets by chance scatter about it by 0.73 pixels and more, those of an edge by less. So
#: the scatter tells what share of them surely lies on an edge, and their cover how much of the outline that
#: is. In drawn rooms and pictures with known truth, beyond 171 true outermost edges at most 0.26 of an
#: outline surely was an edge, but beyond 9 of 12 that were not the outermost 0.38 and more.
CHANCE_SCATTER_PX, LEAST_SURE, MOSTLY_SEEN = 0.8, 0.3, 0.42
#: Edges that are looked for beyond each other at the most.
MOST_RINGS = 3


def edge_seen_beyond(bgr: NDArray[np.uint8], rim: RimEdge) -> bool:
    """Whether arcs of a larger round edge about the same axle are seen.

    Parameters
    ----------
    bgr : (h, w, 3) array of uint8
    rim : RimEdge
        In pixels of the picture.
    """
    return any(sure >= LEAST_SURE for sure, _ in _beyond(bgr, rim.ellipse))


def with_edges_beyond(bgr: NDArray[np.uint8], edges: Sequence[RimEdge]) -> list[RimEdge]:
    """The edges, and before them those about the same axle of which most shows beyond the outermost one.

    Parameters
    ----------
    bgr : (h, w, 3) array of uint8
    edges : sequence of RimEdge
        In pixels of the picture, the outermost first.
    """
    found = list(edges)
    for _ in range(MOST_RINGS if found else 0):
        beyond = max(_beyond(bgr, found[0].ellipse), key=lambda seen: seen[0], default=None)
        if beyond is None or beyond[0] < MOSTLY_SEEN:
            break
        found.insert(0, beyond[1])
    return found


def _beyond(bgr: NDArray[np.uint8], known_px: Ellipse) -> Iterator[tuple[float, RimEdge]]:
    """Larger edges, and on what share of its outline each surely is one that the known edge is not."""
    scale = min(1.0, REFINE_SIDE_PX / max(bgr.shape[:2]))
    lab, known = lab_pixels(bgr, scale), known_px.rescaled(scale)
    small, known_small = lab_pixels(bgr, ROUGHLY * scale), known.rescaled(ROUGHLY)
    for start in _starts(known_small):
        sure, rough = _refined(small, start, ROUGH_REACH_PX, known_small)
        if rough is None or sure < LEAST_ROUGHLY_SURE:
            continue
        guess = rough.ellipse.rescaled(1 / ROUGHLY)
        sure, edge = _refined(lab, guess, REACH * known.mean_radius_px, known)
        if edge is not None:
            ellipse, points_px = edge.ellipse.rescaled(1 / scale), (edge.points_px + 0.5) / scale - 0.5
            yield sure, RimEdge(ellipse, points_px, edge.cover, edge.scatter_px / scale)


def _starts(known: Ellipse) -> Iterator[Ellipse]:
    """Larger circles on one axle with the known one, as they may look."""
    aside_px = MOST_HEIGHT * _sine_of_tilt(known) * known.mean_radius_px
    most = int(np.ceil(aside_px / (2 * ROUGH_REACH_PX)))
    for factor in FACTORS.tolist():
        for step in range(-most, most + 1):
            x, y = known.centre_px + 2 * ROUGH_REACH_PX * step * _shorter_axis(known)
            yield replace(known.grown(factor), x_px=float(x), y_px=float(y))


def _refined(
    lab: Pixels, start: Ellipse, reach_px: float, known: Ellipse
) -> tuple[float, RimEdge] | tuple[float, None]:
    """The edge near a start, if it may be on one axle with the known one, and what share of it is sure."""
    edge = refine_edge(lab, start, reach_px, np.random.default_rng(0))
    if edge is None or not _about_the_same_axle(edge.ellipse, known):
        return 0.0, None
    outside = known.distance_px(edge.points_px) > CLEAR_OF_IT * known.mean_radius_px
    return _surely(edge.ellipse, edge.points_px[outside]) if outside.any() else 0.0, edge


def _about_the_same_axle(larger: Ellipse, known: Ellipse) -> bool:
    """Whether a larger circle, before or behind the known one on one axle, may look like that."""
    away = (larger.centre_px - known.centre_px) / known.mean_radius_px
    shorter = _shorter_axis(known)
    along, across = abs(float(away @ shorter)), abs(float(away[0] * shorter[1] - away[1] * shorter[0]))
    most_along = MOST_ASIDE + MOST_HEIGHT * _sine_of_tilt(known)
    factor = larger.mean_radius_px / known.mean_radius_px
    return LEAST_FACTOR < factor < FURTHEST and along < most_along and across < MOST_ASIDE


def _sine_of_tilt(ellipse: Ellipse) -> float:
    """How far the circle that looks like that is tilted, roughly."""
    short, long = sorted((ellipse.semi_a_px, ellipse.semi_b_px))
    return float(np.sqrt(1 - (short / long) ** 2))


def _shorter_axis(ellipse: Ellipse) -> NDArray[np.float64]:
    """The direction (2,) of an ellipse's shorter axis, in which the axle is seen."""
    turn = ellipse.angle_rad + (np.pi / 2 if ellipse.semi_a_px > ellipse.semi_b_px else 0.0)
    return np.array([np.cos(turn), np.sin(turn)])


def _surely(ellipse: Ellipse, points_px: NDArray[np.float64]) -> float:
    """Share of an outline on which points (n, 2) surely lie on an edge."""
    x, y = (points_px - ellipse.centre_px).T
    sectors = np.unique(np.floor(OUTLINE_POINTS * (np.arctan2(y, x) / (2 * np.pi) + 0.5)))
    chance = float(np.mean((ellipse.distance_px(points_px) / CHANCE_SCATTER_PX) ** 2))
    return len(sectors) / OUTLINE_POINTS * max(1.0 - chance, 0.0)
