"""Grooves in an outline: places narrower than the flanges on both sides."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import find_peaks

from ..geometry.camera import Points

# Shapes of turned grooves for drive bands of 1 to 6 mm (common practice, no source).
#: Depth of a groove.
DEPTHS_MM = (1.5, 12.0)
#: Width of a groove at its lower flange.
OPENINGS_MM = (1.2, 12.0)
#: What is deeper than this many times its width is a gap between two things.
DEEPEST = 2.0
#: A groove's bottom is at least this share of its lower flange across: what is thinner is the spindle.
LEAST_BOTTOM_SHARE = 0.5
#: Thinner things than this carry no band.
LEAST_RADIUS_MM = 6.5
#: Larger flanges than this are no whirl's.
MOST_RADIUS_MM = 55.0
#: The tops of both flanges lie so near each other along the axis.
TOPS_APART_MM = 18.0
#: A flange stands out against its neighbourhood by so much.
FLANGE_MM = 0.3


@dataclass(frozen=True, slots=True)
class Groove:
    """Indices into an outline: the groove's bottom and the tops of the nearest flanges on both sides."""

    bottom: int
    left: int
    right: int


def grooves(points: Points, mm_per_px: float) -> list[Groove]:
    """Grooves of an outline (n, 2), (u, v) with v from the axis, from left to right."""
    height = points[:, 1] * mm_per_px
    bottoms, _ = find_peaks(-height, prominence=DEPTHS_MM[0])
    tops, _ = find_peaks(np.concatenate([[0.0], height, [0.0]]), prominence=FLANGE_MM)
    tops = tops - 1
    found = []
    for bottom in bottoms:
        before, after = tops[tops < bottom], tops[tops > bottom]
        if len(before) and len(after):
            groove = Groove(int(bottom), int(before[-1]), int(after[0]))
            if _may_carry_a_band(points * mm_per_px, groove):
                found.append(groove)
    return found


def _may_carry_a_band(points_mm: Points, groove: Groove) -> bool:
    height = points_mm[:, 1]
    lower = min(height[groove.left], height[groove.right])
    bottom = height[groove.bottom]
    opening = opening_of(points_mm, groove)
    return bool(
        DEPTHS_MM[0] <= lower - bottom <= DEPTHS_MM[1]
        and OPENINGS_MM[0] <= opening <= OPENINGS_MM[1]
        and lower - bottom <= DEEPEST * opening
        and abs(points_mm[groove.right, 0] - points_mm[groove.left, 0]) <= TOPS_APART_MM
        and lower <= MOST_RADIUS_MM
        and bottom >= max(LEAST_BOTTOM_SHARE * lower, LEAST_RADIUS_MM)
    )


def opening_of(points: Points, groove: Groove) -> float:
    """Width of a groove along the axis, at nine tenths of its height below the lower flange's top."""
    height = points[groove.left : groove.right + 1, 1]
    lower = min(height[0], height[-1])
    bottom = points[groove.bottom, 1]
    below: NDArray[np.intp] = np.flatnonzero(height < bottom + 0.9 * (lower - bottom))
    u = points[groove.left + below, 0]
    return float(u.max() - u.min())


def depth_of(points: Points, groove: Groove) -> float:
    """How far the lower of the two flanges stands above the bottom."""
    lower = min(points[groove.left, 1], points[groove.right, 1])
    return float(lower - points[groove.bottom, 1])
