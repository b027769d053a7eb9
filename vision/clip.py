"""One clip: the wheel's turns, cadence and direction, and the flyer's ratio to it.

Read :func:`measure_clip` from top to bottom: it is the recipe. Times come from time stamps, the wheel's angle
from all pixels of the wheel, and the flyer is sampled in wheel angle, so that no frame rate enters the ratio.

What this cannot do: a wheel that is seen nearly edge-on, ratios above :data:`.turning.orders.HIGHEST`, a
camera that walks about (parallax). It then says so or gives a wide interval.
"""

import math
import pathlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, ufloat

from .clip_advice import advice
from .clip_reading import ClipReading, FlyerTurning, OrderPeak, WheelTurning
from .clip_sound import Clock, Witnesses, with_sound
from .errors import WrongHintError
from .find.steady import hand_of
from .find.sway import camera_sway_px
from .find.turning import Activity, activity, changing_patches, turning_discs
from .measured import NotMeasured
from .open.clip import ClipFrames, read_clip
from .turning.course import Turns, turns_of
from .turning.flyer import Candidate, find_flyer
from .turning.polar import TurningPlane, cut_out
from .turning.rhythm import Rhythm, rhythm_of
from .turning.through_turn import sway_through_turn
from .turning.wheel_angle import LOOKED_FOR_RAD, AngleCourse, repeats_after_half_a_turn, settle_wheel

Floats = NDArray[np.float64]

#: A turning texture explains at least this share of a wheel's changing picture; chance explains less.
LEAST_COHERENCE = 0.08
#: From here on there is no doubt that it turns.
CLEAR_COHERENCE = 0.12
#: Like spokes show few harmonics, and so little coherence; but so many that stand out are no chance.
STANDING_OUT = 4
#: Of all that would tell one reading of the spokes from others this share must, where others are possible.
TELLING_SHARE = 0.25
#: Another reading of the spokes that may be true and explains this share as much leaves the turning open.
RIVAL_SHARE = 0.7
#: An angle that is looked for within so much of where it is expected scatters by this if chance places it.
CHANCE_RMS_RAD = LOOKED_FOR_RAD / math.sqrt(3)
#: Less turning than this is no turning: what only sways or flickers explains much of itself too.
LEAST_TURNS = 1.0
#: A camera on a stand moves less than this.
SWAY_LIMIT_PX = 0.3
#: With a moving camera a ratio must explain so many times what chance explains.
CLEAR_THOUGH_SWAYING = 12.0
NOT_ASKED = NotMeasured("The flyer was not asked for.", "Ask for the whole clip to learn the ratio.")
HOLD_STILL = "Put the phone on a stand, a shelf or a pile of books and film again."


@dataclass(frozen=True, slots=True)
class ClipSettings:
    """What the user knows about a clip.

    Attributes
    ----------
    hub_px, flyer_px : tuple of float, optional
        Clicks on the axle and on the flyer in the first upright picture. They only start the search.
    captured_at_per_s : float, optional
        True capture rate of slow motion whose file does not say it.
    known_ratio : UFloat, optional
        Kept with the settings for whoever reckons slip. It never steers the measurement.
    with_flyer : bool
        Whether the flyer is looked for, which takes most of the time.
    """

    hub_px: tuple[float, float] | None = None
    flyer_px: tuple[float, float] | None = None
    captured_at_per_s: float | None = None
    known_ratio: UFloat | None = None
    with_flyer: bool = True


#: Told now and then: what is done, and how much of it is done (0 to 1).
Tell = Callable[[str, float], None]


def measure_clip(
    path: pathlib.Path, settings: ClipSettings = ClipSettings(), tell: Tell = lambda what, share: None
) -> ClipReading:
    """Measure the turning in one clip.

    Parameters
    ----------
    path : pathlib.Path
        A video file.
    settings : ClipSettings, optional
        Clicks and the capture rate, where the user gives them.
    tell : callable, optional
        Called with what is done and how much of it is done, so that long work can show where it is.

    Returns
    -------
    ClipReading
        Whatever could not be measured is :class:`.NotMeasured` in its place.

    Raises
    ------
    UnreadableFileError
        If the file cannot be decoded.
    WrongHintError
        If a click lies outside the picture or the capture rate is none.
    """
    _check_rate(settings.captured_at_per_s)
    frames = read_clip(path, settings.captured_at_per_s, partial(tell, "reading the clip"))
    return measure_frames(frames, settings, path if settings.with_flyer else None, tell)


