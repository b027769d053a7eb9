"""The band plane before a camera, and planes parallel to it.

A point of a plane at height z (towards the camera) and the point of the band plane that hides behind it
lie on one ray. So in band plane coordinates every parallel plane is a plain enlargement about the
camera's foot, the point of the band plane nearest to the camera, and a circle in it stays a circle.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .camera import Camera, Points

#: Columns are the axes of an untilted band plane in the camera frame: x right, y up, z to the camera.
FACING_CAMERA = np.diag([1.0, -1.0, -1.0])
#: So many rows of a grid are reckoned in one go: as many as stay in the processor's cache.
GRID_ROWS = 32
#: Below this angle (rad) sine and cosine are cut after their first terms.
NO_TURN_RAD = 1e-6


def tilted(tilts_rad: NDArray[np.float64]) -> NDArray[np.float64]:
    """Rotations (n, 3, 3) by tilts (n, 2) about the picture's x and y axes.

    Source: the formula of Rodrigues, about an axis that lies in the picture.
    """
    x, y = tilts_rad.T
    square = x * x + y * y
    angle = np.sqrt(np.maximum(square, NO_TURN_RAD**2))
    sine, rest = np.sin(angle) / angle, 2 * (np.sin(0.5 * angle) / angle) ** 2
    turned = np.empty((len(tilts_rad), 3, 3))
    turned[:, 0, 0], turned[:, 1, 1] = 1 - rest * y * y, 1 - rest * x * x
    turned[:, 0, 1] = turned[:, 1, 0] = rest * x * y
    turned[:, 0, 2], turned[:, 2, 0] = sine * y, -sine * y
    turned[:, 1, 2], turned[:, 2, 1] = -sine * x, sine * x
    turned[:, 2, 2] = 1 - rest * square
    return turned


@dataclass(frozen=True, slots=True)
class BandPlane:
    """Pose of the band plane.

    Attributes
    ----------
    camera : Camera
    axes : (3, 3) array
        Columns are the plane's x, y and z axis in the camera frame.
    origin_mm : (3,) array
        The wheel's axle in the band plane, in the camera frame.
    """

    camera: Camera
    axes: NDArray[np.float64]
    origin_mm: NDArray[np.float64]

    @classmethod
    def from_tilt(
        cls, camera: Camera, tilt_rad: tuple[float, float], hub_ray: tuple[float, float], depth_mm: float
    ) -> "BandPlane":
        """Plane tilted about the picture's x and y axes, its origin on a ray at a depth along z."""
        axes = tilted(np.array([tilt_rad]))[0] @ FACING_CAMERA
        return cls(camera, axes, depth_mm * np.array([hub_ray[0], hub_ray[1], 1.0]))

    @property
    def camera_foot_mm(self) -> NDArray[np.float64]:
        """The point (x, y) of the plane nearest to the camera."""
        return np.asarray(-self.axes[:, :2].T @ self.origin_mm)

    @property
    def camera_height_mm(self) -> float:
        """Distance of the camera from the plane."""
        return float(-self.axes[:, 2] @ self.origin_mm)

    @property
    def tilt_rad(self) -> float:
        """Angle between the plane's normal and the camera's optical axis."""
        return float(np.arccos(np.clip(-self.axes[2, 2], -1.0, 1.0)))

    def plane_from_pixels(self, points_px: Points, height_mm: float | NDArray[np.float64] = 0.0) -> Points:
        """Where pixels (n, 2) lie in the plane at a height above the band plane, (n, 2) in mm.

        Each pixel may have a plane of its own: heights (n,).
        """
        rays = self.camera.rays_from_pixels(np.asarray(points_px, dtype=float))
        return self.plane_from_rays(rays, height_mm)

    def plane_from_rays(self, rays: Points, height_mm: float | NDArray[np.float64] = 0.0) -> Points:
        """The same of rays (n, 2) of the camera."""
        # A ray's third component is 1.
        reach_mm = (height_mm - self.camera_height_mm) / (rays @ self.axes[:2, 2] + self.axes[2, 2])
        along = rays @ self.axes[:2, :2] + self.axes[2, :2]
        return np.asarray(along * reach_mm[:, None] - self.origin_mm @ self.axes[:, :2])

    def pixels_from_plane(self, points_mm: Points, height_mm: float = 0.0) -> Points:
        """Pixels (n, 2) of points (n, 2) in mm of the plane at a height."""
        points = np.asarray(points_mm, dtype=float)
        space = self.origin_mm + points @ self.axes[:, :2].T + height_mm * self.axes[:, 2]
        return self.camera.pixels_from_rays(space[:, :2] / space[:, 2:])

    def pixels_of_grid(
        self, x_mm: NDArray[np.float64], y_mm: NDArray[np.float64]
    ) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """Pixels, x and y apart (rows, columns), of a grid of the band plane: columns at x, rows at y.

        A picture is resampled by them.
        """
        x, y = np.empty((2, len(y_mm), len(x_mm)), np.float32)
        along = self.axes[:, :1] * x_mm + self.origin_mm[:, None]
        upwards = self.axes[:, 1:2] * y_mm
        for k in range(0, len(y_mm), GRID_ROWS):
            rows = slice(k, k + GRID_ROWS)
            u, v, depth = along[:, None] + upwards[:, rows, None]
            u /= depth
            v /= depth
            stretch = self.camera.focal_px
            if self.camera.k1:
                stretch = stretch * (1 + self.camera.k1 * (u * u + v * v))
            x[rows], y[rows] = u * stretch + self.camera.centre_px[0], v * stretch + self.camera.centre_px[1]
        return x, y

    def px_per_mm_at(self, points_mm: Points) -> NDArray[np.float64]:
        """Pixels a millimetre across the line of sight at points (n, 2) of the plane, (n,)."""
        return np.asarray(self.camera.focal_px / (self.origin_mm[2] + points_mm @ self.axes[2, :2]))

    def px_per_mm(self, point_mm: tuple[float, float]) -> float:
        """Pixels a millimetre across the line of sight at one point of the plane."""
        return float(self.px_per_mm_at(np.array([point_mm]))[0])

    def circle_px(self, centre_mm: tuple[float, float], radius_mm: float, height_mm: float = 0.0) -> Points:
        """Outline (360, 2) in pixels of a circle in a plane parallel to the band plane."""
        turn = np.linspace(0, 2 * np.pi, 360, endpoint=False)
        circle_mm = np.asarray(centre_mm) + radius_mm * np.column_stack([np.cos(turn), np.sin(turn)])
        return self.pixels_from_plane(circle_mm, height_mm)
