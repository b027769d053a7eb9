"""Events that come again and again in a sound, one by one: a knock, a creak, a tick.

The time from one to the next is first read from how well the course of the beginnings agrees with itself
when it is shifted; then the events are found one after another, each about one such time after the last,
so that an uneven foot may hurry and tarry.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d
from scipy.signal import find_peaks
from scipy.stats import t as student

from ..measured import HALF_WIDTH_95
from ..open.sound import STEPS_PER_S

Floats = NDArray[np.float64]

#: Times between events that are looked for (s): faster than 500 a minute no foot goes, nor a clock's lever.
SHORTEST_S, LONGEST_S = 0.12, 6.0
#: Fewer events are no rhythm.
FEWEST = 5
#: How far an uneven foot may strew the events (s, standard deviation); the first that fits is taken.
STREWN_S = (0.0075, 0.02, 0.05)
#: A time between events is long against how far they are strewn.
LEAST_PER_STREW = 8.0
#: The shortest time that agrees so well, as a share of the best, is the one from event to event.
AS_GOOD = 0.65
#: Shifted by it, the course of the beginnings agrees with itself at least so well.
LEAST_AGREEMENT = 0.5
#: Events that only chance put into a row come more rarely than once in so many recordings.
ONCE_IN = 200.0
#: A row begins and ends with events that are heard with this share of their usual strength.
END_HEARD = 0.4
#: How dear it is to hurry or tarry: cost of a step by the square of its logarithm.
TIGHTNESS = 60.0


@dataclass(frozen=True, slots=True)
class Events:
    """Events in a row.

    Attributes
    ----------
    times_s : (n,) array
    strength : (n,) array
        Onset strength of each.
    std_s : float
        Standard uncertainty of one time, with the small number of events allowed for.
    """

    times_s: Floats
    strength: Floats
    std_s: float

    @property
    def gap_s(self) -> float:
        """Mean time from one to the next."""
        return float(self.times_s[-1] - self.times_s[0]) / (len(self.times_s) - 1)


def find_events(onsets: Floats) -> Events | None:
    """Find the events of the strongest rhythm; None where there is none beyond chance.

    Parameters
    ----------
    onsets : (n,) array
        Strength of beginnings, :data:`.open.sound.STEPS_PER_S` a second; time 0 is the first.
    """
    for strewn_s in STREWN_S:
        course = gaussian_filter1d(onsets, strewn_s * STEPS_PER_S)
        gap = _gap(course, strewn_s)
        if gap is None:
            continue
        places = _in_a_row(course, gap)
        if len(places) >= FEWEST and _no_chance(course, places, gap):
            return _events(onsets, course, places, gap)
    return None


def self_agreement(course: Floats) -> Floats:
    """(n,) correlation of the course's departures from its mean with itself, shifted by 0, 1, 2 ... steps.

    Each shift is normalised by the energy of the parts that overlap.
    """
    apart = course - course.mean()
    count = len(apart)
    spectrum = np.abs(np.fft.rfft(apart, 2 * count)) ** 2
    product = np.fft.irfft(spectrum)[:count]
    energy = np.concatenate([[0.0], np.cumsum(apart**2)])
    shift = np.arange(count)
    early, late = energy[count - shift], energy[-1] - energy[shift]
    return np.asarray(product / np.sqrt(early * late + 1e-12 * energy[-1] ** 2 + 1e-30), dtype=np.float64)


def _gap(course: Floats, strewn_s: float) -> int | None:
    """Steps from one event to the next."""
    agreement = self_agreement(course)
    last = min(round(LONGEST_S * STEPS_PER_S), round(len(course) / (FEWEST - 2)))
    shifts, _ = find_peaks(agreement[: last + 1], height=LEAST_AGREEMENT)
    shifts = shifts[shifts >= max(SHORTEST_S, LEAST_PER_STREW * strewn_s) * STEPS_PER_S]
    if not len(shifts):
        return None
    good = agreement[shifts] >= AS_GOOD * agreement[shifts].max()
    return int(shifts[good][0])


def _in_a_row(course: Floats, gap: int) -> NDArray[np.intp]:
    """Places of the events by dynamic programming: strong ones, each about a gap after the last.

    Ellis, Beat Tracking by Dynamic Programming, Journal of New Music Research 36 (2007), read from memory.
    """
    scaled = course / (course.max() + 1e-12)
    steps = np.arange(round(0.6 * gap), round(1.5 * gap) + 1)
    cost = TIGHTNESS * np.log(steps / gap) ** 2
    total = scaled.copy()
    back = np.full(len(scaled), -1)
    for place in range(int(steps[0]), len(scaled)):
        reach = steps[steps <= place]
        offers = total[place - reach] - cost[: len(reach)]
        best = int(np.argmax(offers))
        if offers[best] > 0:
            total[place] += offers[best]
            back[place] = place - reach[best]
    track = [int(np.argmax(total))]
    while back[track[-1]] >= 0:
        track.append(int(back[track[-1]]))
    places = np.array(track[::-1], dtype=np.intp)
    return _trimmed(course, places)


def _trimmed(course: Floats, places: NDArray[np.intp]) -> NDArray[np.intp]:
    """Without the places before the first and after the last event that is clearly heard."""
    heard = np.flatnonzero(course[places] > END_HEARD * np.median(course[places]))
    return places[heard[0] : heard[-1] + 1] if len(heard) else places[:0]


def _no_chance(course: Floats, places: NDArray[np.intp], gap: int) -> bool:
    """Whether events strewn by chance would hardly ever stand so evenly.

    Two events fix a row; each other one would have to fall into a part of the gap as narrow as the row is
    uneven. Every pair of beginnings may start one.
    """
    steps = np.diff(places)
    uneven = float(np.std(np.diff(steps)) / np.sqrt(6)) / gap if len(steps) > 2 else 1.0
    width = float(np.clip(4 * uneven, 4 / gap, 1.0))
    beginnings, _ = find_peaks(course, height=0.2 * float(np.median(course[places])))
    # Beginnings that are in no row speak against it.
    if len(beginnings) == 0 or len(places) < FEWEST:
        return False
    heard = np.mean(course[places] > 0.1 * np.median(course[places]))
    pairs = len(beginnings) ** 2
    crowd = max(1.0, len(beginnings) / len(places))
    return bool(heard > 0.7 and pairs * min(1.0, width * crowd) ** (len(places) - 2) < 1 / ONCE_IN)


def _events(onsets: Floats, course: Floats, places: NDArray[np.intp], gap: int) -> Events:
    """Place every event by its likeness to the mean of all."""
    half = max(2, min(gap // 3, round(0.15 * STEPS_PER_S)))
    inside = places[(places >= 2 * half) & (places < len(onsets) - 2 * half)]
    smooth = gaussian_filter1d(onsets, 2.0)
    at = places.astype(np.float64)
    if len(inside) >= 2:
        for _ in range(3):
            at = _aligned(smooth, at, half)
    jolts = np.diff(at, 2)
    free = len(jolts)
    rms = float(np.sqrt(np.mean(jolts**2) / 6)) / STEPS_PER_S
    few = float(student.ppf(0.975, free)) / HALF_WIDTH_95
    return Events(at / STEPS_PER_S, course[places], float(np.hypot(rms * few, 0.5 / STEPS_PER_S)))


def _aligned(smooth: Floats, at: Floats, half: int) -> Floats:
    """Shift every event by up to ``half`` steps onto the mean shape of all."""
    window = np.arange(-half, half + 1)
    shape = np.mean([np.interp(place + window, np.arange(len(smooth)), smooth) for place in at], axis=0)
    moved = []
    for place in at:
        wide = np.interp(place + np.arange(-2 * half, 2 * half + 1), np.arange(len(smooth)), smooth)
        likeness = np.correlate(wide, shape, "valid")
        best = int(np.argmax(likeness))
        shift = float(best)
        if 0 < best < len(likeness) - 1:
            left, mid, right = likeness[best - 1 : best + 2]
            bend = left - 2 * mid + right
            shift += 0.5 * (left - right) / bend if bend else 0.0
        moved.append(place + shift - half)
    return np.array(moved)
