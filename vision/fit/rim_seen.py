"""The rim's front edge as it was seen, held against a scene."""

from dataclasses import dataclass

import numpy as np

from ..geometry.camera import Points
from .observations import Numbers, PointsSeen, Slopes, chained, lengths
from .plane_points import PlanePoints
from .scene import Scene


def seen_outwards(scene: Scene, points_px: Points) -> Numbers:
    """How much farther out (n,) points (n, 2) of the rim are seen per millimetre of its edge's rounding.

    Of an edge rounded to a radius r, sight that leans away from the axle by the angle t touches a place that
    seems to lie farther out by r (1 / cos t - 1). Where it leans towards the axle, which it does only if the
    camera stands beside the wheel, the edge is where the rounding begins.
    """
    plane, height_mm = scene.plane, scene.values["rim_height"]
    points_mm = plane.plane_from_pixels(points_px, height_mm)
    sight_mm = points_mm - plane.camera_foot_mm
    outwards_mm = (sight_mm * points_mm).sum(axis=1) / lengths(points_mm)
    slope = np.maximum(outwards_mm / (plane.camera_height_mm - height_mm), 0.0)
    return np.asarray(np.sqrt(1 + slope**2) - 1)


@dataclass(frozen=True, slots=True)
class RimSeen(PointsSeen):
    """Points (n, 2) on the rim's edge.

    ``outwards`` (n,), or one number for all, tells how much farther out each is seen for every millimetre of
    the radius ``rim_rounding`` to which the edge is rounded.
    """

    outwards: Numbers | float = 0.0

    def heights_mm(self, scene: Scene) -> float:
        """How high the edge stands."""
        return scene.values["rim_height"]

    def misfits(self, scene: Scene, points_mm: Points) -> Numbers:
        """Radial misfit."""
        misfit_mm = lengths(points_mm) - self._expected_mm(scene, points_mm)
        return np.asarray(misfit_mm * scene.plane.px_per_mm_at(points_mm) / self.deviation_px)

    def growth(self, scene: Scene, seen: PlanePoints) -> Slopes:
        """How the misfits grow with camera, plane, rim, its ovalness and its rounding."""
        values = scene.values
        points, radius = seen.points_mm, values["rim_radius"]
        distance_mm = lengths(points)
        turn = 2 * np.arctan2(points[:, 1], points[:, 0])
        cosine, sine = np.cos(turn), np.sin(turn)
        # The turn grows by 2 (-y, x) / r^2 as the point moves.
        swell = 2 * radius * (values["oval_sin"] * cosine - values["oval_cos"] * sine) / distance_mm**2
        across = points / distance_mm[:, None] - swell[:, None] * (points[:, ::-1] * [-1.0, 1.0])
        own = {
            "rim_radius": -scene.rim_radius_at(points) / radius,
            "oval_cos": -radius * cosine,
            "oval_sin": -radius * sine,
            "rim_rounding": -self.outwards * np.ones_like(distance_mm),
        }
        misfit_mm = distance_mm - self._expected_mm(scene, points)
        return chained(seen, misfit_mm, across, own, "rim_height", self.deviation_px)

    def _expected_mm(self, scene: Scene, points_mm: Points) -> Numbers:
        """How far from the axle (n,) the edge is seen in the directions of points (n, 2)."""
        rounding_mm = self.outwards * scene.values["rim_rounding"]
        return np.asarray(scene.rim_radius_at(points_mm) + rounding_mm)
