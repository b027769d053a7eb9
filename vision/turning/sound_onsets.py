"""How strongly something begins to sound, from moment to moment: knocks, creaks, ticks, clicks.

A sound dies away slowly and in its own way, but it begins at once and in many bands together. So the rise of
the loudness counts, in dB and added over the bands: a faint knock then weighs hardly less than a loud one,
and neither a steady noise nor a voice in one band looks like one.
"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from ..open.sound import STEPS_PER_S, SoundBands

Floats = NDArray[np.float64]

#: The rise is taken over this time (s): shorter than between two events, longer than a click's attack.
RISE_S = 0.02
#: A rise below this is noise (dB): moments of 10 ms of a steady noise differ by 1 to 2 dB.
LEAST_RISE_DB = 3.0
#: The background is the median level of blocks of this length, so that a door or a voice passes.
BACKGROUND_S = 10.0
#: Below this there is digital silence (full scale is 1).
SILENCE = 1e-12


def level_db(sound: SoundBands) -> Floats:
    """(n, bands) level above the background, never below it."""
    level = 10 * np.log10(sound.power.astype(np.float64) + SILENCE)
    block = round(BACKGROUND_S * STEPS_PER_S)
    # Whole blocks only: a short rest at the end joins the one before it.
    edges = [*range(0, max(len(level) - block // 2, 1), block), len(level)]
    for first, last in pairwise(edges):
        level[first:last] -= np.median(level[first:last], axis=0)
    return np.asarray(np.maximum(level, 0.0), dtype=np.float64)


def onset_strength(sound: SoundBands) -> Floats:
    """(n,) rise of the level in dB, added over the bands, 0 where nothing begins."""
    smooth = gaussian_filter1d(level_db(sound), 1.5, axis=0, mode="nearest")
    half = round(RISE_S * STEPS_PER_S / 2)
    rise = np.zeros_like(smooth)
    rise[half:-half] = smooth[2 * half :] - smooth[: -2 * half]
    return np.asarray(np.clip(rise - LEAST_RISE_DB, 0.0, None).sum(axis=1), dtype=np.float64)
