"""A coin's edge, held against a scene.

A coin is about a twelfth as thick as wide. Seen aslant, the wall under its near side shows outside its face,
and the outermost clear edge is there the wall's foot, or something between the two.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Points
from .scene import Scene

#: So many points of the edge are used: neighbours err together.
MOST_POINTS = 24


@dataclass(frozen=True, slots=True)
class CoinSeen:
    """Points (n, 2) on a circle of a nominal diameter in a parallel plane.

    Unknowns: ``<name>_x``, ``_y``, ``_height``, ``_size``, its true size / nominal, and ``_wall``, how far
    down its wall the edge was found, in mm.
    """

    points_px: Points
    diameter_mm: float
    deviation_px: float
    name: str

    @classmethod
    def of_edge(cls, points_px: Points, diameter_mm: float, deviation_px: float, name: str) -> "CoinSeen":
        """Some of the points (n, 2), evenly taken."""
        step = max(len(points_px) // MOST_POINTS, 1)
        return cls(points_px[::step], diameter_mm, deviation_px, name)

    def residuals(self, scene: Scene) -> NDArray[np.float64]:
        """Radial misfit."""
        values, name = scene.values, self.name
        plane, height_mm = scene.plane, values[f"{name}_height"]
        points = plane.plane_from_pixels(self.points_px, height_mm)
        away = points - [values[f"{name}_x"], values[f"{name}_y"]]
        away_mm = np.linalg.norm(away, axis=1)
        # What lies deeper covers a place of the coin's own plane that is nearer to the camera's foot.
        slants = np.sum(away * (plane.camera_foot_mm - points), axis=1) / away_mm
        slants /= plane.camera_height_mm - height_mm
        wall_mm = values[f"{name}_wall"] * np.maximum(slants, 0.0)
        misfit_mm = away_mm - 0.5 * self.diameter_mm * values[f"{name}_size"] - wall_mm
        return np.asarray(misfit_mm * scene.plane.px_per_mm_at(points) / self.deviation_px)
