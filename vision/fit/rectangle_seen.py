"""The four sides of a rectangle in the joint fit, with the walls that may be seen under them.

A card is 0.76 mm thick. Seen aslant, the wall under a side that faces the camera shows as a narrow band
outside it, often darker than both: whether the card's own edge is found, the wall's foot, or something
between the two is a matter of light. So every side may be seen a little outside its place.
"""

from dataclasses import dataclass

import numpy as np

from ..geometry.camera import Points
from .observations import InPlane, Numbers, Slopes, chained
from .plane_points import PlanePoints
from .scene import Scene


def side_names(name: str) -> tuple[str, str, str, str]:
    """Return the unknowns by which the sides' edges lie outside the sides, in mm."""
    return f"{name}_side0", f"{name}_side1", f"{name}_side2", f"{name}_side3"


@dataclass(frozen=True, slots=True)
class RectangleSeen(InPlane):
    """Points (n, 2) on each of the four sides, in order round it, the first being ``width_mm`` long.

    Unknowns: ``<name>_x``, ``_y``, ``_turn``, ``_height`` and ``_size``, its true size / nominal, and those
    of :func:`side_names`, by which each side's edge is seen outside the side itself.
    """

    sides_px: tuple[Points, ...]
    deviation_px: float
    width_mm: float
    height_mm: float
    name: str

    @property
    def _shifts(self) -> tuple[str, ...]:
        return side_names(self.name)

    @property
    def pixels_px(self) -> Points:
        """All its points (n, 2), side after side."""
        return np.concatenate(self.sides_px)

    def heights_mm(self, scene: Scene) -> float:
        """How high it lies."""
        return scene.values[f"{self.name}_height"]

    def misfits(self, scene: Scene, points_mm: Points) -> Numbers:
        """Misfit across the sides."""
        corners = self.corners_mm(scene)
        ends = np.cumsum([len(points_px) for points_px in self.sides_px])
        away_mm = []
        for k, points in enumerate(np.split(points_mm, ends[:-1])):
            start, end = corners[k], corners[(k + 1) % 4]
            along = (end - start) / np.linalg.norm(end - start)
            away_mm.append((points - start) @ [-along[1], along[0]] - scene.values[self._shifts[k]])
        return np.concatenate(away_mm) * scene.plane.px_per_mm_at(points_mm) / self.deviation_px

    def growth(self, scene: Scene, seen: PlanePoints) -> Slopes:
        """How the misfits grow with camera, plane and the rectangle's own unknowns."""
        values, name = scene.values, self.name
        cosine, sine = np.cos(values[f"{name}_turn"]), np.sin(values[f"{name}_turn"])
        rotation = np.array([[cosine, -sine], [sine, cosine]])
        # In the rectangle's own axes a side is a level or an upright line: outwards from its middle, and how
        # far out. Sides run clockwise, and a point counts as positive on their left, which is outside.
        own_axes = (seen.points_mm - [values[f"{name}_x"], values[f"{name}_y"]]) @ rotation
        side = np.repeat(np.arange(4), [len(points) for points in self.sides_px])
        outwards = np.array([[0.0, 1.0], [1.0, 0.0], [0.0, -1.0], [-1.0, 0.0]])[side]
        half_mm = 0.5 * np.array([self.height_mm, self.width_mm, self.height_mm, self.width_mm])[side]
        shift_mm = np.array([values[shift] for shift in self._shifts])[side]
        misfit_mm = np.sum(own_axes * outwards, axis=1) - values[f"{name}_size"] * half_mm - shift_mm
        across = outwards @ rotation.T
        own = {
            f"{name}_x": -across[:, 0],
            f"{name}_y": -across[:, 1],
            f"{name}_turn": own_axes[:, 1] * outwards[:, 0] - own_axes[:, 0] * outwards[:, 1],
            f"{name}_size": -half_mm,
        } | {shift: -(side == k).astype(float) for k, shift in enumerate(self._shifts)}
        return chained(seen, misfit_mm, across, own, f"{name}_height", self.deviation_px)

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
