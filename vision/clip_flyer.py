"""The flyer of a clip, its ratio to the wheel and the ways to read it, or why none can be told."""

import math

import numpy as np
from uncertainties import ufloat

from .clip_reading import FlyerTurning, OrderPeak
from .clip_wheel import FoundWheel, outline_of
from .find.turning import Activity, changing_patches
from .measured import NotMeasured
from .open.clip import ClipFrames
from .turning.course import Turns
from .turning.flyer import Candidate, find_flyer
from .turning.through_turn import sway_through_turn


def flyer_of(
    frames: ClipFrames,
    seen: Activity,
    wheel: FoundWheel,
    turned: Turns,
    end_std_rad: float,
    flyer_px: tuple[float, float] | None,
) -> FlyerTurning | NotMeasured:
    """Find what turns at a fixed multiple of the wheel, and at which; ``flyer_px`` is a click on it."""
    plane, course = wheel.plane, wheel.course
    patches = changing_patches(seen, plane, flyer_px, most=3 if flyer_px is None else 1)
    found = find_flyer(
        frames.gray,
        patches,
        course.angles_rad,
        frames.times_s,
        end_std_rad / math.sqrt(2),
        plane.squeeze,
        course.spokes,
    )
    if isinstance(found, NotMeasured):
        return found
    peaks = tuple(_peak(candidate, turned) for candidate in found.candidates)
    place = found.candidates[0].course.plane
    at_px, outline_px = frames.to_upright(place.centre_px), outline_of(frames, place)
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


def _peak(candidate: Candidate, turned: Turns) -> OrderPeak:
    """Give a candidate's ratio: all its turns over all turns of the wheel."""
    ratio = abs(candidate.course.ratio)
    flyer_turns = ufloat(ratio * turned.turns.n, candidate.course.turns_std) + ratio * turned.shutter_turns
    return OrderPeak(flyer_turns / turned.turns, candidate.strength)