def measure_frames(
    frames: ClipFrames,
    settings: ClipSettings = ClipSettings(),
    sound_in: pathlib.Path | None = None,
    tell: Tell = lambda what, share: None,
) -> ClipReading:
    """Measure the turning in pictures that are read already; else as :func:`measure_clip`.

    ``sound_in`` is the file whose sound track is asked too.
    """
    hub_px = _click(frames, settings.hub_px, "axle")
    flyer_px = _click(frames, settings.flyer_px, "flyer")
    times_s = frames.times_s
    tell("looking for what stands still", 0.0)
    swayed_px, sway_px = _held_still(frames)
    seen = activity(frames.gray)
    tell("following the wheel", 0.0)
    found = _find_wheel(frames, seen, hub_px)
    if isinstance(found, NotMeasured):
        return _reading(frames, found, found, Witnesses(found, found, found, ()), swayed_px, sway_px)
    plane, course = found.plane, found.course
    end_std = math.hypot(_end_std(course), sway_px / plane.radius_px)
    turned = turns_of(times_s, course.angles_rad, end_std * _apart(course))
    wheel = _wheel(frames, plane, course, turned)
    tell("following the flyer", 0.0)
    flyer = _flyer(frames, seen, found, turned, end_std, flyer_px) if settings.with_flyer else NOT_ASKED
    if sway_px > SWAY_LIMIT_PX and not _clear(flyer):
        flyer = NotMeasured("The camera moved, and no flyer could be told from that.", HOLD_STILL)
    rhythm = _rhythm(times_s, course, turned, end_std)
    tell("listening", 0.0)
    both = with_sound(sound_in, Clock(times_s, frames.stored_s), turned, flyer)
    ratio_open = settings.with_flyer and isinstance(both.ratio, NotMeasured)
    told = advice(frames.gray, turned.turns.n, turned.speed_rad_s, ratio_open=ratio_open)
    return _reading(frames, wheel, rhythm, both, swayed_px, sway_px, told)


def _check_rate(captured_at_per_s: float | None) -> None:
    if captured_at_per_s is not None and not (math.isfinite(captured_at_per_s) and captured_at_per_s > 0):
        raise WrongHintError(
            f"capture rate: got {captured_at_per_s:g}, expected pictures a second above 0; "
            "give what the camera's slow motion says, such as 240."
        )


def _click(frames: ClipFrames, click_px: tuple[float, float] | None, name: str) -> tuple[float, float] | None:
    """Take a click to gray pixels, if it lies in the picture."""
    if click_px is None:
        return None
    height, width = (side * frames.shrink for side in frames.gray.shape[1:])
    x, y = click_px
    if not (-0.5 <= x <= width - 0.5 and -0.5 <= y <= height - 0.5):
        raise WrongHintError(
            f"{name}: got {x:g},{y:g}, expected a point in the picture, 0,0 to {width - 1},{height - 1}; "
            "click in the first picture as it is shown upright."
        )
    return frames.to_gray(click_px)


def _held_still(frames: ClipFrames) -> tuple[float, float]:
    """Lay the pictures of a hand-held clip over the first.

    Returns
    -------
    How much the camera moved (root mean square, gray pixels), and what is left of that.
    """
    hand = hand_of(frames.gray)
    if hand is None:
        swayed_px = camera_sway_px(frames.gray, activity(frames.gray))
        return swayed_px, swayed_px
    if hand.sway_px > SWAY_LIMIT_PX and hand.steady(frames.gray):
        left = hand_of(frames.gray)
        return hand.sway_px, hand.sway_px if left is None else left.sway_px
    return hand.sway_px, hand.sway_px


@dataclass(frozen=True, slots=True)
class _Wheel:
    """A disc that was followed: where it lies and how it turns."""

    plane: TurningPlane
    course: AngleCourse


