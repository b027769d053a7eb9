"""One clip: the wheel's turns, cadence and direction, and the flyer's ratio to it.

Read :func:`measure_clip` from top to bottom: it is the recipe. Times come from time stamps, the wheel's angle
from all pixels of the wheel, and the flyer is sampled in wheel angle, so that no frame rate enters the ratio.

What this cannot do: a wheel that is seen nearly edge-on, ratios above :data:`.turning.orders.HIGHEST`, a
camera that walks about (parallax). It then says so or gives a wide interval.
"""

import math
import pathlib
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat

from .clip_advice import advice
from .clip_flyer import flyer_of
from .clip_rate import rate_remarks
from .clip_reading import ClipReading, FlyerTurning, WheelTurning
from .clip_sound import Clock, Witnesses, sound_of, with_sound
from .clip_wheel import find_wheel, outline_of
from .errors import WrongHintError
from .find.steady import hand_of
from .find.sway import camera_sway_px
from .find.turning import activity
from .measured import NotMeasured
from .open.clip import ClipFrames, read_clip
from .open.sound import SoundBands
from .turning.course import Turns, turns_of
from .turning.polar import TurningPlane
from .turning.rhythm import Rhythm, rhythm_of
from .turning.wheel_angle import AngleCourse

Floats = NDArray[np.float64]

#: A camera on a stand moves less than this.
SWAY_LIMIT_PX = 0.3
#: If the camera moves, the whole picture does: by so much, at least, of what its corners do.
SWAYS_AS_WHOLE = 0.5
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

    ``sound_in`` is the file whose sound track is asked too. It is read beside the work on the pictures.
    """
    with ThreadPoolExecutor(1) as beside:
        sound = beside.submit(sound_of, sound_in)
        return _measured(frames, settings, sound.result, tell)


def _measured(
    frames: ClipFrames,
    settings: ClipSettings,
    sound: Callable[[], SoundBands | NotMeasured],
    tell: Tell,
) -> ClipReading:
    hub_px = _click(frames, settings.hub_px, "axle")
    flyer_px = _click(frames, settings.flyer_px, "flyer")
    times_s = frames.times_s
    tell("looking for what stands still", 0.0)
    swayed_px, sway_px = _held_still(frames)
    seen = activity(frames.gray)
    tell("following the wheel", 0.0)
    found = find_wheel(frames, seen, hub_px)
    if isinstance(found, NotMeasured):
        return _reading(frames, found, found, Witnesses(found, found, found, ()), swayed_px, sway_px)
    plane, course = found.plane, found.course
    end_std = math.hypot(_end_std(course), sway_px / plane.radius_px)
    turned = turns_of(times_s, course.angles_rad, end_std * _apart(course))
    wheel = _wheel(frames, plane, course, turned)
    tell("following the flyer", 0.0)
    flyer = flyer_of(frames, seen, found, turned, end_std, flyer_px) if settings.with_flyer else NOT_ASKED
    if sway_px > SWAY_LIMIT_PX and not _clear(flyer):
        flyer = NotMeasured("The camera moved, and no flyer could be told from that.", HOLD_STILL)
    rhythm = _rhythm(times_s, course, turned, end_std)
    tell("listening", 0.0)
    clock = Clock(times_s, frames.stored_s, given=frames.frame_rate.is_given)
    both = with_sound(sound(), clock, turned, flyer)
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
        swayed_px = camera_sway_px(frames.gray)
        return swayed_px, swayed_px
    if hand.sway_px <= SWAY_LIMIT_PX:
        return hand.sway_px, hand.sway_px
    whole_px = camera_sway_px(frames.gray)
    if whole_px < SWAYS_AS_WHOLE * hand.sway_px:
        # Most corners lay on a wheel whose like spokes seem to creep from picture to picture.
        return whole_px, whole_px
    if hand.steady(frames.gray):
        return hand.sway_px, hand.left_px(frames.gray)
    return hand.sway_px, hand.sway_px


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
        outline_px=outline_of(frames, plane),
        turns=turned.turns,
        cadence_per_min=turned.cadence_per_min,
        direction=turned.direction,
        times_s=frames.times_s,
        angles_rad=course.angles_rad,
        cadence_series=np.column_stack([frames.times_s, np.abs(turned.speed_rad_s) * 30 / np.pi]),
        angle_rms_rad=course.rms_rad,
    )


def _clear(flyer: FlyerTurning | NotMeasured) -> bool:
    """Whether a flyer stands out even from a moving picture."""
    return isinstance(flyer, FlyerTurning) and flyer.candidates[0].strength >= CLEAR_THOUGH_SWAYING


def _rhythm(times_s: Floats, course: AngleCourse, turned: Turns, end_std_rad: float) -> Rhythm | NotMeasured:
    if turned.direction == "both":
        return NotMeasured("The wheel turns back and forth.", "Film steady treadling one way for its rhythm.")
    return rhythm_of(times_s, turned.path_rad, course.angles_rad, max(course.rms_rad, end_std_rad / 2))


def _reading(
    frames: ClipFrames,
    wheel: WheelTurning | NotMeasured,
    rhythm: Rhythm | NotMeasured,
    both: Witnesses,
    swayed_px: float,
    sway_px: float,
    told: tuple[str, ...] = (),
) -> ClipReading:
    remarks = [*told, *rate_remarks(frames.frame_rate, wheel)]
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
