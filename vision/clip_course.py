"""The course of a clip: how far wheel and flyer have turned at each moment, from the better witness."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .clip_reading import ClipReading, SoundTurning, WheelTurning
from .measured import NotMeasured

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class TurningCourse:
    """Turns made since the start of a clip.

    Attributes
    ----------
    times_s, wheel_turns, flyer_turns : (n,) arrays
        Real time since the first picture, and turns along the path until then.
    end_std_turns : float
        Standard uncertainty of the flyer's turns between two moments.
    """

    times_s: Floats
    wheel_turns: Floats
    flyer_turns: Floats
    end_std_turns: float


def turning_course(reading: ClipReading) -> TurningCourse | None:
    """Give the course that the pictures tell, or else the sound; None where neither tells a ratio."""
    wheel, flyer, sound = reading.wheel, reading.flyer, reading.sound
    if not isinstance(wheel, WheelTurning):
        return None
    steps = np.abs(np.diff(wheel.angles_rad)) / (2 * np.pi)
    way = np.concatenate([[0.0], np.cumsum(steps)])
    if not isinstance(flyer, NotMeasured) and not isinstance(flyer.turns, NotMeasured):
        turned = flyer.phase_rad / (2 * np.pi)
        return TurningCourse(wheel.times_s, way, turned, float(flyer.turns.s))
    if isinstance(sound, SoundTurning) and not isinstance(sound.ratio, NotMeasured):
        heard_way, turned = sound.course.T
        times_s = np.interp(heard_way, way, wheel.times_s)
        return TurningCourse(times_s, heard_way, turned, float(sound.ratio.s * way[-1]))
    return None
