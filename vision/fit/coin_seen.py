"""A coin's edge, held against a scene."""

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

    Unknowns: ``<name>_x``, ``_y``, ``_height`` and ``_size``, its true size / nominal.
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
        points = scene.plane.plane_from_pixels(self.points_px, values[f"{name}_height"])
        away_mm = np.linalg.norm(points - [values[f"{name}_x"], values[f"{name}_y"]], axis=1)
        misfit_mm = away_mm - 0.5 * self.diameter_mm * values[f"{name}_size"]
        return np.asarray(misfit_mm * scene.plane.px_per_mm_at(points) / self.deviation_px)
