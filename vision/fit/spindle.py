"""Where on the line hub - whirl the spindle is: round parts of one spindle agree on one place.

In band plane coordinates the middles of all parts lie on one line through the camera's foot and the place
where the spindle's axis meets the band plane. That place lies on the bisector of the runs as well.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..find.round_parts import RoundPart
from ..geometry.camera import Points
from .scene import Scene
from .wheel_scene import LEAN_DOUBT_RAD

#: Parts of the spindle stand at most so far before or behind the band plane.
FURTHEST_PART_MM = 180.0
#: Edges of less clarity are mostly chance ones; those of more are mostly real.
CHANCE_CLARITY, REAL_CLARITY = 0.1, 0.35
#: A small circle is easily mistaken (a knot, a nail): it must be seen nearly whole.
SMALL_MM, SMALL_ARC = 10.0, 0.75
MOST_PARTS = 8
#: Parts that agree may do so by chance unless one is so surely real and together they say so much (as a
#: logarithm of odds). In drawn rooms most answers without such a part were off by more than they said, and
#: few of the others.
CLEAR_WEIGHT, CLEAR_ODDS = 0.9, 3.0
#: Even a clear round edge may be that of something else, a basket or the end of a flyer's arm: one of ten,
#: as a guess.
MOST_SURE = 0.9
#: Another place is a rival if the odds for it are at least this share of those for the best one. The nearer
#: its odds come, the more of the way to it is left open.
RIVAL_ODDS = 0.03
STEP_MM = 0.25
#: Parts agree on a place within so many deviations; chance ones lie anywhere over such a length.
AGREEING, ABOUT_MM = 2.5, 100.0
#: Round edges that seem to stand at the same height within so much belong to one thing.
ONE_THING_MM = 3.0
#: A place is looked at if it lies within so many deviations of the expected one.
REACH = 2.5
#: Where parts speak for no place by so much (as a logarithm of odds), they tell nothing.
LEAST_LOG_ODDS = 0.1
#: Sine of the least angle between axis and bisector in the picture at which their crossing says anything.
LEAST_CROSSING = 0.03
#: They surely cross if they do so by this many deviations.
SURE_CROSSING = 2.0


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """A round part, the place on the bisector that it speaks for with its doubt, and its height.

    ``weight`` is how likely it is real, 0 to 1.
    """

    part: RoundPart
    along_mm: float
    doubt_mm: float
    height_mm: float
    weight: float


@dataclass(frozen=True, slots=True)
class ExpectedPlace:
    """Where the spindle is thought to be before its parts are looked at.

    Attributes
    ----------
    meeting_mm : float
        How far from the hub the runs meet.
    from_meeting_mm : float
        How far before that place the spindle is thought to be.
    doubt : float
        Standard deviation of the logarithm of that: a guess is wrong by a factor.
    """

    meeting_mm: float
    from_meeting_mm: float
    doubt: float

    def places_mm(self) -> NDArray[np.float64]:
        """The places, in mm from the hub, at which the spindle may be at all."""
        nearest, furthest = self.from_meeting_mm * np.exp(np.array([-REACH, REACH]) * self.doubt)
        return np.arange(max(self.meeting_mm - furthest, 0.0), self.meeting_mm - nearest, STEP_MM)

    def odds(self, along_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """How likely the spindle is at each of these places, the likeliest being 1."""
        factor = (self.meeting_mm - along_mm) / self.from_meeting_mm
        return np.asarray(np.exp(-0.5 * (np.log(factor) / self.doubt) ** 2))


@dataclass(frozen=True, slots=True)
class SpindlePlace:
    """Where most parts agree.

    ``rivals_mm`` are other places that are not out of the question, with the share of the way to each (0 to
    1) that is left open for its sake.
    ``mirrored``: the line about which all edges there are mirrored passes this place as well.
    """

    along_mm: float
    parts: tuple[PlacedPart, ...]
    rivals_mm: tuple[tuple[float, float], ...]
    mirrored: bool = False

    @property
    def log_odds(self) -> float:
        """How much likelier the parts agree by the spindle than by chance, as a logarithm.

        By chance a part lies anywhere about the spindle; the vaguer it is, the easier it agrees. Rings about
        one middle are one thing, be it a flange or a basket on the wall, and count as the one that says most.
        What is mirrored about the axis is mostly these parts again, and says no more than enough.
        """
        things: list[PlacedPart] = []
        for part in sorted(self.parts, key=_said, reverse=True):
            if all(abs(part.height_mm - thing.height_mm) > ONE_THING_MM for thing in things):
                things.append(part)
        return max(sum(map(_said, things)), CLEAR_ODDS if self.mirrored else 0.0)

    @property
    def one_small_circle(self) -> bool:
        """Whether only one small circle speaks for it, which may be the end of a flyer's arm, or a knot."""
        return len(self.parts) == 1 and self.parts[0].part.radius_mm < SMALL_MM

    @property
    def vague(self) -> bool:
        """Whether it may be a chance one: no part is clear, all say little, or one small circle is all."""
        if self.mirrored:
            return False
        clear = max(part.weight for part in self.parts) >= CLEAR_WEIGHT
        return self.one_small_circle or not clear or self.log_odds < CLEAR_ODDS

    @property
    def sharpness_per_mm2(self) -> float:
        """How sharply the parts tell the place: the inverse of its variance, if they are real."""
        return sum(part.weight / part.doubt_mm**2 for part in self.parts)


