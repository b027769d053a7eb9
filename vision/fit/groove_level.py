"""Level parts of an outline: the tops of a groove's flanges, and a bottom that is broad enough to be seen."""

from dataclasses import dataclass

import numpy as np

from ..geometry.camera import Points

#: A top or a bottom is the part of the outline within so much of its highest or lowest place.
LEVEL_MM = 0.12
#: The blur of lens and processing rounds a sharp corner over so many pixels.
BLUR_PX = 2.5


@dataclass(frozen=True, slots=True)
class Level:
    """A level part of an outline: its place (u, v) in view pixels, and its ends along u."""

    u_px: float
    v_px: float
    ends_px: tuple[float, float]
    deviation_px: float


def level_place(line: Points, smooth: Points, near: int, reach_px: float, sign: int) -> Level:
    """The highest (sign 1) or lowest (-1) place near an index, by a parabola through what is level there."""
    window = slice(max(near - int(4 * BLUR_PX), 0), near + int(4 * BLUR_PX) + 1)
    near = window.start + int((sign * smooth[window, 1]).argmax())
    within = np.abs(smooth[:, 1] - smooth[near, 1]) < max(reach_px, 0.6)
    first, last = near, near
    while first > 0 and within[first - 1]:
        first -= 1
    while last < len(line) - 1 and within[last + 1]:
        last += 1
    u, v = line[first : last + 1].T
    ends = (float(smooth[first, 0]), float(smooth[last, 0]))
    if len(u) < 6 or np.ptp(u) < 3:
        # A corner, and how far blur has rounded it off is not known.
        return Level(float(smooth[near, 0]), float(np.median(v)), ends, BLUR_PX)
    middle, half = 0.5 * (u.min() + u.max()), 0.5 * np.ptp(u)
    design = np.vander((u - middle) / half, 3)
    curve = np.linalg.lstsq(design, v, rcond=None)[0]
    keep = np.abs(v - design @ curve) < 3 * max(float(np.std(v - design @ curve)), 0.05)
    curve = np.linalg.lstsq(design[keep], v[keep], rcond=None)[0]
    grid = np.linspace(-1, 1, 101)
    values = np.polyval(curve, grid)
    k = int((sign * values).argmax()) if sign * curve[0] < 0 else int(np.abs(grid).argmin())
    spread = float(np.std(v[keep] - design[keep] @ curve))
    return Level(
        float(middle + half * grid[k]), float(values[k]), ends, spread / np.sqrt(max(keep.sum() / 5, 1))
    )
