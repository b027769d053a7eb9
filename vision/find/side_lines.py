"""Straight lines along one side of a thing that is roughly known, those with most edges first.

A side is asked for edges at many stations, across it. A line through two of them, far apart, is drawn again
and again; what counts is at how many stations an edge lies on it. Alongside many a side runs another line: a
printed border, a shadow, the foot of the wall under it. So several are told.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from .edges import EdgePoints, edges_across

Numbers = NDArray[np.float64]

#: So much of each side's ends is not asked for an edge.
CORNER_SHARE = 0.08
STATIONS, GROUPS = 120, 8
LINE_TOLERANCE_PX = 0.9
#: A side is believed if this share of its stations shows an edge on one line.
LEAST_SIDE = 0.35
#: Edges that a group of stations must have on the line to give a point of it.
LEAST_IN_GROUP = 4
LINE_DRAWS = 400
#: Colour is read so far inside a side.
INSIDE_PX = 4.0
#: Two lines are one if at both ends of the side they are nearer to each other than this.
SAME_LINE_PX = 1.0


@dataclass(frozen=True, slots=True)
class SideLine:
    """A straight line through a place (2,) in a unit direction (2,), and what it was fitted to.

    Attributes
    ----------
    place, direction : (2,) array
    points_px : (n, 2) array
        Medians of neighbouring edges.
    fullness : float
        Share of the side's stations that show an edge on it.
    inside : (3,) array
        Colour beside the line, on the right of the side's direction.
    """

    place: Points
    direction: Points
    points_px: Points
    fullness: float
    inside: Numbers


def stations_along(corners_px: Points, k: int) -> tuple[Points, Points]:
    """Places (STATIONS, 2) along the side after corner k, its ends left out, and its direction (2,)."""
    start, end = corners_px[k], corners_px[(k + 1) % 4]
    share = np.linspace(CORNER_SHARE, 1 - CORNER_SHARE, STATIONS)[:, None]
    return start + share * (end - start), np.asarray((end - start) / np.linalg.norm(end - start))


def side_lines(
    pixels: NDArray[np.float32],
    corners_px: Points,
    k: int,
    reach_px: float,
    turn_rad: float,
    most: int,
    smooth: float = 1.0,
) -> list[SideLine]:
    """Straight edges along the side after corner k of a rough rectangle (4, 2), the fullest first.

    Parameters
    ----------
    pixels : (h, w, 3) array
    corners_px : (4, 2) array
    k : int
    reach_px, turn_rad : float
        How far off the side may be, and how much turned.
    most : int
        How many lines are told at the most.
    smooth : float
        Over how many stations edges are averaged.
    """
    stations, along = stations_along(corners_px, k)
    across = np.array([-along[1], along[0]])
    normals = np.broadcast_to(across, (STATIONS, 2)).copy()
    edges = edges_across(pixels, stations, normals, reach_px, along=smooth)
    if len(edges.line) < LEAST_SIDE * STATIONS:
        return []
    length_px = float(np.linalg.norm(stations[-1] - stations[0]))
    drawn_px, near = _drawn(
        edges.line, (edges.points_px - stations[0]) @ across, length_px * np.tan(turn_rad)
    )
    firsts = np.flatnonzero(np.diff(edges.line, prepend=-1))
    met = np.logical_or.reduceat(near, firsts, axis=1).sum(axis=1)
    lines: list[SideLine] = []
    left = met >= LEAST_SIDE * STATIONS
    while left.any() and len(lines) < most:
        best = int(np.where(left, met, 0).argmax())
        left &= np.abs(drawn_px - drawn_px[best]).max(axis=1) > SAME_LINE_PX
        on_line = edges.chosen(near[best])
        inside = _colour(pixels, on_line.points_px + INSIDE_PX * across)
        line = _fitted(on_line, float(met[best]) / STATIONS, inside)
        if line is not None:
            lines.append(line)
            left &= np.abs(drawn_px - _ends(line, stations, across)).max(axis=1) > SAME_LINE_PX
    return lines


def _drawn(station: NDArray[np.intp], away_px: Numbers, most_px: float) -> tuple[Numbers, NDArray[np.bool_]]:
    """Lines through one edge of the side's first half and one of its second, by where their ends lie.

    ``most_px`` is by how much a line's two ends (draws, 2), across the side, may differ. Told with them is
    which edges (draws, n) lie on each.
    """
    rng = np.random.default_rng(0)
    share = station / (STATIONS - 1)
    halves = np.flatnonzero(share < 0.5), np.flatnonzero(share >= 0.5)
    if not all(len(half) for half in halves):
        return np.zeros((0, 2)), np.zeros((0, len(station)), dtype=bool)
    one, other = (half[rng.integers(len(half), size=LINE_DRAWS)] for half in halves)
    rise = (away_px[other] - away_px[one]) / np.maximum(share[other] - share[one], 0.1)
    kept = np.abs(rise) < most_px
    one, rise = one[kept], rise[kept]
    start = away_px[one] - rise * share[one]
    near = np.abs(away_px - start[:, None] - rise[:, None] * share) < LINE_TOLERANCE_PX
    return np.column_stack([start, start + rise]), near


def _ends(line: SideLine, stations: Points, across: Points) -> Numbers:
    """How far (2,) the line runs from the first and the last station, across the side."""
    normal = np.array([-line.direction[1], line.direction[0]])
    return np.asarray((line.place - stations[[0, -1]]) @ normal / (across @ normal))


def _colour(pixels: NDArray[np.float32], places_px: Points) -> Numbers:
    """The usual colour (3,) at places (n, 2)."""
    x, y = places_px.astype(np.float32).T
    colours = cv2.remap(pixels, x[None], y[None], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)[0]
    return np.asarray(np.median(colours, axis=0), dtype=float)


def _fitted(edges: EdgePoints, fullness: float, inside: Numbers) -> SideLine | None:
    """The line through the medians of groups of neighbouring edges; None if fewer than three groups show."""
    group = edges.line * GROUPS // STATIONS
    points = [edges.points_px[group == g] for g in range(GROUPS)]
    medians = np.array([_median(p) for p in points if len(p) >= LEAST_IN_GROUP])
    if len(medians) < 3:
        return None
    middle = medians.mean(axis=0)
    _, _, axes = np.linalg.svd(medians - middle, full_matrices=False)
    return SideLine(middle, axes[0], medians, fullness, inside)


def _median(points: Points) -> Points:
    """The median (2,) of points (n, 2); NumPy's own takes several times as long for a few points."""
    ordered = np.sort(points, axis=0)
    return np.asarray(0.5 * (ordered[(len(points) - 1) // 2] + ordered[len(points) // 2]))
