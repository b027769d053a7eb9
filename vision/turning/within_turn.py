"""The push within the turn: how unevenly a wheel runs, where it is slowest, and how often it is pushed.

A turn of the wheel is the clock here: the time that the wheel takes for each bit of the turn is a wave over
its angle, and its harmonics are integrals over time, exp(-i h angle) dt, turn by turn. What they scatter from
turn to turn is their doubt. What repeats with every turn but is no push adds to it: an axle placed a little
wrong makes an even wheel look uneven once and twice round.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats
from scipy.interpolate import PchipInterpolator
from uncertainties import UFloat, ufloat

from ..measured import HALF_WIDTH_95, NotMeasured, Outcome

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Harmonics of the speed over the turn. A treadle pushes once, its links bend that; two treadles push twice.
ALWAYS, HIGHEST = 2, 6
#: A higher harmonic counts if chance makes one as strong this rarely.
CHANCE = 0.01
#: Steps round the turn, and in each turn while integrating.
STEPS = 360
#: A turn that takes so many times the usual one is a start or a rest, not treadling.
RESTING = 1.6
#: Draws of what the harmonics may be.
DRAWS = 500
#: A swing of fewer standard deviations has no slowest place.
CLEAR = 3.0
#: A place that is not known better than this (standard deviation) is none.
PLACE_LIMIT_DEG = 30.0
#: A second push counts from this share of the first on.
SECOND_PUSH = 0.2
#: Share of the draws that must agree on the number of pushes.
SURE = 0.975

TOO_EVEN = NotMeasured(
    "The wheel runs too evenly to say where in the turn it is slowest.",
    "Film more turns, and more slowly, to see where the treadle stalls.",
)
UNCLEAR = NotMeasured(
    "Where in the turn it is slowest can't be told to better than a third of the turn.",
    "Film more turns, squarely, with the camera at rest.",
)
TWO_PLACES = NotMeasured(
    "Two places in the turn are about equally slow.",
    "With two treadles that is as it should be; otherwise film more turns to tell them apart.",
)
PUSHES_OPEN = NotMeasured(
    "It can't be told whether the wheel is pushed once or twice a turn.",
    "Film more turns, squarely, with the camera at rest.",
)


@dataclass(frozen=True, slots=True)
class WithinTurn:
    """The mean turn.

    Attributes
    ----------
    swing_percent : UFloat
        Half of peak to peak of the mean speed over the turn, in % of its mean.
    slowest_at_deg : Outcome
        Wheel angle from its place in the first picture, anticlockwise, where it is slowest.
    pushes : int or NotMeasured
        How often in a turn the wheel is sped up.
    pushes_unlike_percent : Outcome
        Where there are two pushes: how much more speed the stronger gives, in % of both together. 0 is two
        like pushes, 100 a single one.
    speed_percent : (STEPS,) array
        Mean speed at every degree of ``slowest_at_deg``'s angle, in % of its mean: the evidence.
    """

    swing_percent: UFloat
    slowest_at_deg: Outcome
    pushes: int | NotMeasured
    pushes_unlike_percent: Outcome
    speed_percent: Floats


def within_turn(times_s: Floats, path_rad: Floats, sense: int, angle_std_rad: float) -> WithinTurn:
    """Read the mean turn of a wheel that turns one way, for at least four whole turns.

    Parameters
    ----------
    path_rad : (n,) array
        Way turned since the first picture, rising.
    sense : int
        1 where it turns anticlockwise as seen, -1 clockwise.
    angle_std_rad : float
        Standard uncertainty of an angle that repeats with every turn (axle, tilt).
    """
    waves = _harmonics_of_turns(times_s, path_rad)
    mean, drawn = _mean_and_draws(waves, angle_std_rad)
    speed = _speed(mean[None])[0]
    speeds = _speed(drawn)
    pushes, unlike = _pushes(speed, speeds)
    swing = _half_swing(speed[None])[0]
    swings = _half_swing(speeds)
    swing_std = float(swings.std())
    # Noise only adds to a swing: what the draws add to it, it has too much already.
    swing = max(swing - max(float(swings.mean()) - swing, 0.0), 0.0)
    return WithinTurn(
        swing_percent=ufloat(100 * swing, 100 * swing_std),
        slowest_at_deg=_slowest(speed, speeds, sense) if swing > CLEAR * swing_std else TOO_EVEN,
        pushes=pushes if swing > CLEAR * swing_std else PUSHES_OPEN,
        pushes_unlike_percent=unlike,
        speed_percent=100 * (speed if sense > 0 else np.roll(speed[::-1], 1)),
    )


def _harmonics_of_turns(times_s: Floats, path_rad: Floats) -> Complexes:
    """(turns, HIGHEST) harmonics of the time that a bit of the turn takes, over the mean time of a bit."""
    rising = np.concatenate([[True], np.diff(path_rad) > 0])
    time_at = PchipInterpolator(path_rad[rising], times_s[rising])
    whole = int(path_rad[-1] / (2 * np.pi))
    way = np.arange(whole * STEPS + 1) * (2 * np.pi / STEPS)
    bits_s = np.diff(time_at(way)).reshape(whole, STEPS)
    turn_s = bits_s.sum(axis=1)
    at = way[:STEPS] + np.pi / STEPS
    orders = np.arange(1, HIGHEST + 1)
    waves = 2 * bits_s @ np.exp(-1j * np.outer(at, orders)) / turn_s[:, None]
    # A turn that grows slower all along is not pushed unevenly: its slope has harmonics of its own.
    slope = np.gradient(turn_s) / turn_s
    waves = waves - slope[:, None] * 1j / (np.pi * orders)
    return np.asarray(waves[turn_s < RESTING * np.median(turn_s)], dtype=np.complex128)


def _mean_and_draws(waves: Complexes, angle_std_rad: float) -> tuple[Complexes, Complexes]:
    """Mean harmonics that are there, and (DRAWS, HIGHEST) draws of what they may be.

    Each draw weights the turns' departures by chance, which gives the covariance of their mean.
    """
    count, orders = len(waves), np.arange(1, HIGHEST + 1)
    mean = waves.mean(axis=0)
    there = (orders <= ALWAYS) | (_chance(waves, mean) < CHANCE)
    rng = np.random.default_rng(20)
    # Few turns know their own scatter poorly: Student's factor.
    wide = float(stats.t.ppf(0.975, count - 1)) / HALF_WIDTH_95 / np.sqrt(count * (count - 1))
    scattered = rng.normal(size=(DRAWS, count)) @ (waves - mean) * wide
    # An error a cos(angle) + b sin(angle) of the angle is one of the speed of the same size.
    repeating = np.where(orders <= ALWAYS, angle_std_rad, 0.0)
    misplaced = repeating * (rng.normal(size=scattered.shape) + 1j * rng.normal(size=scattered.shape))
    return mean * there, (mean + scattered + misplaced) * there


def _chance(waves: Complexes, mean: Complexes) -> Floats:
    """How often chance makes each mean harmonic as strong: an F of 2 and 2 (n - 1) degrees of freedom."""
    count = len(waves)
    variance = np.sum(np.abs(waves - mean) ** 2, axis=0) / (2 * (count - 1)) / count
    return np.asarray(stats.f.sf(np.abs(mean) ** 2 / (2 * variance + 1e-30), 2, 2 * (count - 1)))


def _speed(waves: Complexes) -> Floats:
    """(m, STEPS) speed along the way turned, over its mean, for harmonics (m, h)."""
    at = np.arange(STEPS) * (2 * np.pi / STEPS)
    orders = np.arange(1, waves.shape[1] + 1)
    pace = 1 + np.real(waves @ np.exp(1j * np.outer(orders, at)))
    speed = 1 / np.maximum(pace, 0.05)
    return np.asarray(speed / speed.mean(axis=1, keepdims=True))


def _half_swing(speeds: Floats) -> Floats:
    return np.asarray((speeds.max(axis=1) - speeds.min(axis=1)) / 2)


def _slowest(speed: Floats, speeds: Floats, sense: int) -> Outcome:
    """Where the wheel is slowest, unless the draws disagree on that."""
    at = int(np.argmin(speed))
    apart = (np.argmin(speeds, axis=1) - at + STEPS // 2) % STEPS - STEPS // 2
    std_deg = float(np.sqrt(np.mean(apart**2.0)) * 360 / STEPS)
    if std_deg > PLACE_LIMIT_DEG:
        return TWO_PLACES if np.mean(np.abs(apart) > STEPS // 6) > 0.1 else UNCLEAR
    # The steps are a degree wide.
    return ufloat(sense * at * 360 / STEPS % 360, float(np.hypot(std_deg, 0.3)))


def _pushes(speed: Floats, speeds: Floats) -> tuple[int | NotMeasured, Outcome]:
    """Count the pushes, and say by how much two of them differ."""
    # Begun at the fastest place, no push is cut in two.
    begin = -int(np.argmax(speed))
    own, drawn = (_gains(np.roll(each, begin, axis=1)) for each in (speed[None], speeds))
    twos = [gains for gains in drawn if len(gains) == 2]
    share = len(twos) / len(drawn)
    if len(own[0]) == 1 and share < 1 - SURE:
        return 1, NotMeasured("The wheel is pushed once a turn.", "Two pushes show with two treadles only.")
    if len(own[0]) != 2 or share < SURE:
        return PUSHES_OPEN, PUSHES_OPEN
    first, second = own[0]
    # Signed by which comes first in the turn, so that chance does not always make them differ.
    unlike = np.array([(one - other) / (one + other) for one, other in twos])
    return 2, ufloat(100 * abs(first - second) / (first + second), 100 * float(unlike.std()))


def _gains(speeds: Floats) -> list[Floats]:
    """Rises of each speed (m, STEPS) round one turn in order of their beginnings, slight ones left out."""
    rising = np.roll(speeds, -1, axis=1) > speeds
    before = np.roll(rising, 1, axis=1)
    row, low = np.nonzero(rising & ~before)
    # Lows and highs alternate round the turn, so every row has as many of the one as of the other.
    _, high = np.nonzero(~rising & before)
    ends = np.cumsum(np.bincount(row, minlength=len(speeds)))
    gains = []
    for each, begin, end in zip(speeds, np.append(0, ends[:-1]), ends, strict=True):
        lows, highs = low[begin:end], high[begin:end]
        if len(lows) and highs[0] < lows[0]:
            highs = np.roll(highs, -1)
        gain = each[highs] - each[lows]
        gains.append(gain[gain > SECOND_PUSH * gain.max(initial=0.0)])
    return gains