def _said(part: PlacedPart) -> float:
    """What one part that agrees says, as a logarithm of odds."""
    return -part.weight * float(np.log(min(2 * AGREEING * part.doubt_mm / ABOUT_MM, 1.0)))


def place_spindle(
    scene: Scene,
    parts: Sequence[RoundPart],
    expected: ExpectedPlace,
    tilt_doubt_rad: float = 0.0,
) -> SpindlePlace | None:
    """The place on the bisector, in mm from the hub, that the parts agree on; None if no part helps.

    Parameters
    ----------
    scene : Scene
        Pose and bisector.
    parts : sequence of RoundPart
    expected : ExpectedPlace
    tilt_doubt_rad : float
        How well the plane's tilt is known, and with it the axis' direction.
    """
    bisector = scene.spindle_mm / np.hypot(*scene.spindle_mm)
    least_crossing = _least_crossing(scene, tilt_doubt_rad)
    lean_doubt_rad = float(np.hypot(LEAN_DOUBT_RAD, tilt_doubt_rad))
    seen = (_placed(scene, part, bisector, lean_doubt_rad, least_crossing) for part in parts)
    placed = [part for part in seen if part is not None]
    along = expected.places_mm()
    if not len(along):
        return None
    says = _log_odds(placed, along) + np.log(expected.odds(along))
    best = float(along[int(says.argmax())])
    agreed = _agreeing(placed, best)
    if not agreed or says.max() < LEAST_LOG_ODDS:
        return None
    return SpindlePlace(best, _sharpest(agreed), tuple(_rivals(along, says)))


def place_on_line(scene: Scene, ends_mm: Points, parts: Sequence[RoundPart]) -> SpindlePlace | None:
    """The place at which the axis, as it is seen, crosses the bisector, with the parts that agree on it.

    Parameters
    ----------
    scene : Scene
        Pose and bisector.
    ends_mm : (2, 2) array
        Two points of the axis as it covers the band plane.
    parts : sequence of RoundPart

    Returns
    -------
    SpindlePlace or None
        None if axis and bisector run together too nearly.
    """
    bisector = scene.spindle_mm / np.hypot(*scene.spindle_mm)
    axis = (ends_mm[1] - ends_mm[0]) / np.linalg.norm(ends_mm[1] - ends_mm[0])
    crossing = abs(float(axis[0] * bisector[1] - axis[1] * bisector[0]))
    if crossing < LEAST_CROSSING:
        return None
    along_mm, _ = np.linalg.solve(np.column_stack([bisector, -axis]), ends_mm[0])
    seen = (_placed(scene, part, bisector, LEAN_DOUBT_RAD, LEAST_CROSSING) for part in parts)
    agreed = _agreeing([part for part in seen if part is not None], float(along_mm))
    return SpindlePlace(float(along_mm), _sharpest(agreed), (), mirrored=True)


