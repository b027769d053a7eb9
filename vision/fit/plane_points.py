"""Pixels carried into a plane of the scene, and how they move there as camera and plane change.

The derivatives of everything that is seen are put together from these by the chain rule, so that the joint
fit needs no trial steps. A pixel with the ray d = (u, v, 1) lies in the plane of height h at t d - o from the
origin o, with t = (h + n o) / (n d) and n the plane's normal.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Camera, Points
from ..geometry.plane import BandPlane
from .scene import Scene

Numbers = NDArray[np.float64]

#: Unknowns on which the place of every pixel in the plane depends. The plane's height comes after them.
POSE = ("log_focal", "centre_x_px", "centre_y_px", "k1", "hub_u", "hub_v", "log_depth", "tilt_x", "tilt_y")
LENS, ORIGIN, TILT, HEIGHT = slice(0, 4), slice(4, 7), slice(7, 9), 9
#: Below this tilt (rad) its series is cut after the first term.
NO_TILT_RAD = 1e-4


@dataclass(frozen=True, slots=True)
class PlanePoints:
    """Pixels in a plane parallel to the band plane.

    Attributes
    ----------
    points_mm : (n, 2) array
    moves_mm : (n, 2, 10) array
        How the points move with each unknown of POSE, and with the plane's height.
    px_per_mm : (n,) array
    grows : (n, 10) array
        How the logarithm of ``px_per_mm`` grows with the same.
    """

    points_mm: Points
    moves_mm: Numbers
    px_per_mm: Numbers
    grows: Numbers

    def of(self, rows: slice) -> "PlanePoints":
        """Some of the points."""
        return PlanePoints(self.points_mm[rows], self.moves_mm[rows], self.px_per_mm[rows], self.grows[rows])


def plane_points(scene: Scene, points_px: Points, rays: Points, height_mm: float | Numbers) -> PlanePoints:
    """Carry pixels (n, 2) into the plane at a height, or each to its own height, with all derivatives.

    ``rays`` (n, 2) are those in which the camera sees the pixels.
    """
    plane = scene.plane
    bends = _bends(plane.camera, points_px, rays)
    directions = rays @ plane.axes[:2] + plane.axes[2]
    reach_mm = (height_mm - plane.camera_height_mm) / directions[:, 2]
    points = reach_mm[:, None] * directions[:, :2] - plane.origin_mm @ plane.axes[:, :2]
    # Along its ray a point shifts by so much in the plane for a millimetre of height.
    shift = directions[:, :2] / directions[:, 2:]
    moves = np.empty((len(rays), 2, len(POSE) + 1))
    with_ray = plane.axes[:2, :2] - shift[:, None, :] * plane.axes[:2, 2:]
    moves[:, :, LENS] = reach_mm[:, None, None] * (with_ray.transpose(0, 2, 1) @ bends)
    origin_moves = _origin_moves(scene) @ plane.axes
    moves[:, :, ORIGIN] = shift[:, :, None] * origin_moves[:, 2] - origin_moves[:, :2].T
    turns = plane.axes.T @ _turns((scene.values["tilt_x"], scene.values["tilt_y"]))
    moves[:, :, TILT] = _turned(points, height_mm, shift) @ turns
    moves[:, :, HEIGHT] = shift
    depth_mm, deepens = _depths(plane, points, moves, turns)
    grows = -deepens / depth_mm[:, None]
    grows[:, 0] += 1.0  # the focal length's own logarithm
    return PlanePoints(points, moves, plane.camera.focal_px / depth_mm, grows)


def _bends(camera: Camera, points_px: Points, rays: Points) -> Numbers:
    """How the rays (n, 2) of pixels move (n, 2, 4) with the four unknowns of the lens.

    A ray r is seen at r (1 + k1 r^2) = d; the inverse of this law's matrix of derivatives is in closed form
    (Sherman and Morrison), as it is a multiple of 1 and a product r r^T.
    """
    square = rays[:, 0] ** 2 + rays[:, 1] ** 2
    stretch = 1 + camera.k1 * square
    causes = np.zeros((len(rays), 2, 4))
    causes[:, :, 0] = -(points_px - np.asarray(camera.centre_px)) / camera.focal_px
    causes[:, 0, 1] = causes[:, 1, 2] = -1 / camera.focal_px
    causes[:, :, 3] = -rays * square[:, None]
    inwards = 2 * camera.k1 / (stretch + 2 * camera.k1 * square)
    along = rays[:, :1] * causes[:, 0] + rays[:, 1:] * causes[:, 1]
    bends = causes - (inwards[:, None] * rays)[:, :, None] * along[:, None, :]
    return np.asarray(bends / stretch[:, None, None])


def _origin_moves(scene: Scene) -> Numbers:
    """How the origin moves in the camera frame with its ray's u and v and with log depth, (3, 3) in rows."""
    depth_mm = scene.plane.origin_mm[2]
    return np.array([[depth_mm, 0.0, 0.0], [0.0, depth_mm, 0.0], scene.plane.origin_mm])


def _turns(tilt_rad: tuple[float, float]) -> Numbers:
    """Rotation vectors (3, 2) in the camera frame that turn the plane as its tilt about x and y grows.

    The left Jacobian of the rotation group, e.g. Sola, Deray, Atchuthan, "A micro Lie theory", 2018, (145).
    """
    x, y = tilt_rad
    angle = float(np.hypot(x, y))
    cross = np.array([[0.0, 0.0, y], [0.0, 0.0, -x], [-y, x, 0.0]])
    if angle < NO_TILT_RAD:
        return np.asarray((np.eye(3) + 0.5 * cross)[:, :2])
    once, twice = (1 - np.cos(angle)) / angle**2, (angle - np.sin(angle)) / angle**3
    return np.asarray((np.eye(3) + once * cross + twice * cross @ cross)[:, :2])


def _turned(points_mm: Points, height_mm: float | Numbers, shift: Points) -> Numbers:
    """How points (n, 2) move, (n, 2, 3), as the plane turns about its own three axes and the rays stay."""
    x, y, zero = points_mm[:, 0], points_mm[:, 1], np.zeros(len(points_mm))
    height = np.full(len(points_mm), height_mm)
    own = np.array([[zero, -height, y], [height, zero, -x]]).transpose(2, 0, 1)
    drawn_back = np.array([-y, x, zero]).T
    return np.asarray(own - shift[:, :, None] * drawn_back[:, None, :])


def _depths(
    plane: BandPlane, points_mm: Points, moves_mm: Numbers, turns: Numbers
) -> tuple[Numbers, Numbers]:
    """Depth (n,) along the optical axis of points of the band plane, and how it grows (n, 10)."""
    sight = plane.axes[2]
    depth_mm = plane.origin_mm[2] + points_mm @ sight[:2]
    deepens = sight[0] * moves_mm[:, 0] + sight[1] * moves_mm[:, 1]
    deepens[:, 6] += plane.origin_mm[2]
    # A turn t moves the point p by t x p, and s (t x p) = p (s x t).
    x, y, z = sight
    deepens[:, TILT] += points_mm @ (np.array([[0.0, -z, y], [z, 0.0, -x]]) @ turns)
    return depth_mm, deepens
