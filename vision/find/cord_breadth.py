"""Whether what is seen along a run grows broader and narrower as two cords would that part on their way.

Two cords that lie on each other pass for a thick one, and a lone one that is lit on one side, or a little out
of focus, is explained better by two. But it is as broad at one end as at the other.
"""

import numpy as np
from numpy.typing import NDArray

from .cord_lines import CordLines
from .strip import ACROSS_STEP_PX

Numbers = NDArray[np.float64]

#: Breadths that two cords explain differ so many times less from theirs than from their own median: on drawn
#: and rendered pictures with known truth 0.1 to 0.56 times where two part, 1.02 and more where there is one.
FOLLOWS = 0.75
#: So near beside the cords their blur ends, and so far from them the wall is looked at.
BLURRED_PX, BESIDE_PX = 1.5, 5.0
#: The wall beside the cords is a straight line across; fewer places than this tell none.
LEAST_PLACES = 4


def broad_as(profiles: Numbers, across_px: Numbers, both: CordLines, shares: Numbers) -> bool:
    """Whether the breadth seen along a run changes as that of two cords does.

    Parameters
    ----------
    profiles : (groups, columns, 3) array
    across_px : (columns,) array
        Distance of each column across the run.
    both : CordLines
        The two cords.
    shares : (groups,) array
        Where along the run each profile lies.
    """
    middles_px = both.at(shares)
    apart_px = np.ptp(middles_px, axis=0)
    ends = middles_px.min(axis=0) - both.half_px, middles_px.max(axis=0) + both.half_px
    seen = [
        _breadth_px(profile, across_px, low, high)
        for profile, low, high in zip(profiles, *(end.tolist() for end in ends), strict=True)
    ]
    told = np.array([np.nan if breadth_px is None else breadth_px for breadth_px in seen])
    found = np.isfinite(told)
    if not found.any():
        return False
    unlike, unlike_one = (_scatter_px(each[found]) for each in (told - apart_px, told))
    return unlike < FOLLOWS * unlike_one


def _scatter_px(breadths_px: Numbers) -> float:
    return float(np.abs(breadths_px - np.median(breadths_px)).sum())


def _breadth_px(profile: Numbers, across_px: Numbers, low_px: float, high_px: float) -> float | None:
    """How broad what stands between two places is at half its height, in a profile (columns, 3)."""
    near = (across_px > low_px - BESIDE_PX) & (across_px < high_px + BESIDE_PX)
    wall = near & ((across_px < low_px - BLURRED_PX) | (across_px > high_px + BLURRED_PX))
    if wall.sum() < LEAST_PLACES:
        return None
    slope, level = np.polyfit(across_px[wall], profile[wall], 1)
    stands_out = profile[near] - (np.outer(across_px[near], slope) + level)
    height = stands_out @ np.linalg.svd(stands_out, full_matrices=False)[2][0]
    height *= np.sign(height.sum())
    high = np.flatnonzero(height > 0.5 * height.max())
    return float(high[-1] - high[0]) * ACROSS_STEP_PX if len(high) else None
