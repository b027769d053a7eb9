"""Whether a followed phase goes with the wheel, or by the clock as a fan does.

A wheel never turns quite evenly. What it drives shares its unevenness, times the ratio; what goes by the
clock does not. Beside an even wheel both look alike, and then nothing can be said. Slow departures are left
out, because slip varies too. Where the slip swings with every turn a flyer lacks a part as well: on clips
with known truth up to a quarter.
"""

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, ufloat

from .joint_fit import SmoothAngles
from .repeating import Pull
from .smoothing import memory_of

Floats = NDArray[np.float64]


def share_by_clock(
    pull: Pull, smooth: SmoothAngles, angles_rad: Floats, times_s: Floats, ratio: float
) -> UFloat:
    """Tell how much of the wheel's unevenness a phase lacks: 0 goes with the wheel, 1 by the clock.

    Parameters
    ----------
    pull : Pull
        How far each picture departs from the phase that goes with the wheel.
    smooth : SmoothAngles
        Slow courses, along which the phase was fitted.
    angles_rad : (n,) array
        The wheel's angle in every picture.
    ratio : float
        Turns of the phase for one of the wheel, with its sign.
    """
    since_s = times_s - times_s[0]
    even = (angles_rad[-1] - angles_rad[0]) * since_s / since_s[-1]
    base = np.column_stack([smooth.basis, ratio * (even - (angles_rad - angles_rad[0]))])
    weighted = base * pull.weight[:, None]
    inverse = np.linalg.pinv(weighted.T @ base, hermitian=True)
    found = inverse @ (weighted.T @ pull.own_rad)
    left = (pull.own_rad - base @ found) * np.sqrt(pull.weight)
    noise = float(left @ left) / max(len(left) - base.shape[1], 1) * memory_of(left)
    return ufloat(float(found[-1]), float(np.sqrt(noise * inverse[-1, -1])))
