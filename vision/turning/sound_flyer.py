"""The flyer by ear: what is heard at a fixed multiple of the wheel's turns, and at which.

A ratio is believed only if its lines, from the first on and in several bands, stand out far above what
noise, the wheel's own creaking, a knot in the band or talk reach (found by simulation, see the tests). Two
doubts are handed on with it. A sound that goes by the clock (music, a hum of the mains) looks geared to a
wheel that turns evenly. And what sounds twice a turn, as two like arms do, cannot be told from something
that turns twice as fast, unless half the order is silent although the lines are loud: no two arms are that
much alike.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..measured import NotMeasured
from ..open.sound import STEPS_PER_S, SoundBands
from .sound_orders import (
    HIGHEST,
    LEAST_TURNS,
    LOWEST,
    MULTIPLES,
    AngleSound,
    SoundSpectrum,
    by_wheel_angle,
    order_spectrum,
)
from .sound_phase import SoundCourse, follow_sound

Floats = NDArray[np.float64]

#: Least evidence of a ratio; and of one that the pictures name too.
LEAST_EVIDENCE, LEAST_WHERE_SEEN = 25.0, 15.0
#: Peaks that are looked at, and how far they are apart in orders.
LOOKED_AT, APART = 12, 0.3
#: The largest ratio with this share of the best one's evidence is taken: parts of it are heard as well.
AS_GOOD = 0.7
#: The same ratio, from sound and from pictures.
SAME = 0.01
#: A sound that is so well explained by the clock may go by it; orders within this share are compared.
BY_CLOCK, CLOCK_REACH = 0.8, 0.1
#: Half the order is silent if its power is so many times below the loudest line (a tenth of the amplitude).
SILENT_HALF = 100.0
#: Quieter than this share of the usual power is digital silence.
QUIETEST = 1e-3
NOT_HEARD = NotMeasured(
    "The sound does not tell the flyer's turns.",
    "Film closer to the flyer and in a quiet room, if the sound is to witness.",
)
TOO_FEW_TURNS = NotMeasured(
    "The wheel turns too little in this clip for its sound to tell a ratio.", "Film ten turns or more."
)


@dataclass(frozen=True, slots=True)
class HeardFlyer:
    """What is heard at a ratio to the wheel.

    Attributes
    ----------
    course : SoundCourse
    evidence : float
        Natural logarithm of how much likelier it is than noise, at its best.
    by_clock : bool
        Whether it may go by the clock instead of the wheel.
    half_silent : bool
        Whether it certainly does not turn at half the ratio.
    """

    course: SoundCourse
    evidence: float
    by_clock: bool
    half_silent: bool


def hear_flyer(
    sound: SoundBands, sound_times_s: Floats, times_s: Floats, path_rad: Floats, seen: list[float]
) -> HeardFlyer | NotMeasured:
    """Listen for what turns with the wheel.

    Parameters
    ----------
    sound_times_s : (m,) array
        Real time of each moment of the sound since the first picture.
    times_s, path_rad : (n,) arrays
        Real time of each picture, and the wheel's way until then.
    seen : list of float
        Ratios that the pictures leave; of what is heard, one that agrees is preferred.
    """
    levels = np.log(sound.power.astype(np.float64) + QUIETEST * np.median(sound.power, axis=0) + 1e-14)
    heard = by_wheel_angle(sound_times_s, levels, times_s, path_rad, STEPS_PER_S)
    if heard.turns < LEAST_TURNS:
        return TOO_FEW_TURNS
    spectrum = order_spectrum(heard)
    ratio, evidence = _best(spectrum, seen)
    if ratio == 0.0:
        return NOT_HEARD
    steady_rad = np.interp(times_s, (times_s[0], times_s[-1]), (0.0, path_rad[-1]))
    clocked = by_wheel_angle(sound_times_s, levels, times_s, steady_rad, STEPS_PER_S)
    return HeardFlyer(
        course=follow_sound(heard, spectrum, ratio),
        evidence=evidence,
        by_clock=_by_clock(heard, clocked, ratio),
        half_silent=_half_silent(spectrum, ratio),
    )


def _best(spectrum: SoundSpectrum, seen: list[float]) -> tuple[float, float]:
    """Ratio with the best evidence, and the evidence; 0, 0 where none is enough."""
    found = _peaks(spectrum)
    agreeing = [
        (ratio, evidence)
        for ratio, evidence in found
        if evidence >= LEAST_WHERE_SEEN and any(abs(ratio / n / s - 1) < SAME for s in seen for n in (1, 2))
    ]
    found = [each for each in found if each[1] >= LEAST_EVIDENCE]
    best = max((evidence for _, evidence in found), default=0.0)
    top = max((each for each in found if each[1] >= AS_GOOD * best), default=(0.0, 0.0))
    loudest = max(agreeing, key=lambda each: each[1], default=None)
    return loudest if loudest is not None and loudest[1] >= AS_GOOD * top[1] else top


def _peaks(spectrum: SoundSpectrum) -> list[tuple[float, float]]:
    """Ratios at which the comb of lines peaks, and their evidence."""
    ratios = np.arange(LOWEST, HIGHEST, spectrum.step / MULTIPLES)
    comb = spectrum.comb(ratios)
    found = []
    for _ in range(LOOKED_AT):
        at = int(np.argmax(comb))
        if comb[at] < LEAST_WHERE_SEEN:
            break
        found.append((float(ratios[at]), spectrum.standing_out(float(ratios[at]))))
        comb[np.abs(ratios - ratios[at]) < APART] = 0.0
    return found


def _by_clock(heard: AngleSound, clocked: AngleSound, ratio: float) -> bool:
    """Whether a wheel that turned evenly would make lines nearly as sharp."""
    near = ratio * np.linspace(1 - CLOCK_REACH, 1 + CLOCK_REACH, 400)
    orders = np.outer(near, np.arange(1, MULTIPLES + 1))
    wheel, clock = (
        float(np.log(np.maximum(spectrum.power[:, spectrum.bins(orders)], 1.0)).sum(axis=(0, 2)).max())
        for spectrum in (order_spectrum(heard), order_spectrum(clocked))
    )
    return clock > BY_CLOCK * wheel


def _half_silent(spectrum: SoundSpectrum, ratio: float) -> bool:
    """Whether nothing is heard at odd multiples of half the ratio, though its own lines are loud."""
    own: Floats = ratio * np.arange(1.0, MULTIPLES + 1)
    loud, half = (float(spectrum.power[:, spectrum.bins(orders)].max()) for orders in (own, own - ratio / 2))
    return loud > SILENT_HALF * max(half, 1.0)
