"""From a wheel's angle in every picture to its turns, cadence and direction, each with its uncertainty."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, ufloat

from .smoothing import local_fit

Floats = NDArray[np.float64]
Direction = Literal["clockwise", "anticlockwise", "both"]

#: The cadence is smoothed over this share of a turn to each side, by polynomials of this degree: a treadle
#: makes a wheel faster and slower once or twice a turn, and these follow such waves to a thousandth.
SMOOTHING_TURNS, SMOOTHING_DEGREE = 0.24, 4
#: Least and most of that, in s.
SMOOTHING_S = (0.15, 0.5)
#: The wheel counts as turning while it is faster than this share of its top speed.
TURNING_SHARE = 0.15
#: Turning back by less than this share of all turning is no reversal.
REVERSAL_SHARE = 0.02


@dataclass(frozen=True, slots=True)
class Turns:
    """Turns along the path, their mean rate, and the course they were read from.

    ``cadence_per_min`` is the mean while the wheel turns; ``speed_rad_s`` (n,) is signed. ``shutter_turns``
    is the part of ``turns`` (0 with its uncertainty) that all that turns with the wheel shares, by its ratio.
    """

    turns: UFloat
    cadence_per_min: UFloat
    direction: Direction
    path_rad: Floats
    speed_rad_s: Floats
    shutter_turns: UFloat


def turns_of(times_s: Floats, angles_rad: Floats, end_std_rad: float) -> Turns:
    """Count turns.

    Parameters
    ----------
    end_std_rad : float
        Standard uncertainty of the angle between the first and the last picture, as seen.
    """
    mean_speed = float(np.abs(angles_rad[-1] - angles_rad[0]) / times_s[-1])
    half_width = float(np.clip(SMOOTHING_TURNS * 2 * np.pi / max(mean_speed, 0.1), *SMOOTHING_S))
    smooth, speed = local_fit(times_s, angles_rad, half_width, SMOOTHING_DEGREE)
    way = np.diff(smooth)
    # The ends keep their measured places: the smoothing only keeps noise from counting as turning.
    path = np.concatenate([[0.0], np.cumsum(np.abs(way))])
    back = float(np.minimum(np.sum(way[way > 0]), -np.sum(way[way < 0])))
    total = float(path[-1])
    moving = np.abs(speed) > TURNING_SHARE * np.percentile(np.abs(speed), 95)
    moving_gaps = moving[1:] & moving[:-1]
    turning_s = float(np.diff(times_s)[moving_gaps].sum())
    shutter = ufloat(0, _shutter_std_rad(times_s, speed) / (2 * np.pi))
    turns = ufloat(total / (2 * np.pi), end_std_rad / (2 * np.pi)) + shutter
    share = float(np.abs(way)[moving_gaps].sum()) / total
    direction: Direction = "anticlockwise" if angles_rad[-1] > angles_rad[0] else "clockwise"
    return Turns(
        turns=turns,
        cadence_per_min=turns * (share * 60 / turning_s),
        direction="both" if back > REVERSAL_SHARE * total else direction,
        path_rad=path,
        speed_rad_s=speed,
        shutter_turns=shutter,
    )


def _shutter_std_rad(times_s: Floats, speed_rad_s: Floats) -> float:
    """Estimate the turning that the unknown exposure may add or hide between the first and last time stamp.

    A stamp marks the start of an exposure; what is seen is its middle. Where the wheel is faster at one end
    of the clip, that shifts both ends unlike. An exposure is at most the time between two pictures.
    """
    return float(abs(speed_rad_s[-1] - speed_rad_s[0]) * np.median(np.diff(times_s)) / 2 / np.sqrt(3))
