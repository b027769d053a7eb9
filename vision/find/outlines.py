"""The four sides of a rectangle to a fraction of a pixel, once it is roughly known where they are.

Corners are rounded, worn or taped over, so they are never looked at: each side is a straight line fitted
to its middle part, and the corners are where the lines cross.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from .edges import EdgePoints, edges_across

#: So much of each side's ends is not asked for an edge.
CORNER_SHARE = 0.08
STATIONS, GROUPS = 120, 8
LINE_TOLERANCE_PX, COVER_TOLERANCE_PX = 0.9, 1.2
#: A side is believed if this share of its stations shows an edge on one line.
LEAST_SIDE = 0.35
#: Edges that a group of stations must have on the line to give a point of it.
LEAST_IN_GROUP = 4
LINES_A_SIDE, LINE_DRAWS = 2, 150
#: How far off a side may be, and how much turned, where nothing better is known.
USUAL_REACH_PX, USUAL_TURN_RAD = 4.0, np.radians(3.0)


@dataclass(frozen=True, slots=True)
class Outline:
    """Four sides.

    Attributes
    ----------
    corners_px : (4, 2) array
        Crossings of the sides.
    sides_px : tuple of four (n, 2) arrays
        Points on each side, the first one running from the first corner to the second.
    """

    corners_px: Points
    sides_px: tuple[Points, ...]


@dataclass(frozen=True, slots=True)
class _Side:
    """A straight line through a place (2,) in a unit direction (2,), and the points it was fitted to."""

    place: Points
    direction: Points
    points_px: Points


def refined_outline(pixels: NDArray[np.float32], corners_px: Points) -> Outline | None:
    """The clearest line along each side of a rough rectangle (4, 2); None if a side shows none.

    ``pixels`` (h, w, 3) are light for what is printed in black on white, else CIELAB.
    """
    sides = [_side_lines(pixels, corners_px, k, USUAL_REACH_PX, USUAL_TURN_RAD)[:1] for k in range(4)]
    return _outline([side[0] for side in sides]) if all(sides) else None


def likeliest_outline(
    lab: NDArray[np.float32],
    corners_px: Points,
    misfit: Callable[[Points], float],
    reach_px: float = USUAL_REACH_PX,
    turn_rad: float = USUAL_TURN_RAD,
) -> Outline | None:
    """Of each side the line that makes the best rectangle with the others; None if a side shows none.

    A printed border or a shadow runs alongside many a side and is often clearer than the side itself. So
    the two clearest lines are kept of each side.

    Parameters
    ----------
    lab : (h, w, 3) array
    corners_px : (4, 2) array
        Where the corners are about.
    misfit : callable
        How badly corners (4, 2) in pixels make a rectangle of the right shape; comparable between choices.
    reach_px, turn_rad : float
        How far off a side may be, and how much turned.
    """
    sides = [_side_lines(lab, corners_px, k, reach_px, turn_rad) for k in range(4)]
    if not all(sides):
        return None
    return min(map(_outline, product(*sides)), key=lambda outline: misfit(outline.corners_px))


def outline_cover(lab: NDArray[np.float32], corners_px: Points) -> float:
    """Share of the sides between corners (4, 2) along which an edge runs, the corners left out."""
    covers = []
    for k in range(4):
        stations, along = _stations(corners_px, k)
        normal = np.array([-along[1], along[0]])
        edges = edges_across(lab, stations, np.broadcast_to(normal, (STATIONS, 2)).copy(), USUAL_REACH_PX)
        on_side = np.abs((edges.points_px - stations[0]) @ normal) < COVER_TOLERANCE_PX
        covers.append(len(np.unique(edges.line[on_side])) / STATIONS)
    return float(np.mean(covers))


def _stations(corners_px: Points, k: int) -> tuple[Points, Points]:
    """Places (STATIONS, 2) along the side after corner k, its ends left out, and its direction (2,)."""
    start, end = corners_px[k], corners_px[(k + 1) % 4]
    share = np.linspace(CORNER_SHARE, 1 - CORNER_SHARE, STATIONS)[:, None]
    return start + share * (end - start), np.asarray((end - start) / np.linalg.norm(end - start))


def _outline(sides: Sequence[_Side]) -> Outline:
    corners = [_crossing(sides[k - 1], sides[k]) for k in range(4)]
    return Outline(np.array(corners), tuple(side.points_px for side in sides))


def _crossing(one: _Side, other: _Side) -> Points:
    (x, y), (other_x, other_y) = one.direction, other.direction
    away_x, away_y = other.place - one.place
    reach = (away_x * other_y - away_y * other_x) / (x * other_y - y * other_x)
    return np.asarray(one.place + reach * one.direction)


def _side_lines(
    lab: NDArray[np.float32], corners_px: Points, k: int, reach_px: float, turn_rad: float
) -> list[_Side]:
    """The straight edges along the side after corner k, the clearest first, two at the most."""
    stations, along = _stations(corners_px, k)
    normals = np.broadcast_to([-along[1], along[0]], (STATIONS, 2)).copy()
    edges = edges_across(lab, stations, normals, reach_px)
    rng = np.random.default_rng(0)
    lines: list[_Side] = []
    for _ in range(LINES_A_SIDE):
        on_line = _on_one_line(edges, along, np.sin(turn_rad), rng)
        if on_line is None:
            break
        side = _fitted_side(edges.chosen(on_line))
        if side is not None:
            lines.append(side)
        edges = edges.chosen(~on_line)
    return lines


def _on_one_line(
    edges: EdgePoints, along: Points, most_slope: float, rng: np.random.Generator
) -> NDArray[np.bool_] | None:
    """Which edges lie on the line, nearly parallel to the side, that most stations share; None if too few."""
    if len(edges.line) < LEAST_SIDE * STATIONS:
        return None
    one, other = edges.points_px[rng.integers(len(edges.line), size=(2, LINE_DRAWS))]
    length = np.linalg.norm(other - one, axis=1)
    direction = (other - one) / np.maximum(length, 1e-9)[:, None]
    slope = np.abs(direction[:, 0] * along[1] - direction[:, 1] * along[0])
    usable = (length > 10.0) & (slope < most_slope)
    if not usable.any():
        return None
    one, direction = one[usable], direction[usable]
    offset = edges.points_px - one[:, None]
    away = np.abs(offset[..., 0] * direction[:, None, 1] - offset[..., 1] * direction[:, None, 0])
    near = away < LINE_TOLERANCE_PX
    firsts = np.unique(edges.line, return_index=True)[1]
    stations = np.logical_or.reduceat(near, firsts, axis=1).sum(axis=1)
    best = int(stations.argmax())
    return np.asarray(near[best]) if stations[best] >= LEAST_SIDE * STATIONS else None


def _fitted_side(edges: EdgePoints) -> _Side | None:
    """The line through the medians of groups of neighbouring edges; None if fewer than three groups show."""
    group = edges.line * GROUPS // STATIONS
    points = [edges.points_px[group == g] for g in range(GROUPS)]
    medians = np.array([_median(p) for p in points if len(p) >= LEAST_IN_GROUP])
    if len(medians) < 3:
        return None
    middle = medians.mean(axis=0)
    _, _, axes = np.linalg.svd(medians - middle, full_matrices=False)
    return _Side(middle, axes[0], medians)


def _median(points: Points) -> Points:
    """The median (2,) of points (n, 2); NumPy's own takes several times as long for a few points."""
    ordered = np.sort(points, axis=0)
    return np.asarray(0.5 * (ordered[(len(points) - 1) // 2] + ordered[len(points) // 2]))
