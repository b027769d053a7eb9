"""Each tick as a short line: where it crosses the first and the last row that all ticks reach.

Ticks are parallel on the rule. How they draw together in the picture tells how the rule leans about its own
edge, which their places along it cannot tell.
"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from .tick_strip import TickBand, TickStrip, light_along

Numbers = NDArray[np.float64]

#: Each tick's place is read in so many rows, one below the other, each at least so many pixels high.
ROWS, LEAST_ROW_PX = 8, 2.0
#: A tick is looked for within this share of a pitch, and counted where it stands out by this share of its
#: height.
REACH_PITCHES, FOOT = 0.4, 0.15


def tick_ends(strip: TickStrip, band: TickBand, places: Numbers, sign: float) -> Points | None:
    """Straight ticks through what is seen of them.

    Parameters
    ----------
    strip : TickStrip
    band : TickBand
        Rows that all ticks cross.
    places : (n,) array
        Where along the strip each tick crosses the band's middle, roughly.
    sign : float
        1 where ticks stand out upwards in :func:`light_along`, -1 where downwards.

    Returns
    -------
    (n, 2, 2) array or None
        The two ends of each tick within the band, in pixels; NaN for a tick that is not seen well enough;
        None where ticks are too short for that.
    """
    rows = min(ROWS, int((band.last_v - band.first_v) / LEAST_ROW_PX))
    if rows < 3:
        return None
    bounds = np.linspace(band.first_v, band.last_v, rows + 1)
    each = [TickBand(first, last, band.lean) for first, last in pairwise(bounds)]
    lights = (sign * light_along(strip, row) for row in each)
    off = np.array([_off(strip.s, light, places, strip.row.pitch_px) for light in lights])
    aside = np.array([row.middle_v - band.middle_v for row in each])
    # Straight lines by hand: one tick that is not seen must not spoil the others.
    more_lean = (aside @ off) / (aside @ aside)
    ends = [
        strip.pixels(places + off.mean(axis=0) + (band.lean + more_lean) * (v - band.middle_v), v)
        for v in (band.first_v, band.last_v)
    ]
    return np.stack(ends, axis=1)


def _off(s: Numbers, signal: Numbers, places: Numbers, pitch_px: float) -> Numbers:
    """How far (n,) the middle of what stands out near each place lies from it; NaN where nothing does."""
    share = np.linspace(-REACH_PITCHES, REACH_PITCHES, 33)
    values = np.interp(places[:, None] + pitch_px * share, s, signal)
    height = values - np.quantile(values, 0.25, axis=1, keepdims=True)
    top = height.max(axis=1, keepdims=True)
    weight = np.where(height > FOOT * top, height, 0.0)
    total = weight.sum(axis=1)
    return np.where(total > 0, (weight @ share) * pitch_px / np.where(total > 0, total, 1.0), np.nan)
