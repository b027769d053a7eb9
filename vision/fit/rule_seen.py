"""A rule's ticks, held against a scene."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Points
from .scene import Scene

#: Neighbouring ticks are put together into so many groups, each of which errs as one tick does.
GROUPS = 12


@dataclass(frozen=True, slots=True)
class RuleSeen:
    """Points (n, 2) of a rule that stand ``from_middle_mm`` (n,) along it, its middle being 0.

    Unknowns: ``<name>_x`` and ``_y`` of its middle, ``_turn``, ``_height`` and ``_size``, its true
    size / nominal.
    """

    points_px: Points
    from_middle_mm: NDArray[np.float64]
    deviation_px: float
    name: str

    @classmethod
    def of_ticks(
        cls, points_px: Points, at_mm: NDArray[np.float64], deviation_px: float, name: str
    ) -> "RuleSeen":
        """Ticks (n, 2) at marks (n,), put together in groups.

        Blur, print and lens shift neighbours alike, so a group is taken to be no better than one tick.
        """
        groups = np.array_split(np.arange(len(at_mm)), min(GROUPS, len(at_mm)))
        points = np.array([points_px[group].mean(axis=0) for group in groups])
        marks = np.array([at_mm[group].mean() for group in groups])
        return cls(points, marks - 0.5 * (at_mm[0] + at_mm[-1]), deviation_px, name)

    def residuals(self, scene: Scene) -> NDArray[np.float64]:
        """Misfit in the picture, along it and across it."""
        return np.asarray((self.points_px - self.expected_px(scene)).ravel() / self.deviation_px)

    def expected_px(self, scene: Scene) -> Points:
        """Where the scene puts the marks in the picture, (n, 2)."""
        values, name = scene.values, self.name
        turn = values[f"{name}_turn"]
        along = values[f"{name}_size"] * np.array([np.cos(turn), np.sin(turn)])
        marks_mm = self.from_middle_mm[:, None] * along + [values[f"{name}_x"], values[f"{name}_y"]]
        return scene.plane.pixels_from_plane(marks_mm, values[f"{name}_height"])
