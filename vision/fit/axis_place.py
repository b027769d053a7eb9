"""Where the spindle's axis lies before the camera: it is seen along a line, level with the reference."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Camera, Points
from ..geometry.plane import BandPlane
from ..geometry.side_view import SideView


@dataclass(frozen=True, slots=True)
class AxisPlace:
    """The view square to the axis, and the camera's distance from it in mm."""

    view: SideView
    distance_mm: float


def axis_place(
    camera: Camera,
    reference: BandPlane,
    offset_mm: float,
    axis_px: Points,
    lean_rad: tuple[float, float] = (0.0, 0.0),
) -> AxisPlace:
    """Cut the plane through camera and axis with the plane in which the axis lies.

    Parameters
    ----------
    camera : Camera
    reference : BandPlane
        The reference's plane.
    offset_mm : float
        How far the reference stands in front of the axis, towards the camera.
    axis_px : (2, 2) array
        Two pixels on the axis' image.
    lean_rad : tuple of float
        How much the axis' plane leans against the reference's, about the reference's x and y.
    """
    rays = np.column_stack([camera.rays_from_pixels(axis_px), np.ones(2)])
    through = np.cross(rays[0], rays[1])
    normal = reference.axes @ np.array([lean_rad[1], -lean_rad[0], 1.0])
    normal /= np.linalg.norm(normal)
    level_mm = normal @ (reference.origin_mm - offset_mm * reference.axes[:, 2])
    direction = np.cross(through, normal)
    direction *= np.sign(direction @ (rays[1] - rays[0])) / np.linalg.norm(direction)
    nearest = np.linalg.solve(np.stack([through, normal, direction]), [0.0, float(level_mm), 0.0])
    return AxisPlace(SideView.facing_axis(camera, direction, nearest), float(np.linalg.norm(nearest)))


def level_point_px(view: SideView, u_px: float, v_px: float) -> NDArray[np.float64]:
    """The two pixels (2, 2) at which an outline stands v to either side of the axis."""
    return view.pixels_from_view(np.array([[u_px, v_px], [u_px, -v_px]]))
