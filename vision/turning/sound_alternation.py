"""Whether every other event of a row is much weaker, or whether weak ones stand between those of the row.

In both cases it is open what counts as one event: a treadle may knock at both ends of its way, a clock ticks
and tocks. Nothing in the sound can tell; so both rates are named.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from ..open.sound import STEPS_PER_S
from .sound_events import Events

Floats = NDArray[np.float64]

#: Every other event is weak if it is so many dB below its neighbours (a quarter of their energy).
WEAK_DB = 6.0
#: And so many times more than alike events differ by.
BEYOND_SCATTER = 2.5
#: An event between two others lies within this share of a gap of the middle; sub-clicks lie nearer to one.
MIDDLE = 0.15
#: It is heard if it begins with this share of their strength, and so many times more than what is elsewhere.
HEARD_SHARE, HEARD_BEYOND = 0.08, 4.0
#: An event has reached its loudest after this time (s).
LOUDEST_AFTER_S = 0.1


def every_other_weak(level_db: Floats, events: Events) -> bool:
    """Whether every other event is much weaker, in any band in which both kinds are heard.

    Parameters
    ----------
    level_db : (n, bands) array
        Level above the background of :func:`.sound_onsets.level_db`.
    """
    after = max(1, round(min(LOUDEST_AFTER_S, events.gap_s / 2) * STEPS_PER_S))
    places = np.round(events.times_s * STEPS_PER_S).astype(int)
    smooth = gaussian_filter1d(level_db, 1.0, axis=0)
    loudest = np.array([smooth[max(0, p - after // 4) : p + after].max(axis=0) for p in places])
    one, other = loudest[::2], loudest[1::2]
    apart = np.abs(np.median(one, axis=0) - np.median(other, axis=0))
    scatter = np.hypot(one.std(axis=0), other.std(axis=0))
    return bool(np.any((apart > WEAK_DB) & (apart > BEYOND_SCATTER * scatter)))


def weak_between(onsets: Floats, events: Events) -> bool:
    """Whether something begins half way between the events, more faintly than they do."""
    gap = events.gap_s * STEPS_PER_S
    smooth = gaussian_filter1d(onsets, max(2.0, 0.02 * gap))
    places = events.times_s[:-1] * STEPS_PER_S
    own = float(np.median([_highest(smooth, place, 0.0, gap) for place in places]))
    between, elsewhere = (
        float(np.median([_highest(smooth, place, phase * gap, gap) for place in places]))
        for phase in (0.5, 0.75)
    )
    return between > HEARD_SHARE * own and between > HEARD_BEYOND * elsewhere


def _highest(course: Floats, place: float, after: float, gap: float) -> float:
    first, last = (round(place + after + side * MIDDLE * gap / 2) for side in (-1, 1))
    return float(course[max(first, 0) : max(last, 1) + 1].max(initial=0.0))