def _find_wheel(
    frames: ClipFrames, seen: Activity, hub_px: tuple[float, float] | None
) -> _Wheel | NotMeasured:
    """Find the largest disc whose picture turns well, or say why there is none."""
    found: list[_Wheel] = []
    for disc in turning_discs(seen, hub_px):
        # A disc that lies over one that turns well is only the same wheel, badly framed.
        if not any(_overlap(disc, w.plane) and w.course.coherence > CLEAR_COHERENCE for w in found):
            cutout = cut_out(frames.gray, disc)
            plane, course = settle_wheel(cutout, disc, frames.times_s, frames.rows_across)
            if not repeats_after_half_a_turn(cutout, plane, course):
                found.append(_Wheel(plane, course))
    if not found:
        return NotMeasured(
            "Nothing turns in this clip.", "Film the wheel while it turns, with the camera at rest."
        )
    turning = [w for w in found if _turns(w.course)]
    # A flyer may turn more clearly than the wheel, but it is smaller.
    enough = min(CLEAR_COHERENCE, max((w.course.coherence for w in turning), default=0.0) / 2)
    turning = [w for w in turning if w.course.coherence > enough]
    wheels = [w for w in turning if not _open_between_spokes(w.course)]
    if turning and not wheels:
        return NotMeasured(
            "The spokes look alike, and more than one speed of the wheel explains the clip.",
            "Stick a strip of light tape on one spoke, turn the wheel slowly by hand first, or film more "
            "pictures a second.",
        )
    if not wheels:
        return NotMeasured(
            "No turning wheel could be followed in this clip.",
            "Film the whole wheel for ten turns, squarely, with the camera at rest and enough light.",
        )
    return max(wheels, key=lambda w: w.plane.radius_px)


def _overlap(one: TurningPlane, other: TurningPlane) -> bool:
    return math.dist(one.centre_px, other.centre_px) < max(one.radius_px, other.radius_px)


def _turns(course: AngleCourse) -> bool:
    """Whether a course is more than chance."""
    chance = 12 / len(course.angles_rad)
    clear = course.coherence > max(LEAST_COHERENCE, chance) or course.standing_out >= STANDING_OUT
    clear = clear and course.rms_rad < CHANCE_RMS_RAD
    return clear and float(np.ptp(course.angles_rad)) > 2 * np.pi * LEAST_TURNS


def _open_between_spokes(course: AngleCourse) -> bool:
    """Whether another reading of the spokes may be the true one."""
    told_apart = course.telling_share is None or course.telling_share >= TELLING_SHARE
    return not told_apart or course.rival_coherence >= RIVAL_SHARE * course.coherence


def _end_std(course: AngleCourse) -> float:
    """Estimate the standard uncertainty (rad) of the angle from the first to the last picture."""
    return math.hypot(course.misplaced_std_rad, math.sqrt(2) * course.rms_rad)


def _apart(course: AngleCourse) -> float:
    """How many times more the angles of the first and the last picture differ in their errors than one errs.

    A misplaced axle bends the angle once a turn, a tilt twice. After whole turns both ends err alike; half a
    turn apart they err the opposite way: 1 - cos(angle) and 1 - cos(2 angle) of the variance of each.
    """
    apart = float(course.angles_rad[-1] - course.angles_rad[0])
    return max(1.0, math.sqrt(2 - math.cos(apart) - math.cos(2 * apart)))


def _wheel(frames: ClipFrames, plane: TurningPlane, course: AngleCourse, turned: Turns) -> WheelTurning:
    return WheelTurning(
        hub_px=frames.to_upright(plane.centre_px),
        outline_px=_outline_px(frames, plane),
        turns=turned.turns,
        cadence_per_min=turned.cadence_per_min,
        direction=turned.direction,
        times_s=frames.times_s,
        angles_rad=course.angles_rad,
        cadence_series=np.column_stack([frames.times_s, np.abs(turned.speed_rad_s) * 30 / np.pi]),
        angle_rms_rad=course.rms_rad,
    )


def _outline_px(frames: ClipFrames, plane: TurningPlane) -> Floats:
    """Outline of a disc in pixels of the upright file picture."""
    return np.array([frames.to_upright((x, y)) for x, y in plane.outline_px().tolist()])


