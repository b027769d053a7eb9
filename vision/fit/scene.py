"""One hypothesis about everything in the picture: the values of the unknowns, read as geometry."""

from collections.abc import Mapping
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Camera, Points
from ..geometry.plane import BandPlane
from ..geometry.side_view import SideView

#: Sine of the angle between spindle and line of sight below which no line tells where the spindle points.
LEAST_ASIDE = 0.03


class Scene:
    """Geometry for one set of values; lengths in mm, in band plane coordinates.

    The names of the values are the unknowns that :mod:`whirlwise.vision.fit.wheel_scene` sets up.
    """

    def __init__(self, values: Mapping[str, float]) -> None:
        self.values = values

    @cached_property
    def plane(self) -> BandPlane:
        """Camera and pose of the band plane."""
        v = self.values
        camera = Camera(float(np.exp(v["log_focal"])), (v["centre_x_px"], v["centre_y_px"]), v["k1"])
        depth_mm = float(np.exp(v["log_depth"]))
        return BandPlane.from_tilt(camera, (v["tilt_x"], v["tilt_y"]), (v["hub_u"], v["hub_v"]), depth_mm)

    @cached_property
    def spindle_mm(self) -> NDArray[np.float64]:
        """Where the spindle's axis meets the band plane, (2,)."""
        angle, distance = self.values["spindle_angle"], self.values["spindle_distance"]
        return distance * np.array([np.cos(angle), np.sin(angle)])

    def spindle_at(self, height_mm: float) -> NDArray[np.float64]:
        """Where the spindle's axis meets a parallel plane, (2,); old spindles lean a little."""
        lean = np.array([self.values["lean_x"], self.values["lean_y"]])
        return np.asarray(self.spindle_mm + height_mm * lean)

    @property
    def view_along_spindle(self) -> SideView | None:
        """The side view along the spindle, the band plane in its middle; None if it points at the camera."""
        place = self.plane.origin_mm + self.plane.axes[:, :2] @ self.spindle_mm
        sight = place / np.linalg.norm(place)
        axis = self.plane.axes @ np.array([self.values["lean_x"], self.values["lean_y"], 1.0])
        along = axis - sight * (axis @ sight)
        if np.linalg.norm(along) < LEAST_ASIDE:
            return None
        return SideView.facing_axis(self.plane.camera, along, sight)

    def rim_radius_at(self, points_mm: Points) -> NDArray[np.float64]:
        """Radius (n,) of the rim's edge in the directions of points (n, 2); old rims are a little oval."""
        turn = 2 * np.arctan2(points_mm[:, 1], points_mm[:, 0])
        oval = self.values["oval_cos"] * np.cos(turn) + self.values["oval_sin"] * np.sin(turn)
        return np.asarray(self.values["rim_radius"] * (1 + oval))

    def run_normal(self, side: int, whirl_radius_mm: float) -> NDArray[np.float64]:
        """Unit normal (2,), away from the wheel, of one side of an open band round both pulleys."""
        sine = (self.values["pitch_radius"] - whirl_radius_mm) / self.values["spindle_distance"]
        angle = self.values["spindle_angle"] + side * np.arccos(min(max(sine, -1.0), 1.0))
        return np.array([np.cos(angle), np.sin(angle)])
