"""Edges that are mirrored about a line: how a turned thing stands out from any background.

Everywhere the picture's edge directions are kept as double angles, so that light on dark and dark on light
count alike. A place and its mirror image agree where one's double angle is the other's turned the other way.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Camera, Points
from ..geometry.side_view import SideView
from ..open.picture import Picture, cielab

#: Over so many pixels the local gradient is taken, against which an edge counts.
LEVEL_PX = 25.0
#: Gradient (grey values a pixel) below which nothing counts, and how much one edge may count at the most.
FLOOR, MOST = 2.0, 2.0
#: Edge directions are smeared so far, because mirror images meet to within a pixel or two only.
SMEAR_PX = 1.2
#: What is left out is left out with this much about it.
MASK_MARGIN_PX = 4.0


@dataclass(frozen=True, slots=True)
class EdgeField:
    """Edge directions of a shrunk picture.

    Attributes
    ----------
    camera : Camera
        The lens, in pixels of the shrunk picture.
    field : (h, w, 2) array
        Cosine and sine of twice the gradient's angle, times how clear the edge is (0 to 2).
    scale : float
        Shrunk over full size.
    """

    camera: Camera
    field: NDArray[np.float32]
    scale: float


def edge_field(picture: Picture, camera: Camera, longest_px: float, left_out: list[Points]) -> EdgeField:
    """Edge directions of the picture shrunk to a longer side, polygons (n, 2) of the picture left out."""
    scale = min(longest_px / max(picture.width_px, picture.height_px), 1.0)
    small = cv2.resize(picture.bgr, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    field = double_angles(cielab(np.asarray(small, dtype=np.uint8)))
    mask = np.zeros(field.shape[:2], np.uint8)
    for polygon in left_out:
        corners = np.round((polygon + 0.5) * scale - 0.5).astype(np.int32)
        cv2.fillConvexPoly(mask, corners, 1)
        cv2.polylines(mask, [corners], True, 1, int(2 * MASK_MARGIN_PX))
    field[mask > 0] = 0
    field = np.asarray(cv2.GaussianBlur(field, (0, 0), SMEAR_PX), dtype=np.float32)
    centre = tuple((np.asarray(camera.centre_px) + 0.5) * scale - 0.5)
    return EdgeField(Camera(camera.focal_px * scale, (centre[0], centre[1]), camera.k1), field, scale)


def double_angles(lab: NDArray[np.float32]) -> NDArray[np.float32]:
    """Cosine and sine (h, w, 2) of twice the angle of each pixel's edge, times how clear it is (0 to 2)."""
    smooth = cv2.GaussianBlur(lab, (0, 0), 1.0)
    along_x, along_y = (cv2.Sobel(smooth, cv2.CV_32F, *way) / 8 for way in ((1, 0), (0, 1)))
    strongest = np.argmax(along_x**2 + along_y**2, axis=2)[..., None]
    x = np.take_along_axis(along_x, strongest, axis=2)[..., 0]
    y = np.take_along_axis(along_y, strongest, axis=2)[..., 0]
    size = np.hypot(x, y)
    level = np.sqrt(cv2.GaussianBlur(size**2, (0, 0), LEVEL_PX)) + FLOOR
    clear = np.minimum(size / level, MOST) / np.maximum(size, 1e-6) ** 2
    return np.asarray(np.dstack([(x**2 - y**2) * clear, 2 * x * y * clear]), dtype=np.float32)


@dataclass(frozen=True, slots=True)
class Mirrored:
    """One half of a side view, folded onto the other.

    Attributes
    ----------
    u : (n,) array
        Columns: places along the axis, in view pixels of the shrunk picture.
    v : (m,) array
        Rows: distances from the axis.
    agreement : (m, n) array
        How clearly both sides show the same edge, mirrored: 0 to about 2.
    across : (m, n) array
        Which part of it, -1 to 1, runs across the axis (1) rather than along it (-1).
    """

    u: NDArray[np.float64]
    v: NDArray[np.float64]
    agreement: NDArray[np.float32]
    across: NDArray[np.float32]


def mirrored(edges: EdgeField, view: SideView, u: NDArray[np.float64], v: NDArray[np.float64]) -> Mirrored:
    """Fold the picture about the middle line of a side view, whose camera is that of the shrunk picture."""
    both = view.seen(edges.field, u, np.concatenate([v, -v]))
    angle = 2 * view.angle_rad
    cosine, sine = np.float32(np.cos(angle)), np.float32(np.sin(angle))
    along, slant = both[..., 0] * cosine + both[..., 1] * sine, both[..., 1] * cosine - both[..., 0] * sine
    rows = len(v)
    agree = along[:rows] * along[rows:] - slant[:rows] * slant[rows:]
    across = 0.5 * (along[:rows] + along[rows:])
    agreement = np.sqrt(np.maximum(agree, 0))
    return Mirrored(u, v, np.asarray(agreement, np.float32), np.asarray(across, np.float32))
