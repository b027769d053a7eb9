"""The wheel of a clip: the largest disc that is seen to turn, or why none can be told.

Discs in which much changes are followed one by one (:mod:`.turning.wheel_angle`). Chance explains a little of
any of them, and spokes that look alike allow several speeds; both are held against what is found. Where
nothing is left, the clip itself says what was wrong with it.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .clip_advice import DARK, mean_light
from .find.turning import Activity, stands_still, turning_discs
from .measured import NotMeasured
from .open.clip import ClipFrames
from .turning.each_picture import LOOKED_FOR_RAD
from .turning.polar import TurningPlane, cut_out
from .turning.wheel_angle import (
    WIDE_STAR,
    AngleCourse,
    repeats_after_half_a_turn,
    settle_wheel,
)

#: A turning explains at least so many times what other courses explain at which nothing turns. On pure noise
#: and on what drifts the best course reaches about 2, round the wrong place about 6, a wheel 12 and more.
TIMES_ELSEWHERE = 8.0
#: An angle that is looked for within so much of where it is expected scatters by this if chance places it.
CHANCE_RMS_RAD = LOOKED_FOR_RAD / math.sqrt(3)
#: Where half of the pictures may be placed by chance, that must be so many times clearer; so it must where
#: part of the disc lies outside the picture: spokes that pass by its edge look like a smaller disc.
IF_SCATTERED = IF_CUT = 2.0
#: From here on something does turn, though not so that its turns could be counted.
TURNS_SOMEHOW = 4.0
#: A wheel of which a turning texture explains so much of what changes is well placed.
CLEAR_COHERENCE = 0.12
#: Of all that would tell one reading of the spokes from others this share must, where others are possible.
TELLING_SHARE = 0.25
#: Another reading of the spokes that may be true and explains this share as much leaves the turning open.
RIVAL_SHARE = 0.7
#: Less turning than this is no turning: what only sways or flickers explains much of itself too.
LEAST_TURNS = 1.0
#: A disc that is drawn away from its wheel is too large too; how far round it is looked again (radii).
SMALLER, REACH_AGAIN = 0.85, 1.6
#: What turns clearly so far has begun a turn: nothing that only sways comes round as far.
BEGUN_TURNS = 0.25
#: Fewer pictures than this show no turn: nobody treadles a turn in less than a quarter of a second.
FEWEST_PICTURES = 8
#: Phones take 24 pictures a second or more; below half of that a treadled wheel turns too far between two.
FEWEST_PER_S = 12.0
#: Of a wheel's outline so much must lie in the picture.
LEAST_IN_PICTURE = 0.75
FILM_TEN_TURNS = "Film ten turns; that takes ten seconds or more."
NOTHING_MOVES = NotMeasured("Nothing moves in this clip.", "Film the wheel while it turns.")
SPOKES_ALIKE = NotMeasured(
    "The spokes look alike, and more than one speed of the wheel explains the clip.",
    "Stick a strip of light tape on one spoke, turn the wheel slowly by hand first, or film more "
    "pictures a second.",
)
WHICH_WHEEL = NotMeasured(
    "Two things turn in this clip, and which of them is the wheel can't be told.",
    "Film so that nothing but your wheel turns, or say where its axle is.",
)
ONLY_TWO_ARMS = NotMeasured(
    "What turns here has two arms as a flyer has, and no wheel could be followed beside it.",
    "If that is your wheel, say where its axle is; otherwise take the whole wheel into the picture.",
)
NOT_WHOLE = NotMeasured(
    "What turns lies partly outside the picture, and too little of it is seen to be followed.",
    "Take the whole wheel into the picture, with its axle.",
)
LESS_THAN_A_TURN = NotMeasured("The wheel makes less than one turn in this clip.", FILM_TEN_TURNS)
TOO_DARK = NotMeasured(
    "The clip is so dark that no turning wheel could be followed.",
    "Film in more light, so that the spokes are seen one by one.",
)
NOT_FOLLOWED = NotMeasured(
    "No turning wheel could be followed in this clip.",
    "Film the whole wheel for ten turns, squarely, no faster than you treadle, with the camera at rest and "
    "enough light.",
)


@dataclass(frozen=True, slots=True)
class FoundWheel:
    """A disc that was followed: where it lies, how it turns, and whether it looks like a flyer."""

    plane: TurningPlane
    course: AngleCourse
    two_arms: bool = False


def find_wheel(
    frames: ClipFrames, seen: Activity, hub_px: tuple[float, float] | None = None
) -> FoundWheel | NotMeasured:
    """Find the largest disc whose picture turns well, or say why there is none.

    Parameters
    ----------
    hub_px : tuple of float, optional
        A click on the axle, in gray pixels.
    """
    if len(frames.gray) < FEWEST_PICTURES:
        return NotMeasured(
            f"The clip holds only {len(frames.gray)} pictures, too few to show a turn of the wheel.",
            FILM_TEN_TURNS,
        )
    followed = _followed(frames, seen, hub_px)
    found = [w for w in followed if not w.two_arms]
    turning = [w for w in found if _turns(w, frames.gray.shape)]
    if _only_begun(found, turning):
        # Turning far from picture to picture, spokes may seem to creep.
        return _too_few_a_second(frames) or LESS_THAN_A_TURN
    turning = turning or _looked_for_again(frames, found)
    # A flyer may turn more clearly than the wheel, but it is smaller.
    enough = min(CLEAR_COHERENCE, max((w.course.coherence for w in turning), default=0.0) / 2)
    turning = [w for w in turning if w.course.coherence > enough]
    wheels = [w for w in turning if not _open_between_spokes(w.course)]
    if wheels:
        largest = max(wheels, key=_radius_px)
        return WHICH_WHEEL if _beside_larger(followed, largest, frames.gray.shape) else largest
    if any(w.two_arms and _turns(w, frames.gray.shape) for w in followed):
        return ONLY_TWO_ARMS
    return _why_none(frames, seen, found, turning)


def _followed(frames: ClipFrames, seen: Activity, hub_px: tuple[float, float] | None) -> list[FoundWheel]:
    """Every disc that may be a wheel, as it was followed."""
    found: list[FoundWheel] = []
    for disc in turning_discs(seen, hub_px):
        # A disc that lies over one that turns well is only the same wheel, badly framed.
        known = (w for w in found if w.course.coherence > CLEAR_COHERENCE)
        if not any(_inside(disc, w.plane) if w.two_arms else _overlap(disc, w.plane) for w in known):
            cutout = cut_out(frames.gray, disc)
            plane, course = settle_wheel(cutout, disc, frames.times_s, frames.rows_across)
            # Whoever points at an axle knows it from a flyer's.
            two_arms = hub_px is None and repeats_after_half_a_turn(cutout, plane, course)
            found.append(FoundWheel(plane, course, two_arms))
    return found


def _beside_larger(followed: list[FoundWheel], wheel: FoundWheel, shape: tuple[int, ...]) -> bool:
    """Whether something with two arms that is larger turns beside a wheel: no flyer is."""
    return any(
        w.two_arms
        and _turns(w, shape)
        and w.plane.radius_px > wheel.plane.radius_px
        and not _overlap(w.plane, wheel.plane)
        for w in followed
    )


def _looked_for_again(frames: ClipFrames, found: list[FoundWheel]) -> list[FoundWheel]:
    """Look round the disc that turns most clearly of those that do so somehow, where there is one.

    What moves beside a wheel (a hand, a curtain) draws the disc away from it.
    """
    somehow = [w for w in found if w.course.times_elsewhere > TURNS_SOMEHOW]
    if not somehow:
        return []
    best = max(somehow, key=lambda w: w.course.times_elsewhere).plane
    disc = TurningPlane(best.centre_px, SMALLER * best.radius_px)
    cutout = cut_out(frames.gray, disc, REACH_AGAIN)
    again = FoundWheel(*settle_wheel(cutout, disc, frames.times_s, frames.rows_across, WIDE_STAR))
    return [again] if _turns(again, frames.gray.shape) else []


def _radius_px(wheel: FoundWheel) -> float:
    return wheel.plane.radius_px


def _overlap(one: TurningPlane, other: TurningPlane) -> bool:
    return math.dist(one.centre_px, other.centre_px) < max(one.radius_px, other.radius_px)


def _inside(disc: TurningPlane, other: TurningPlane) -> bool:
    return math.dist(disc.centre_px, other.centre_px) < other.radius_px


def _turns(wheel: FoundWheel, shape: tuple[int, ...]) -> bool:
    """Whether a course is a whole turn at least, and more than chance, in pictures (n, height, width)."""
    course, enough = wheel.course, TIMES_ELSEWHERE
    if course.rms_rad > CHANCE_RMS_RAD / math.sqrt(2):
        enough *= IF_SCATTERED
    if _share_in_picture(wheel.plane, shape) < LEAST_IN_PICTURE:
        enough *= IF_CUT
    return _farther(course, LEAST_TURNS) and course.times_elsewhere > enough


def _farther(course: AngleCourse, turns: float) -> bool:
    return float(np.ptp(course.angles_rad)) > 2 * np.pi * turns


def _only_begun(found: list[FoundWheel], turning: list[FoundWheel]) -> bool:
    """Whether the largest disc that surely turns makes less than a turn: what turns more is a flyer."""
    begun = [
        w
        for w in found
        if _farther(w.course, BEGUN_TURNS)
        and w.course.coherence > CLEAR_COHERENCE
        and w.course.times_elsewhere > TURNS_SOMEHOW
    ]
    if not begun:
        return False
    largest = max(begun, key=_radius_px)
    return not any(w is largest or _overlap(w.plane, largest.plane) for w in turning)


def _open_between_spokes(course: AngleCourse) -> bool:
    """Whether another reading of the spokes may be the true one."""
    told_apart = course.telling_share is None or course.telling_share >= TELLING_SHARE
    return not told_apart or course.rival_coherence >= RIVAL_SHARE * course.coherence


def _why_none(
    frames: ClipFrames, seen: Activity, found: list[FoundWheel], turning: list[FoundWheel]
) -> NotMeasured:
    """Say what was wrong with a clip in which no wheel was found: the first of these that holds."""
    if mean_light(frames.gray) < DARK:
        return TOO_DARK
    if stands_still(seen):
        return NOTHING_MOVES
    if too_few := _too_few_a_second(frames):
        return too_few
    somehow = [w for w in found if w.course.times_elsewhere > TURNS_SOMEHOW]
    if any(_share_in_picture(w.plane, frames.gray.shape) < LEAST_IN_PICTURE for w in somehow):
        return NOT_WHOLE
    return SPOKES_ALIKE if turning else NOT_FOLLOWED


def _too_few_a_second(frames: ClipFrames) -> NotMeasured | None:
    per_s = (len(frames.gray) - 1) / frames.stored_s
    if per_s >= FEWEST_PER_S:
        return None
    return NotMeasured(
        f"Only {per_s:.3g} pictures a second were taken, so the wheel turns too far from one to the next "
        "to be followed.",
        "Film at 24 pictures a second or more, in good light: in the dark some cameras take fewer.",
    )


def _share_in_picture(plane: TurningPlane, shape: tuple[int, ...]) -> float:
    """Share of a disc's outline that the pictures (n, height, width) show."""
    x, y = plane.outline_px().T
    return float(np.mean((x >= 0) & (x < shape[2]) & (y >= 0) & (y < shape[1])))


def outline_of(frames: ClipFrames, plane: TurningPlane) -> NDArray[np.float64]:
    """Outline of a disc in pixels of the upright file picture."""
    return np.array([frames.to_upright((x, y)) for x, y in plane.outline_px().tolist()])
