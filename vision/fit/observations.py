"""What was seen, each thing held against a scene: residuals in standard deviations.

Edges in a picture are wrong together: the same shadow, grain or rounded corner shifts neighbours alike.
So every observation carries an effective deviation a point, the real scatter times the square root of the
number of points that err together.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Points
from .scene import Scene


class Observation(Protocol):
    """Anything seen that a scene must explain."""

    def residuals(self, scene: Scene) -> NDArray[np.float64]:
        """Misfits (n,) in standard deviations."""
        ...


@dataclass(frozen=True, slots=True)
class RimSeen:
    """Points (n, 2) on the rim's edge."""

    points_px: Points
    deviation_px: float

    def residuals(self, scene: Scene) -> NDArray[np.float64]:
        """Radial misfit."""
        points = scene.plane.plane_from_pixels(self.points_px, scene.values["rim_height"])
        misfit_mm = np.linalg.norm(points, axis=1) - scene.rim_radius_at(points)
        return np.asarray(misfit_mm * scene.plane.px_per_mm_at(points) / self.deviation_px)


@dataclass(frozen=True, slots=True)
class RunSeen:
    """Points (n, 2) on the centre line of a straight run.

    ``side`` is +1 for the run whose outward normal turns anticlockwise (as seen) from the line hub - whirl.
    ``loop`` names the unknowns ``<loop>_radius`` and ``<loop>_height``; ``shift`` the unknown by which light
    and shade move the whole line, as they do on a round cord.
    """

    points_px: Points
    deviation_px: float
    side: int
    loop: str
    shift: str

    def residuals(self, scene: Scene) -> NDArray[np.float64]:
        """Misfit across the run."""
        values = scene.values
        normal = scene.run_normal(self.side, values[f"{self.loop}_radius"])
        points = scene.plane.plane_from_pixels(self.points_px, values[f"{self.loop}_height"])
        misfit_mm = points @ normal - values["pitch_radius"] - values[self.shift]
        return np.asarray(misfit_mm * scene.plane.px_per_mm_at(points) / self.deviation_px)


@dataclass(frozen=True, slots=True)
class RoundPartSeen:
    """Points (n, 2) on a round edge about the spindle.

    Unknowns: ``<name>_radius``, ``_height``, ``_shift_x`` and ``_shift_y``.
    """

    points_px: Points
    deviation_px: float
    name: str

    def residuals(self, scene: Scene) -> NDArray[np.float64]:
        """Radial misfit."""
        height_mm = scene.values[f"{self.name}_height"]
        points = scene.plane.plane_from_pixels(self.points_px, height_mm)
        shift_mm = [scene.values[f"{self.name}_shift_x"], scene.values[f"{self.name}_shift_y"]]
        distance_mm = np.linalg.norm(points - scene.spindle_at(height_mm) - shift_mm, axis=1)
        misfit_mm = distance_mm - scene.values[f"{self.name}_radius"]
        return np.asarray(misfit_mm * scene.plane.px_per_mm_at(points) / self.deviation_px)


@dataclass(frozen=True, slots=True)
class RectangleSeen:
    """Points (n, 2) on each of the four sides, in order round it, the first being ``width_mm`` long.

    Unknowns: ``<name>_x``, ``_y``, ``_turn``, ``_height`` and ``_size``, its true size / nominal.
    """

    sides_px: tuple[Points, ...]
    deviation_px: float
    width_mm: float
    height_mm: float
    name: str

    def residuals(self, scene: Scene) -> NDArray[np.float64]:
        """Misfit across the sides."""
        corners = self.corners_mm(scene)
        misfits = []
        for k, points_px in enumerate(self.sides_px):
            points = scene.plane.plane_from_pixels(points_px, scene.values[f"{self.name}_height"])
            start, end = corners[k], corners[(k + 1) % 4]
            along = (end - start) / np.linalg.norm(end - start)
            away_mm = (points - start) @ [-along[1], along[0]]
            misfits.append(away_mm * scene.plane.px_per_mm_at(points) / self.deviation_px)
        return np.concatenate(misfits)

    def expected_px(self, scene: Scene) -> Points:
        """Where the scene puts the corners in the picture, (4, 2)."""
        return scene.plane.pixels_from_plane(self.corners_mm(scene), scene.values[f"{self.name}_height"])

    def corners_mm(self, scene: Scene) -> Points:
        """Where the scene puts the corners in their plane, (4, 2)."""
        values, name = scene.values, self.name
        turn = values[f"{name}_turn"]
        rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        # Corners run clockwise as seen in the picture, and so clockwise in the plane, whose y points up.
        half = 0.5 * values[f"{name}_size"] * np.array([self.width_mm, self.height_mm])
        nominal = np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]]) * half
        return np.asarray(nominal @ rotation.T + [values[f"{name}_x"], values[f"{name}_y"]])


@dataclass(frozen=True, slots=True)
class DistanceSeen:
    """Two points (2, 2) whose distance is ``length_mm`` times the unknown ``<name>_size``."""

    points_px: Points
    deviation_px: float
    length_mm: float
    name: str

    def residuals(self, scene: Scene) -> NDArray[np.float64]:
        """Misfit of the distance."""
        ends = scene.plane.plane_from_pixels(self.points_px, scene.values[f"{self.name}_height"])
        misfit_mm = np.linalg.norm(ends[1] - ends[0]) - self.length_mm * scene.values[f"{self.name}_size"]
        # Both ends were clicked, so both err.
        px_per_mm = float(scene.plane.px_per_mm_at(ends).mean())
        return np.array([misfit_mm * px_per_mm / (self.deviation_px * np.sqrt(2))])
