"""Where the axis of a turned thing may lie: lines about which the picture is its own mirror image."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from ..geometry.camera import Points
from ..geometry.side_view import SideView
from .mirror import EdgeField, Mirrored, mirrored

Numbers = NDArray[np.float64]

#: Steps of the search, and how many likely lines are kept, that differ by more than so much.
ANGLE_STEP_DEG, OFFSET_STEP_PX = 3.0, 4.0
CANDIDATES = 10
APART_DEG, APART_PX = 8.0, 14.0
#: A thing may reach so far from its axis, as a share of the picture's longer side.
REACH_SHARE = 0.42
#: Edges that run along the axis count less than such as run across it: rods and boards have those too.
LEAST_ACROSS = -0.3


@dataclass(frozen=True, slots=True)
class AxisLine:
    """A line: its angle, and its offset from the principal point in pixels of the full picture."""

    angle_rad: float
    offset_px: float


def likely_axes(edges: EdgeField, click_px: tuple[float, float] | None = None) -> list[AxisLine]:
    """Lines about which the picture is most nearly mirrored, the likeliest first.

    Parameters
    ----------
    edges : EdgeField
        A coarse one: about 300 pixels on its longer side.
    click_px : tuple of float, optional
        A click on the thing, in pixels of the full picture: only lines near it are kept.
    """
    longest = max(edges.field.shape[:2])
    angles = np.radians(np.arange(-90.0, 90.0, ANGLE_STEP_DEG))
    offsets = np.arange(-0.5 * longest, 0.5 * longest, OFFSET_STEP_PX)
    u, v = np.arange(-0.6 * longest, 0.6 * longest, 3.0), np.arange(2.0, REACH_SHARE * longest, 3.0)
    scores = np.array([[_score(_folded(edges, a, o, u, v)) for o in offsets] for a in angles])
    # A board's joint across the line is its own mirror image wherever the line lies along it.
    scores -= cv2.GaussianBlur(scores, (0, 0), sigmaX=6.0, sigmaY=0.1)
    found: list[tuple[float, float]] = []
    for k in np.argsort(-scores, axis=None):
        i, j = np.unravel_index(k, scores.shape)
        angle, offset = float(angles[i]), float(offsets[j])
        if _near_click(edges, angle, offset, click_px) and all(_apart(angle, offset, *f) for f in found):
            found.append((angle, offset))
        if len(found) == CANDIDATES:
            break
    return [AxisLine(angle, offset / edges.scale) for angle, offset in found]


def _folded(edges: EdgeField, angle: float, offset: float, u: Numbers, v: Numbers) -> Mirrored:
    return mirrored(edges, SideView.along_line(edges.camera, angle, offset), u, v)


def _score(seen: Mirrored) -> float:
    return float((seen.agreement**2 * np.maximum(seen.across - LEAST_ACROSS, 0)).sum())


def _apart(angle: float, offset: float, other_angle: float, other_offset: float) -> bool:
    turned = np.degrees(angle - other_angle)
    flips = abs(turned) > 90
    turned = abs((turned + 90) % 180 - 90)
    return bool(turned > APART_DEG or abs(offset - (-other_offset if flips else other_offset)) > APART_PX)


def _near_click(edges: EdgeField, angle: float, offset: float, click_px: tuple[float, float] | None) -> bool:
    if click_px is None:
        return True
    x, y = (np.asarray(click_px) + 0.5) * edges.scale - 0.5 - np.asarray(edges.camera.centre_px)
    reach = 0.1 * max(edges.field.shape[:2])
    return bool(abs(-np.sin(angle) * x + np.cos(angle) * y - offset) < reach)


def sharpened(edges: EdgeField, axis: AxisLine) -> AxisLine:
    """The line nearby about which the whole picture is mirrored best."""
    longest = max(edges.field.shape[:2])
    u, v = np.arange(-0.6 * longest, 0.6 * longest, 2.0), np.arange(2.0, REACH_SHARE * longest, 2.0)
    view = SideView.along_line(edges.camera, axis.angle_rad, axis.offset_px * edges.scale)
    offset, slope = _best_shift(edges, view, u, v, unit=np.array([2.0, np.radians(1.0)]))
    return _line_of(view.shifted(offset, slope), edges.scale)


def sharpened_within(edges: EdgeField, view: SideView, low: Points, high: Points) -> SideView:
    """The view nearby in which one part of it, from (u, v) to (u, v) in full pixels, is mirrored best."""
    (u_low, v_low), (u_high, v_high) = low * edges.scale, high * edges.scale
    u, v = np.arange(u_low, u_high), np.arange(max(v_low, 1.0), v_high)
    small = view.scaled(edges.camera)
    middle, half = 0.5 * (u_low + u_high), max(0.5 * (u_high - u_low), 1.0)
    offset, slope = _best_shift(edges, small, u, v, unit=np.array([1.5, 1.5 / half]), pivot=middle)
    return small.shifted(offset, slope).scaled(view.camera)


def _best_shift(
    edges: EdgeField, view: SideView, u: Numbers, v: Numbers, unit: Numbers, pivot: float = 0.0
) -> tuple[float, float]:
    """Offset and slope of the middle line, in steps of about one unit, that mirrors the grid (v, u) best."""

    def line(step: Numbers) -> tuple[float, float]:
        at_pivot, slope = step * unit
        return float(at_pivot - slope * pivot), float(slope)

    def misfit(step: Numbers) -> float:
        return -_score(mirrored(edges, view.shifted(*line(step)), u, v))

    simplex = np.array([[0.0, 0.0], [1.5, 0.0], [0.0, 1.5]])
    best = minimize(
        misfit,
        simplex[0],
        method="Nelder-Mead",
        options={"initial_simplex": simplex, "xatol": 0.03, "fatol": 0.1, "maxfev": 60},
    )
    return line(best.x)


def _line_of(view: SideView, scale: float) -> AxisLine:
    """Angle and offset, in full pixels, of a view's middle line."""
    normal = view.turn[1]
    size = np.hypot(normal[0], normal[1])
    angle = np.arctan2(-normal[0], normal[1])
    return AxisLine(float(angle), float(-normal[2] * view.camera.focal_px / size / scale))
