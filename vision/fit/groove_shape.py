"""What the outline of one groove shows: tops, bottom, flanks, and whether its bottom is seen at all."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from ..geometry.camera import Points
from ..geometry.revolved import clearance_over_edge, waist_place, waist_radius

Numbers = NDArray[np.float64]

#: A top or a bottom is the part of the outline within so much of its highest or lowest place.
LEVEL_MM = 0.12
#: The blur of lens and processing rounds a sharp corner over so many pixels.
BLUR_PX = 2.5
#: Two straight flanks that miss their points by less than this make a V groove.
STRAIGHT_MM, STRAIGHT_PX = 0.04, 0.35
#: Flanks are followed up to this share of the groove's depth.
FLANK_SHARE = 0.7
#: A bottom is taken as seen if the sight of it passes over the flange by so much: an edge that faces along
#: the sight is placed no better.
CLEAR_MM = 0.6
#: Standard deviation, as a share of the distance between two possible bottoms, that covers both.
BOTH_COVERED = 0.35
#: A flank has come up to its flange at this share of the depth.
MOUTH_SHARE = 0.93
#: A V groove opens by less than this; what is flatter is a hollow.
WIDEST_V_RAD = np.radians(130.0)


@dataclass(frozen=True, slots=True)
class Level:
    """A level part of an outline: its place (u, v) in view pixels, and its ends along u."""

    u_px: float
    v_px: float
    ends_px: tuple[float, float]
    deviation_px: float


@dataclass(frozen=True, slots=True)
class GrooveShape:
    """One groove in the view square to its axis, in pixels of that view.

    Attributes
    ----------
    left, right : Level
        Tops of the two flanges.
    bottom : Level
    sharp : bool
        Whether the bottom is a corner between straight flanks.
    clearance_mm : float
        How far the sight of the bottom passes above the nearer flange's edge; negative: hidden.
    mouth_px : tuple of float
        Places u at which the flanks come up to the lower flange.
    line : (n, 2) array
        The outline from the one end of the mouth to the other.
    """

    left: Level
    right: Level
    bottom: Level
    sharp: bool
    clearance_mm: float
    mouth_px: tuple[float, float]
    line: Points

    @property
    def lower(self) -> Level:
        """The lower of the two flanges: the band runs below both."""
        return min(self.left, self.right, key=lambda level: level.v_px)

    @property
    def hidden(self) -> bool:
        """Whether the bottom is not surely seen."""
        return self.clearance_mm < CLEAR_MM

    @property
    def is_groove(self) -> bool:
        """A gap deeper than wide with no bottom in sight may lie between two parts on one spindle."""
        deep = self.lower.v_px - self.bottom.v_px > self.mouth_px[1] - self.mouth_px[0]
        return not (self.hidden and deep) and self.lower.v_px > self.bottom.v_px


def groove_shape(
    line: Points, tops: tuple[int, int], bottom: int, focal_px: float, distance_mm: float
) -> GrooveShape:
    """Measure a groove's shape.

    Parameters
    ----------
    line : (n, 2) array
        Outline (u, v) in view pixels, about a pixel apart, the tops and a little beyond them in it.
    tops : tuple of int
    bottom : int
        Indices of the tops and the bottom, roughly.
    focal_px, distance_mm : float
        Of the view.
    """
    px_per_mm = focal_px / distance_mm
    smooth = gaussian_filter1d(line, 1.0, axis=0, mode="nearest")
    left, right = (_level(line, smooth, top, LEVEL_MM * px_per_mm, +1) for top in tops)
    lowest = tops[0] + int(smooth[tops[0] : tops[1] + 1, 1].argmin())
    bottom = lowest if abs(lowest - bottom) < 0.3 * (tops[1] - tops[0]) else bottom
    floor = _level(line, smooth, bottom, LEVEL_MM * px_per_mm, -1)
    corner = _corner(smooth, tops, bottom, px_per_mm)
    sharp = corner is not None
    floor = corner or floor
    mouth = _mouth(smooth, bottom, min(left.v_px, right.v_px), floor.v_px)
    ends = (float(smooth[mouth[0], 0]), float(smooth[mouth[1], 0]))
    clearance = _clearance_mm((left, right), floor, ends, focal_px, distance_mm)
    return GrooveShape(left, right, floor, sharp, clearance, ends, smooth[mouth[0] : mouth[1] + 1])


def _mouth(line: Points, bottom: int, lower: float, floor: float) -> tuple[int, int]:
    """Indices about the bottom between which the outline stays below the lower flange."""
    below = line[:, 1] < floor + MOUTH_SHARE * (lower - floor)
    first, last = bottom, bottom
    while first > 0 and below[first - 1]:
        first -= 1
    while last < len(line) - 1 and below[last + 1]:
        last += 1
    return max(first - 1, 0), min(last + 1, len(line) - 1)


def _level(line: Points, smooth: Points, near: int, reach_px: float, sign: int) -> Level:
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


def _corner(line: Points, tops: tuple[int, int], bottom: int, px_per_mm: float) -> Level | None:
    """Where two straight flanks meet; None if they are not straight, or meet flatly."""
    floor = line[bottom, 1]
    depth = min(line[top, 1] for top in tops) - floor
    flanks = []
    for top in tops:
        piece = line[min(top, bottom) : max(top, bottom) + 1]
        height = piece[:, 1] - floor
        away = np.hypot(*(piece - line[bottom]).T)
        keep = (away > BLUR_PX) & (height < FLANK_SHARE * depth)
        if keep.sum() < 6:
            return None
        flanks.append(_straight(piece[keep]))
    (one, along_one, off_one), (other, along_other, off_other) = flanks
    tolerance = max(STRAIGHT_PX, STRAIGHT_MM * px_per_mm)
    opening = np.arccos(np.clip(abs(along_one @ along_other), 0, 1))
    if off_one > tolerance or off_other > tolerance or opening > WIDEST_V_RAD or opening < 0.1:
        return None
    reach = np.linalg.solve(np.column_stack([along_one, -along_other]), other - one)[0]
    u, v = one + reach * along_one
    if v > floor + 0.5:
        return None
    below = floor - v
    if below < 2 * BLUR_PX:
        return Level(float(u), float(v), (float(u), float(u)), 0.5 * (off_one + off_other))
    # Either the flanks end at a flat bottom, or the corner is too dark to be seen: both are covered.
    return Level(float(u), float(v + 0.5 * below), (float(u), float(u)), BOTH_COVERED * float(below))


def _straight(points: Points) -> tuple[Points, Points, float]:
    """Middle, direction and root mean square misfit of a line through points."""
    middle = points.mean(axis=0)
    _, sizes, axes = np.linalg.svd(points - middle, full_matrices=False)
    return middle, axes[0], float(sizes[1] / np.sqrt(len(points)))


def _clearance_mm(
    tops: tuple[Level, Level],
    bottom: Level,
    mouth_px: tuple[float, float],
    focal_px: float,
    distance_mm: float,
) -> float:
    """Of the flange between camera and bottom: how far the sight of the bottom passes over its edge."""

    def place(u: float, v: float) -> tuple[float, float]:
        a, b = u / focal_px, v / focal_px
        return waist_place(a, b, distance_mm), waist_radius(b, distance_mm)

    floor = place(bottom.u_px, bottom.v_px)
    lower = min(top.v_px for top in tops)
    inner = (tops[0].ends_px[1], tops[1].ends_px[0])
    edges = [place(u, lower) for u in mouth_px]
    edges += [place(u, top.v_px) for u, top in zip(inner, tops, strict=True)]
    return min(clearance_over_edge(floor, edge, distance_mm) for edge in edges)
