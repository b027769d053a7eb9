"""What the outline of one groove shows: tops, bottom, flanks, and whether its bottom is seen at all."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from ..geometry.camera import Points
from ..geometry.revolved import clearance_over_edge, waist_place, waist_radius
from .groove_floor import floor_of
from .groove_level import LEVEL_MM, Level, level_place

Numbers = NDArray[np.float64]

#: A bottom is taken as seen if the sight of it passes over the flange by so much: an edge that faces along
#: the sight is placed no better.
CLEAR_MM = 0.6
#: A flank has come up to its flange at this share of the depth.
MOUTH_SHARE = 0.93


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
    line: Points,
    shown: Numbers,
    tops: tuple[int, int],
    bottom: int,
    focal_px: float,
    distance_mm: float,
) -> GrooveShape:
    """Measure a groove's shape.

    Parameters
    ----------
    line : (n, 2) array
        Outline (u, v) in view pixels, about a pixel apart, the tops and a little beyond them in it.
    shown : (n,) array
        How clearly each place of it shows an edge (:func:`~whirlwise.vision.find.both_sides.edge_shown`).
    tops : tuple of int
    bottom : int
        Indices of the tops and the bottom, roughly.
    focal_px, distance_mm : float
        Of the view.
    """
    px_per_mm = focal_px / distance_mm
    smooth = gaussian_filter1d(line, 1.0, axis=0, mode="nearest")
    left, right = (level_place(line, smooth, top, LEVEL_MM * px_per_mm, +1) for top in tops)
    lowest = tops[0] + int(smooth[tops[0] : tops[1] + 1, 1].argmin())
    bottom = lowest if abs(lowest - bottom) < 0.3 * (tops[1] - tops[0]) else bottom
    floor, sharp = floor_of(line, smooth, shown, tops, bottom, px_per_mm)
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
