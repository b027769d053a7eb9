"""The bottom of a groove: as it is seen, or where straight flanks would meet.

Blur and noise fill a narrow V in the shade, so what is seen there is no bottom but the highest that it can
be; the corner of its flanks is the lowest.
"""

import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Points
from .groove_level import BLUR_PX, LEVEL_MM, Level, level_place

Numbers = NDArray[np.float64]

#: Two straight flanks that miss their points by less than this make a V groove.
STRAIGHT_MM, STRAIGHT_PX = 0.04, 0.35
#: Where the bottom is not seen, flanks that are seen this many times as badly must do.
STRAIGHT_ENOUGH = 2.5
#: Flanks are followed between these shares of the groove's depth.
FLANK_SHARES = (0.1, 0.7)
#: A V groove opens by less than this; what is flatter is a hollow.
WIDEST_V_RAD = np.radians(130.0)
#: A bottom is seen if the picture changes across it by this share of what it usually does across the outline;
#: it is asked so far to either side along the outline. In given pictures bottoms that were right show .65 and
#: more, those that were off by more than a pixel in the shade of their flanks .2 and less.
SEEN_SHARE, ABOUT = 0.4, 3
#: Standard deviation, as a share of the distance between two possible bottoms, that covers both.
BOTH_COVERED = 0.35


def floor_of(
    line: Points, smooth: Points, shown: Numbers, tops: tuple[int, int], bottom: int, px_per_mm: float
) -> tuple[Level, bool]:
    """The bottom of a groove, and whether it is a corner between straight flanks.

    Parameters
    ----------
    line, smooth : (n, 2) array
        The outline (u, v) about a pixel apart, as found and smoothed a little.
    shown : (n,) array
        How clearly each place of it shows an edge.
    tops : tuple of int
    bottom : int
        Where its tops and its lowest place are.
    px_per_mm : float
    """
    seen = float(np.median(shown[max(bottom - ABOUT, 0) : bottom + ABOUT + 1])) > SEEN_SHARE
    floor = level_place(line, smooth, bottom, LEVEL_MM * px_per_mm, -1)
    straight_px = max(STRAIGHT_PX, STRAIGHT_MM * px_per_mm)
    corner = _corner(smooth, tops, bottom, STRAIGHT_ENOUGH * straight_px)
    if corner is None:
        if seen:
            return floor, False
        # The flanks do not tell either how deep it is: anything down to half as deep again.
        deeper = 0.5 * (min(smooth[top, 1] for top in tops) - floor.v_px)
        return _between(floor.u_px, floor.v_px - deeper, floor.v_px), False
    (u, v), off_px = corner
    if not seen:
        return _between(u, v, float(smooth[bottom, 1])), True
    if off_px > straight_px or smooth[bottom, 1] - v >= 2 * BLUR_PX:
        # The flanks end at a bottom of their own.
        return floor, False
    return Level(u, v, (u, u), off_px), True


def _between(u: float, low: float, high: float) -> Level:
    """A bottom anywhere between two heights."""
    return Level(u, 0.5 * (low + high), (u, u), BOTH_COVERED * (high - low))


def _corner(
    line: Points, tops: tuple[int, int], bottom: int, tolerance_px: float
) -> tuple[tuple[float, float], float] | None:
    """Where two straight flanks meet, and their misfit; None if they are not straight, or meet flatly."""
    floor = line[bottom, 1]
    depth = min(line[top, 1] for top in tops) - floor
    flanks = []
    for top in tops:
        piece = line[min(top, bottom) : max(top, bottom) + 1]
        height = piece[:, 1] - floor
        away = np.hypot(*(piece - line[bottom]).T)
        low, high = (share * depth for share in FLANK_SHARES)
        keep = (away > BLUR_PX) & (height > low) & (height < high)
        if keep.sum() < 6:
            return None
        flanks.append(_straight(piece[keep]))
    (one, along_one, off_one), (other, along_other, off_other) = flanks
    opening = np.arccos(np.clip(abs(along_one @ along_other), 0, 1))
    if max(off_one, off_other) > tolerance_px or opening > WIDEST_V_RAD or opening < 0.1:
        return None
    reach = np.linalg.solve(np.column_stack([along_one, -along_other]), other - one)[0]
    u, v = one + reach * along_one
    if v > floor + 0.5:
        return None
    return (float(u), float(v)), max(off_one, off_other)


def _straight(points: Points) -> tuple[Points, Points, float]:
    """Middle, direction and root mean square misfit of a line through points."""
    middle = points.mean(axis=0)
    _, sizes, axes = np.linalg.svd(points - middle, full_matrices=False)
    return middle, axes[0], float(sizes[1] / np.sqrt(len(points)))
