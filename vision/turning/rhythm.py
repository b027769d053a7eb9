"""Steadiness of the treadling: from turn to turn, over the clip, and within the turn."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, ufloat

from ..measured import NotMeasured, Outcome

Floats = NDArray[np.float64]

#: Fewer whole turns tell nothing of a rhythm.
FEWEST_TURNS = 4
#: Harmonics of the speed over the turn: a treadle pushes once, its links bend that once more or twice.
WITHIN_TURN_HARMONICS = 3


@dataclass(frozen=True, slots=True)
class Rhythm:
    """Steadiness of the treadling: see the attributes' names for units."""

    turn_times_s: tuple[float, ...]
    cv_percent: UFloat
    drift_percent_per_min: UFloat
    within_turn_percent: UFloat
    slowest_at_deg: Outcome


def rhythm_of(
    times_s: Floats, path_rad: Floats, angles_rad: Floats, angle_std_rad: float
) -> Rhythm | NotMeasured:
    """Read the rhythm of a wheel that turns one way.

    Parameters
    ----------
    path_rad : (n,) array
        Way turned since the first picture, rising.
    angle_std_rad : float
        Standard uncertainty of an angle, its slow part (axle, tilt) included.
    """
    whole = int(path_rad[-1] / (2 * np.pi))
    if whole < FEWEST_TURNS:
        return NotMeasured(
            f"The wheel makes {whole} whole turns in this clip, too few for a rhythm.",
            f"Film at least {2 * FEWEST_TURNS} turns of steady treadling.",
        )
    marks_s = np.interp(2 * np.pi * np.arange(whole + 1), path_rad, times_s)
    turn_s = np.diff(marks_s)
    middle_min = (marks_s[1:] + marks_s[:-1]) / 2 / 60
    mark_std = angle_std_rad / (2 * np.pi) * np.sqrt(2)
    cadence = turn_s.mean() / turn_s
    (slope, _), covariance = np.polyfit(middle_min - middle_min.mean(), cadence, 1, cov=True)
    straight = np.polyval(np.polyfit(middle_min, turn_s, 1), middle_min)
    spread = float(np.sqrt(np.sum((turn_s - straight) ** 2) / (whole - 2)) / turn_s.mean())
    cv_std = np.hypot(spread / np.sqrt(2 * (whole - 2)), mark_std)
    amplitude, amplitude_std, slowest = _within_turn(times_s, path_rad, angles_rad, angle_std_rad)
    return Rhythm(
        turn_times_s=tuple(float(t) for t in turn_s),
        cv_percent=ufloat(100 * spread, 100 * cv_std),
        drift_percent_per_min=ufloat(100 * slope, 100 * np.sqrt(covariance[0, 0])),
        within_turn_percent=ufloat(100 * amplitude, 100 * amplitude_std),
        slowest_at_deg=slowest,
    )


def _within_turn(
    times_s: Floats, path_rad: Floats, angles_rad: Floats, angle_std_rad: float
) -> tuple[float, float, Outcome]:
    """Half of peak to peak of the mean speed over the turn (share of its mean), and where it is slowest.

    The time that the wheel takes for a bit of the turn is fitted as a function of the wheel's angle;
    a slow course over the clip (cubic in the way) is fitted along with it.
    """
    pace = np.diff(times_s) / np.maximum(np.diff(path_rad), 1e-6)
    weight = np.sqrt(np.maximum(np.diff(path_rad), 0))
    at = (angles_rad[1:] + angles_rad[:-1]) / 2
    way = (path_rad[1:] + path_rad[:-1]) / path_rad[-1] - 1
    waves = [f(h * at) for h in range(1, WITHIN_TURN_HARMONICS + 1) for f in (np.cos, np.sin)]
    columns = np.stack([*waves, *(way**n for n in range(4))], axis=1)
    fit, *_ = np.linalg.lstsq(columns * weight[:, None], pace * weight, rcond=None)
    turn = np.radians(np.arange(360.0))
    shape = sum(
        fit[2 * h - 2] * np.cos(h * turn) + fit[2 * h - 1] * np.sin(h * turn)
        for h in range(1, WITHIN_TURN_HARMONICS + 1)
    )
    mean_pace = float(times_s[-1] / path_rad[-1])
    speed = mean_pace / np.maximum(mean_pace + np.asarray(shape), 0.05 * mean_pace)
    amplitude = float((speed.max() - speed.min()) / 2)
    # A periodic error of the angle is a periodic error of the speed of the same share.
    turns = path_rad[-1] / (2 * np.pi)
    amplitude_std = float(np.hypot(angle_std_rad, amplitude / np.sqrt(2 * turns)))
    if amplitude < 3 * amplitude_std:
        slowest: Outcome = NotMeasured(
            "The wheel runs too evenly to say where in the turn it is slowest.",
            "Film more turns, and more slowly, to see where the treadle stalls.",
        )
    else:
        slowest = ufloat(float(np.argmin(speed)), float(np.degrees(amplitude_std / amplitude)) + 2.0)
    return amplitude, amplitude_std, slowest
