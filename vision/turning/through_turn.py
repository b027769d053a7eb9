"""How a phase sways with every turn of the wheel: what a smooth course of the slip leaves out.

The course of a phase is smooth over more than a turn, so that what comes once and twice in every turn stays
in the pictures' own departures from it. A treadle pulls harder in one part of the turn, and there the band
may slip more.
"""

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, correlated_values, ufloat

from .repeating import Pull
from .smoothing import memory_of

Floats = NDArray[np.float64]

#: How often in a turn: a treadle pushes once, two treadles twice.
TIMES = (1, 2)


def sway_through_turn(
    pull: Pull, angles_rad: Floats, ratio: float, angle_std_rad: float
) -> tuple[UFloat, ...]:
    """Give the sway of a phase over the wheel's angle a, as cos a, sin a, cos 2a, sin 2a, in rad.

    Parameters
    ----------
    pull : Pull
        How far each picture departs from the smooth course.
    angles_rad : (n,) array
        The wheel's angle in every picture.
    ratio : float
        Turns of the phase for one of the wheel, with its sign; the sway is given as if it turned with it.
    angle_std_rad : float
        Standard uncertainty of a wheel angle that repeats with every turn (axle, tilt): the phase sways with
        it.
    """
    waves = np.stack([f(n * angles_rad) for n in TIMES for f in (np.cos, np.sin)], axis=1)
    base = np.column_stack([np.ones(len(angles_rad)), waves])
    weighted = base * pull.weight[:, None]
    normal = weighted.T @ base
    found = np.linalg.solve(normal, weighted.T @ pull.own_rad)
    left = (pull.own_rad - base @ found) * np.sqrt(pull.weight)
    noise = float(left @ left) / max(len(left) - base.shape[1], 1) * memory_of(left)
    covariance = noise * np.linalg.inv(normal)[1:, 1:]
    sways = correlated_values(np.sign(ratio) * found[1:], covariance)
    return tuple(sway + ufloat(0, abs(ratio) * angle_std_rad) for sway in sways)