def _agreeing(placed: Sequence[PlacedPart], along_mm: float) -> list[PlacedPart]:
    """The parts that may as well speak for a place."""
    return [p for p in placed if abs(p.along_mm - along_mm) < AGREEING * np.hypot(p.doubt_mm, STEP_MM)]


def _sharpest(parts: Sequence[PlacedPart]) -> tuple[PlacedPart, ...]:
    """Those that tell most, the sharpest first; what more would tell is not worth its time."""
    return tuple(sorted(parts, key=lambda p: -p.weight / p.part.centre_doubt_mm)[:MOST_PARTS])


def _log_odds(placed: Sequence[PlacedPart], along_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """What the parts say for places (n,), as logarithms of odds against a place that none of them knows.

    Each thing speaks once, with the ring of it that says most.
    """
    says = np.zeros(len(along_mm))
    left = sorted(placed, key=_said, reverse=True)
    while left:
        height_mm = left[0].height_mm
        rings = [part for part in left if abs(part.height_mm - height_mm) <= ONE_THING_MM]
        left = [part for part in left if abs(part.height_mm - height_mm) > ONE_THING_MM]
        says += np.max([_log_odds_of(ring, along_mm) for ring in rings], axis=0)
    return says


def _log_odds_of(part: PlacedPart, along_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """What one part says for places (n,): it is the spindle's and near its place, or it may lie anywhere."""
    sure, doubt_mm = MOST_SURE * part.weight, np.hypot(part.doubt_mm, STEP_MM)
    near = np.exp(-0.5 * ((along_mm - part.along_mm) / doubt_mm) ** 2) / (np.sqrt(2 * np.pi) * doubt_mm)
    return np.asarray(np.log(1 - sure + sure * ABOUT_MM * near))


def _least_crossing(scene: Scene, tilt_doubt_rad: float) -> float:
    """Sine of the angle at which the spindle's axis must cross the bisector to place the whirl.

    In the plane the axis runs from the camera's foot, which a tilt moves by the camera's height. Where the
    axis may as well lie along the bisector, no linear reckoning of the crossing holds.
    """
    reach_mm = float(np.hypot(*(scene.spindle_mm - scene.plane.camera_foot_mm)))
    doubt = tilt_doubt_rad * scene.plane.camera_height_mm / reach_mm
    return float(max(LEAST_CROSSING, SURE_CROSSING * doubt))


def _placed(
    scene: Scene, part: RoundPart, bisector: Points, lean_doubt_rad: float, least_crossing: float
) -> PlacedPart | None:
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
    doubt = float(np.hypot(part.centre_doubt_mm, lean_doubt_rad * height_mm)) / crossing
    if abs(height_mm) > FURTHEST_PART_MM or doubt > 15.0:
        return None
    return PlacedPart(part, float(along), doubt, height_mm, weight)


def _rivals(along: NDArray[np.float64], says: NDArray[np.float64]) -> Iterator[tuple[float, float]]:
    """Other places (mm) that are not out of the question, and how much of the way to each is left open."""
    inner, best = says[1:-1], int(says.argmax())
    odds = np.exp(inner - says[best])
    high = (inner >= says[:-2]) & (inner > says[2:]) & (odds > RIVAL_ODDS)
    for k in np.nonzero(high)[0]:
        if k + 1 != best:
            yield float(along[k + 1]), float(np.sqrt(odds[k]))