def _flyer(
    frames: ClipFrames,
    seen: Activity,
    wheel: _Wheel,
    turned: Turns,
    end_std_rad: float,
    flyer_px: tuple[float, float] | None,
) -> FlyerTurning | NotMeasured:
    """Find what turns at a fixed multiple of the wheel, and at which."""
    plane, course = wheel.plane, wheel.course
    patches = changing_patches(seen, plane, flyer_px, most=3 if flyer_px is None else 1)
    found = find_flyer(
        frames.gray, patches, course.angles_rad, end_std_rad / math.sqrt(2), plane.squeeze, course.spokes
    )
    if isinstance(found, NotMeasured):
        return found
    peaks = tuple(_peak(candidate, turned) for candidate in found.candidates)
    place = found.candidates[0].course.plane
    at_px, outline_px = frames.to_upright(place.centre_px), _outline_px(frames, place)
    steps = np.abs(np.diff(found.candidates[0].course.phase_rad))
    phase = np.concatenate([[0.0], np.cumsum(steps)])
    if len(peaks) > 1:
        open_ = NotMeasured(
            "Two ratios explain the clip about equally well.",
            "Stick a short strip of light tape on one arm of the flyer, "
            "and film again while the wheel speeds up and slows down.",
        )
        return FlyerTurning(open_, open_, open_, peaks, at_px, outline_px, found.ratios, found.power, phase)
    ratio, followed = peaks[0].order, found.candidates[0].course
    assert followed.pull is not None
    sway_rad = sway_through_turn(followed.pull, course.angles_rad, followed.ratio, end_std_rad / math.sqrt(2))
    return FlyerTurning(
        turns=ratio * turned.turns,
        ratio=ratio,
        speed_per_min=ratio * turned.cadence_per_min,
        candidates=peaks,
        flyer_px=at_px,
        outline_px=outline_px,
        orders=found.ratios,
        power=found.power,
        phase_rad=phase,
        sway_rad=sway_rad,
    )


def _clear(flyer: FlyerTurning | NotMeasured) -> bool:
    """Whether a flyer stands out even from a moving picture."""
    return isinstance(flyer, FlyerTurning) and flyer.candidates[0].strength >= CLEAR_THOUGH_SWAYING


def _rhythm(times_s: Floats, course: AngleCourse, turned: Turns, end_std_rad: float) -> Rhythm | NotMeasured:
    if turned.direction == "both":
        return NotMeasured("The wheel turns back and forth.", "Film steady treadling one way for its rhythm.")
    return rhythm_of(times_s, turned.path_rad, course.angles_rad, max(course.rms_rad, end_std_rad / 2))


def _peak(candidate: Candidate, turned: Turns) -> OrderPeak:
    """Give a candidate's ratio: all its turns over all turns of the wheel."""
    ratio = abs(candidate.course.ratio)
    flyer_turns = ufloat(ratio * turned.turns.n, candidate.course.turns_std) + ratio * turned.shutter_turns
    return OrderPeak(flyer_turns / turned.turns, candidate.strength)


def _reading(
    frames: ClipFrames,
    wheel: WheelTurning | NotMeasured,
    rhythm: Rhythm | NotMeasured,
    both: Witnesses,
    swayed_px: float,
    sway_px: float,
    told: tuple[str, ...] = (),
) -> ClipReading:
    remarks = list(told)
    if sway_px > SWAY_LIMIT_PX:
        remarks.append(f"The camera moved by about {swayed_px * frames.shrink:.1f} pixels. {HOLD_STILL}")
    elif swayed_px > SWAY_LIMIT_PX:
        remarks.append(
            f"The camera moved by about {swayed_px * frames.shrink:.1f} pixels; by what stands still that "
            "was taken out again. A phone at rest tells more."
        )
    if frames.lost_frames:
        remarks.append(
            f"{frames.lost_frames} pictures are missing in the file; the times of the others still hold."
        )
    return ClipReading(
        file=frames.file,
        seconds=frames.stored_s,
        frames=len(frames.times),
        lost_frames=frames.lost_frames,
        frame_rate=frames.frame_rate,
        wheel=wheel,
        flyer=both.flyer,
        rhythm=rhythm,
        sound=both.sound,
        ratio=both.ratio,
        remarks=(*remarks, *both.remarks),
    )
