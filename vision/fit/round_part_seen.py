"""A round edge about the spindle as it was seen, held against a scene."""

from dataclasses import dataclass

import numpy as np

from ..geometry.camera import Points
from .observations import Numbers, PointsSeen, Slopes, chained, lengths
from .plane_points import PlanePoints
from .scene import Scene
from .unknowns import EDGE_WIDTH

#: The hull of two equal circles is farther out than a circle midway by half their distance times |cos t|,
#: whose part in cos 2t is 4 / (3 pi).
HULL_SHARE = 0.5 * 4 / (3 * np.pi)


def edge_slant(scene: Scene, height_mm: float) -> tuple[float, float]:
    """How much more oval (cosine and sine of twice the turn) a part looks for every millimetre of its edge.

    A rounded edge is seen at its front on the side away from the camera's foot and at its back on the other
    side. So the outline is the hull of two circles, as far apart as the sight's slope carries it.
    """
    sight_mm = scene.spindle_at(height_mm) - scene.plane.camera_foot_mm
    slope = float(np.hypot(*sight_mm)) / (scene.plane.camera_height_mm - height_mm)
    turn = 2 * np.arctan2(sight_mm[1], sight_mm[0])
    return HULL_SHARE * slope * float(np.cos(turn)), HULL_SHARE * slope * float(np.sin(turn))


@dataclass(frozen=True, slots=True)
class RoundPartSeen(PointsSeen):
    """Points (n, 2) on a round edge about the spindle.

    Unknowns: ``<name>_radius``, ``_height``, ``_shift_x``, ``_shift_y``, and ``_oval_cos`` and ``_oval_sin``,
    how much it is oval, in mm. ``slant`` tells how much more oval (cosine and sine) it looks for every
    millimetre of its edge's width.
    """

    name: str
    slant: tuple[float, float] = (0.0, 0.0)

    def heights_mm(self, scene: Scene) -> float:
        """How high the part stands."""
        return scene.values[f"{self.name}_height"]

    def misfits(self, scene: Scene, points_mm: Points) -> Numbers:
        """Radial misfit."""
        away = self._away(scene, points_mm)
        misfit_mm = lengths(away) - self._radius_at(scene, away)
        return np.asarray(misfit_mm * scene.plane.px_per_mm_at(points_mm) / self.deviation_px)

    def growth(self, scene: Scene, seen: PlanePoints) -> Slopes:
        """How the misfits grow with camera, plane, spindle and the part's own unknowns."""
        values, name = scene.values, self.name
        height_mm = self.heights_mm(scene)
        away = self._away(scene, seen.points_mm)
        distance_mm = lengths(away)
        cosine, sine = _twice(away)
        # Twice the turn grows by 2 (-y, x) / r^2 as the point moves.
        oval_cos_mm, oval_sin_mm = self._oval_mm(scene)
        swell = 2 * (oval_sin_mm * cosine - oval_cos_mm * sine) / distance_mm**2
        across = away / distance_mm[:, None] - swell[:, None] * (away[:, ::-1] * [-1.0, 1.0])
        angle = values["spindle_angle"]
        outwards = np.array([np.cos(angle), np.sin(angle)])
        own = {
            f"{name}_radius": -np.ones_like(distance_mm),
            f"{name}_shift_x": -across[:, 0],
            f"{name}_shift_y": -across[:, 1],
            f"{name}_oval_cos": -cosine,
            f"{name}_oval_sin": -sine,
            EDGE_WIDTH: -self.slant[0] * cosine - self.slant[1] * sine,
            "spindle_distance": -across @ outwards,
            "spindle_angle": -values["spindle_distance"] * (across @ [-outwards[1], outwards[0]]),
            "lean_x": -height_mm * across[:, 0],
            "lean_y": -height_mm * across[:, 1],
            f"{name}_height": -across @ [values["lean_x"], values["lean_y"]],
        }
        misfit_mm = distance_mm - self._radius_at(scene, away)
        return chained(seen, misfit_mm, across, own, f"{name}_height", self.deviation_px)

    def _away(self, scene: Scene, points_mm: Points) -> Points:
        """Points (n, 2) as seen from the part's middle."""
        middle_mm = scene.spindle_at(self.heights_mm(scene))
        shift_mm = [scene.values[f"{self.name}_shift_{c}"] for c in "xy"]
        return np.asarray(points_mm - middle_mm - shift_mm)

    def _radius_at(self, scene: Scene, away: Points) -> Numbers:
        """The part's radius (n,) in the directions (n, 2) from its middle."""
        cosine, sine = _twice(away)
        oval_cos_mm, oval_sin_mm = self._oval_mm(scene)
        return np.asarray(scene.values[f"{self.name}_radius"] + oval_cos_mm * cosine + oval_sin_mm * sine)

    def _oval_mm(self, scene: Scene) -> tuple[float, float]:
        """How much it looks oval, of itself and by its edge's width."""
        values, name, width_mm = scene.values, self.name, scene.values[EDGE_WIDTH]
        cosine, sine = (slant * width_mm for slant in self.slant)
        return values[f"{name}_oval_cos"] + cosine, values[f"{name}_oval_sin"] + sine


def _twice(away: Points) -> tuple[Numbers, Numbers]:
    """Cosine and sine of twice the angle of directions (n, 2)."""
    turn = 2 * np.arctan2(away[:, 1], away[:, 0])
    return np.cos(turn), np.sin(turn)
