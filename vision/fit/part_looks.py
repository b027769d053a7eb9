"""Looks for the round parts about a spindle, so that ways to understand the band share what they see."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..find.round_parts import WINDOW_SHARE, RoundPart, find_round_parts
from ..geometry.camera import Points
from ..geometry.plane import BandPlane
from .scene import Scene

#: A look in a plane tilted so little against this one, about a place so near (as a share of how far a look
#: reaches), shows the same edges.
ALIKE_RAD, ALIKE_SHARE = np.radians(0.5), 0.2


@dataclass(frozen=True, slots=True)
class _Look:
    """What was seen squarely in a plane about a place (2,)."""

    plane: BandPlane
    place_mm: Points
    parts: list[RoundPart]

    def is_like(self, scene: Scene, near_mm: float) -> bool:
        """Whether a look at the spindle of a scene, in its plane, would show the same."""
        plane = scene.plane
        cosine = float(self.plane.axes[:, 2] @ plane.axes[:, 2])
        place_mm = plane.plane_from_pixels(self.plane.pixels_from_plane(self.place_mm[None]))[0]
        return bool(cosine > np.cos(ALIKE_RAD) and np.hypot(*(place_mm - scene.spindle_mm)) < near_mm)


class PartLooks:
    """The looks taken in one picture from one pose of the rim.

    A start looks a second time where the first look has led it, and which faint edges are found is a matter
    of luck; so first looks are shared with first ones only, and second looks with second ones.
    """

    def __init__(self, bgr: NDArray[np.uint8], rim_radius_mm: float) -> None:
        self._bgr, self._rim_radius_mm = bgr, rim_radius_mm
        self._near_mm = ALIKE_SHARE * WINDOW_SHARE * rim_radius_mm
        self._taken: dict[int, list[_Look]] = {}

    def parts(self, scene: Scene, number: int) -> list[RoundPart]:
        """Round edges near the spindle of a scene, as they lie in its plane, in one of a start's looks."""
        taken = self._taken.setdefault(number, [])
        for look in taken:
            if look.is_like(scene, self._near_mm):
                return [part.seen_in(scene.plane) for part in look.parts]
        parts = find_round_parts(self._bgr, scene.plane, scene.spindle_mm, self._rim_radius_mm)
        taken.append(_Look(scene.plane, scene.spindle_mm, parts))
        return parts
