"""A camera turned in thought until a spindle lies level across the middle of its picture.

A body of revolution is its own mirror image in every plane through its axis, and one of these planes holds
the camera's centre. Turned about its centre so that it looks along that plane, the camera would see the body
exactly mirrored about the axis, however the spindle lay in the picture. Turning needs the lens alone.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from .camera import Camera, Points


@dataclass(frozen=True, slots=True)
class SideView:
    """The turned camera. Its picture has the same scale, its origin in the middle, u along it, v across.

    Attributes
    ----------
    camera : Camera
    turn : (3, 3) array
        Rows are the view's axes in the camera frame: along the spindle, across it, and away from the camera.
    """

    camera: Camera
    turn: NDArray[np.float64]

    @classmethod
    def along_line(cls, camera: Camera, angle_rad: float, offset_px: float) -> "SideView":
        """Look along a line of the picture: its angle, and how far it passes from the principal point.

        The offset counts across the line, positive on the side that lies a quarter turn onwards from x to y.
        """
        cosine, sine = np.cos(angle_rad), np.sin(angle_rad)
        away = np.array([-sine * offset_px, cosine * offset_px, camera.focal_px])
        return cls._from(camera, np.array([cosine, sine, 0.0]), away)

    @classmethod
    def facing_axis(
        cls, camera: Camera, direction: NDArray[np.float64], away: NDArray[np.float64]
    ) -> "SideView":
        """Look square at a spindle: its direction (3,) and that of its nearest point (3,), camera frame."""
        return cls._from(camera, direction, away)

    @classmethod
    def _from(cls, camera: Camera, along: NDArray[np.float64], away: NDArray[np.float64]) -> "SideView":
        along, away = along / np.linalg.norm(along), away / np.linalg.norm(away)
        return cls(camera, np.stack([along, np.cross(away, along), away]))

    @property
    def angle_rad(self) -> float:
        """Angle of the spindle in the picture, where the view's middle lies."""
        start, end = self.pixels_from_view(np.array([[0.0, 0.0], [1.0, 0.0]]))
        return float(np.arctan2(end[1] - start[1], end[0] - start[0]))

    def shifted(self, offset_px: float, slope: float) -> "SideView":
        """The view that lies level along the line v = offset + slope u of this one."""
        along = self.turn.T @ [1.0, slope, 0.0]
        away = self.turn.T @ [0.0, offset_px, self.camera.focal_px]
        # Square to the line, so that the place along it stays.
        return SideView._from(self.camera, along - away * (along @ away) / (away @ away), away)

    def scaled(self, camera: Camera) -> "SideView":
        """The same view with the lens of a shrunk or enlarged picture."""
        return SideView(camera, self.turn)

    def pixels_from_view(self, points: Points) -> Points:
        """Pixels (n, 2) of the picture at which view points (n, 2), in pixels too, are seen."""
        rays = np.column_stack([points, np.full(len(points), self.camera.focal_px)]) @ self.turn
        return self.camera.pixels_from_rays(rays[:, :2] / rays[:, 2:])

    def view_from_pixels(self, points_px: Points) -> Points:
        """View points (n, 2) of pixels (n, 2)."""
        rays = self.camera.rays_from_pixels(np.asarray(points_px, dtype=float))
        turned = np.column_stack([rays, np.ones(len(rays))]) @ self.turn.T
        return np.asarray(self.camera.focal_px * turned[:, :2] / turned[:, 2:])

    def seen(
        self, picture: NDArray[np.float32], u: NDArray[np.float64], v: NDArray[np.float64]
    ) -> NDArray[np.float32]:
        """The picture (h, w, channels) resampled on a grid (v, u) of the view; zero outside of it."""
        grid = np.stack(np.meshgrid(u, v), axis=-1).reshape(-1, 2)
        where = self.pixels_from_view(grid).astype(np.float32).reshape(len(v), len(u), 2)
        pixels = cv2.remap(picture, where[..., 0], where[..., 1], cv2.INTER_LINEAR)
        return np.asarray(pixels, dtype=np.float32)
