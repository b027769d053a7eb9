"""Bodies of revolution seen side-on: from the outline's rays to radii along the axis, and what rests on them.

Frame: x along the axis, the camera at x = 0 and ``distance`` from the axis. A ray (a, b) runs from the camera
in the direction (a, b, 1): a along the axis, b across it, 1 towards the axis. Outlines have b > 0.
"""

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

#: Depths at which a hull is tried.
DEPTHS = 300


def waist_radius(b: float, distance: float) -> float:
    """Radius where the outline runs level at b: the ray touches, so sin of its angle is radius / distance.

    The pinhole rule, distance times b, reads it too large by 1 / sqrt(1 - (radius/distance)^2).
    """
    return float(distance * b / np.sqrt(1 + b**2))


def waist_place(a: float, b: float, distance: float) -> float:
    """Where along the axis the outline is touched when it runs level at the ray (a, b)."""
    return float(a * distance / (1 + b**2))


def hull_radii(a: Numbers, b: Numbers, distance: float, x: Numbers) -> Numbers:
    """Largest radii (len(x),) with which a body of revolution fits behind its outline's rays (a, b).

    No ray of the outline may pass through the body, so the lowest ray over each place limits it. Where
    another part hides a groove's bottom, the hull lies above it.

    Notes
    -----
    Over a place x at the depth t passes the ray with a = x / t, at the distance hypot(t b, distance - t) from
    the axis. The body is touched nearer to the camera than its axis, by its radius at the most.
    """
    order = np.argsort(a)
    radius = distance * float(b.max())
    depth = np.linspace(distance - radius, distance + 0.1 * radius, DEPTHS)
    height = np.interp(x[:, None] / depth, a[order], b[order])
    return np.asarray(np.hypot(depth * height, distance - depth).min(axis=1))


def resting_height(x: Numbers, radii: Numbers, cord_radius: float) -> float:
    """Distance from the axis of the middle of a round cord that rests in a groove.

    Parameters
    ----------
    x, radii : (n,) array
        The groove's shape, from the one edge to the other.
    cord_radius : float

    Notes
    -----
    At every place the cord is lifted until it touches nothing: the shape's dilation by the circle. It slides
    to where that is lowest. In a V groove of half-angle h its middle lies
    cord_radius / sin(h) above the bottom.
    """
    middles = np.linspace(x[0], x[-1], 2 * len(x))
    across = x[None, :] - middles[:, None]
    lift = np.sqrt(np.maximum(cord_radius**2 - across**2, 0.0))
    heights = np.where(np.abs(across) <= cord_radius, radii[None, :] + lift, -np.inf).max(axis=1)
    return float(heights[np.isfinite(heights)].min())


def clearance_over_edge(bottom: tuple[float, float], edge: tuple[float, float], distance: float) -> float:
    """How far above a flange's edge the ray passes that touches a groove's bottom; negative: it is hidden.

    Parameters
    ----------
    bottom, edge : tuple of float
        Place along the axis and radius of the groove's bottom and of the flange's edge.
    """
    (x, radius), (edge_x, edge_radius) = bottom, edge
    if x == 0 or not 0 < edge_x / x < 1:
        return float("inf")
    share = edge_x / x
    sine = radius / distance
    height, towards = radius * np.sqrt(1 - sine**2), radius * sine
    return float(np.hypot(share * height, distance + share * (towards - distance)) - edge_radius)
