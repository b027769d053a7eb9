"""Where on the line hub - whirl the spindle is: round parts of one spindle agree on one place.

In band plane coordinates the middles of all parts lie on one line through the camera's foot and the place
where the spindle's axis meets the band plane. That place lies on the bisector of the runs as well.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..find.round_parts import RoundPart
from ..geometry.camera import Points
from .scene import Scene

#: Parts of the spindle stand at most so far before or behind the band plane.
FURTHEST_PART_MM = 180.0
#: How far a round edge's middle is off: one seen clearly all round, and how much more a vague one.
CENTRE_DOUBT_MM, VAGUE_DOUBT_MM = 0.1, 1.8
#: A lean of the spindle shifts a part by so much times its height.
LEAN_DOUBT_RAD = 0.015
#: Edges of less clarity are mostly chance ones; those of more are mostly real.
CHANCE_CLARITY, REAL_CLARITY = 0.1, 0.35
#: A small circle is easily mistaken (a knot, a nail): it must be seen nearly whole.
SMALL_MM, SMALL_ARC = 10.0, 0.75
MOST_PARTS = 8
#: Another place is a rival if it has so much of the best one's support, and at least this share of its parts.
RIVAL_SUPPORT, RIVAL_SHARE = 0.5, 0.5
STEP_MM = 0.25
#: Sine of the least angle between axis and bisector in the picture at which their crossing says anything.
LEAST_CROSSING = 0.03


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """A round part, the place on the bisector that it speaks for with its doubt, and its height.

    ``centre_doubt_mm`` is the doubt of its own middle, ``weight`` how likely it is real, 0 to 1.
    """

    part: RoundPart
    along_mm: float
    doubt_mm: float
    height_mm: float
    centre_doubt_mm: float
    weight: float


@dataclass(frozen=True, slots=True)
class SpindlePlace:
    """Where most parts agree.

    ``rivals_mm`` are other places for which nearly as much speaks, with what speaks for each as a share.
    """

    along_mm: float
    parts: tuple[PlacedPart, ...]
    rivals_mm: tuple[tuple[float, float], ...]

    @property
    def weight(self) -> float:
        """How many parts agree, each counted by how likely it is real."""
        return _weight(self.parts)

    @property
    def sharpness_per_mm2(self) -> float:
        """How sharply the parts tell the place: the inverse of its variance, if they are real."""
        return sum(part.weight / part.doubt_mm**2 for part in self.parts)


def place_spindle(
    scene: Scene,
    parts: Sequence[RoundPart],
    expected_mm: float,
    doubt_mm: float,
    least_crossing: float = LEAST_CROSSING,
) -> SpindlePlace | None:
    """The place on the bisector, in mm from the hub, that the parts agree on; None if no part helps.

    Parameters
    ----------
    scene : Scene
        Pose and bisector.
    parts : sequence of RoundPart
    expected_mm, doubt_mm : float
        Where the spindle is thought to be, and how well that is known.
    least_crossing : float
        Sine of the angle at which the axis must cross the bisector: more where the plane's tilt, and so the
        axis' direction, is known less.
    """
    bisector = scene.spindle_mm / np.hypot(*scene.spindle_mm)
    placed = [p for part in parts if (p := _placed(scene, part, bisector, least_crossing))]
    along = np.arange(expected_mm - 2.5 * doubt_mm, expected_mm + 2.5 * doubt_mm, STEP_MM)
    support = np.zeros(len(along))
    for p in placed:
        blurred_mm = np.hypot(p.doubt_mm, STEP_MM)
        support += p.weight * np.exp(-0.5 * ((along - p.along_mm) / blurred_mm) ** 2) / np.sqrt(blurred_mm)
    support *= np.exp(-0.5 * ((along - expected_mm) / doubt_mm) ** 2)
    if not len(along) or support.max() < 0.1:
        return None
    best = float(along[int(support.argmax())])
    agreed = sorted(_agreeing(placed, best), key=lambda p: -p.weight / p.centre_doubt_mm)
    least = RIVAL_SHARE * _weight(agreed)
    rivals = [(at, share) for at, share in _tops(along, support) if _weight(_agreeing(placed, at)) >= least]
    return SpindlePlace(best, tuple(agreed[:MOST_PARTS]), tuple(rivals))


def _agreeing(placed: Sequence[PlacedPart], along_mm: float) -> list[PlacedPart]:
    """The parts that may as well speak for a place."""
    return [p for p in placed if abs(p.along_mm - along_mm) < 2.5 * np.hypot(p.doubt_mm, STEP_MM)]


def _weight(parts: Sequence[PlacedPart]) -> float:
    return sum(p.weight for p in parts)


def _placed(scene: Scene, part: RoundPart, bisector: Points, least_crossing: float) -> PlacedPart | None:
    weight = float(np.clip((part.clarity - CHANCE_CLARITY) / (REAL_CLARITY - CHANCE_CLARITY), 0.0, 1.0))
    if weight == 0.0 or (part.radius_mm < SMALL_MM and part.arc < SMALL_ARC):
        return None
    foot, camera_height = scene.plane.camera_foot_mm, scene.plane.camera_height_mm
    sight = part.centre_mm - foot
    length = float(np.hypot(*sight))
    crossing = abs(float(sight[0] * bisector[1] - sight[1] * bisector[0])) / max(length, 1e-9)
    if crossing < least_crossing:
        return None
    shrink, along = np.linalg.solve(np.column_stack([sight, -bisector]), -foot)
    height_mm = camera_height * (1 - float(shrink))
    centre_doubt = CENTRE_DOUBT_MM + VAGUE_DOUBT_MM * (1.0 - weight) ** 2
    doubt = float(np.hypot(centre_doubt, LEAN_DOUBT_RAD * height_mm)) / crossing
    if abs(height_mm) > FURTHEST_PART_MM or doubt > 15.0:
        return None
    return PlacedPart(part, float(along), doubt, height_mm, centre_doubt, weight)


def _tops(along: NDArray[np.float64], support: NDArray[np.float64]) -> list[tuple[float, float]]:
    """Other places with much support, and their support as a share of the best one's."""
    inner, most = support[1:-1], support.max()
    high = (inner >= support[:-2]) & (inner > support[2:]) & (inner > RIVAL_SUPPORT * most)
    tops = np.nonzero(high)[0] + 1
    return [(float(along[k]), float(support[k] / most)) for k in tops if k != support.argmax()]
