"""The line along which the spindle's axis is seen, held against a scene."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Points
from .scene import Scene

#: Heights between which the axis is drawn, to tell the line along which it is seen.
HEIGHTS_MM = (-20.0, 20.0)


@dataclass(frozen=True, slots=True)
class AxisSeen:
    """Two points (2, 2) of the line, each with the same standard deviation across it, in pixels."""

    points_px: Points
    deviation_px: float

    def residuals(self, scene: Scene) -> NDArray[np.float64]:
        """How far (2,) the axis passes from the points, in standard deviations."""
        ends = np.concatenate(
            [scene.plane.pixels_from_plane(scene.spindle_at(z)[None], z) for z in HEIGHTS_MM]
        )
        along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
        away = self.points_px - ends[0]
        return np.asarray((away @ np.array([-along[1], along[0]])) / self.deviation_px)
