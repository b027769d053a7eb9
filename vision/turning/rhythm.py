"""Steadiness of the treadling: from turn to turn, over the clip, and within the turn."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, ufloat

from ..measured import NotMeasured, Outcome
from .turn_times import TurnTimes, turn_times
from .within_turn import within_turn

Floats = NDArray[np.float64]

#: Fewer whole turns tell nothing of a rhythm.
FEWEST_TURNS = 4
NOTHING_BETWEEN = NotMeasured(
    "Marks once a turn tell nothing of what happens within it.",
    "Film the wheel to see how evenly it runs within the turn.",
)


@dataclass(frozen=True, slots=True)
class Rhythm:
    """Steadiness of the treadling: see the attributes' names for units.

    Attributes
    ----------
    turn_times_s : tuple of float
        Each whole turn's time, from the wheel's place in the first picture on.
    cv_percent : UFloat
        Standard deviation of the turn times in % of their mean, a straight drift taken out.
    usual_cv_percent, freedom : float
        The same of all turns treadled so, and the degrees of freedom of the chi-square that it rests on:
        turns hang together, so there are fewer than turns.
    usual_turn_s : UFloat
        Mean time of a turn, its doubt as a sample of all turns treadled so.
    drift_percent_per_min : UFloat
        Change of the cadence a minute.
    within_turn_percent : UFloat
        Half of peak to peak of the mean speed over the turn, in % of its mean.
    slowest_at_deg : Outcome
        Wheel angle from its place in the first picture, anticlockwise.
    pushes : int or NotMeasured
        How often in a turn the wheel is sped up.
    pushes_unlike_percent : Outcome
        0 where two pushes are alike, towards 100 the more the stronger outdoes the weaker.
    speed_percent : (360,) or (0,) array
        Mean speed at each degree of the angle of ``slowest_at_deg``, in % of its mean, where it is known.
    """

    turn_times_s: tuple[float, ...]
    cv_percent: UFloat
    usual_cv_percent: float
    freedom: float
    usual_turn_s: UFloat
    drift_percent_per_min: UFloat
    within_turn_percent: Outcome
    slowest_at_deg: Outcome
    pushes: int | NotMeasured
    pushes_unlike_percent: Outcome
    speed_percent: Floats


def rhythm_of(
    times_s: Floats, path_rad: Floats, angles_rad: Floats, angle_std_rad: float
) -> Rhythm | NotMeasured:
    """Read the rhythm of a wheel that turns one way.

    Parameters
    ----------
    path_rad : (n,) array
        Way turned since the first picture, rising.
    angles_rad : (n,) array
        Wheel angle, positive anticlockwise.
    angle_std_rad : float
        Standard uncertainty of an angle, its slow part (axle, tilt) included.
    """
    whole = int(path_rad[-1] / (2 * np.pi))
    if whole < FEWEST_TURNS:
        return NotMeasured(
            f"The wheel makes {whole} whole turns in this clip, too few for a rhythm.",
            f"Film at least {2 * FEWEST_TURNS} turns of steady treadling.",
        )
    turn_s = np.diff(np.interp(2 * np.pi * np.arange(whole + 1), path_rad, times_s))
    turns = turn_times(turn_s)
    sense = 1 if angles_rad[-1] > angles_rad[0] else -1
    turn = within_turn(times_s, path_rad, sense, angle_std_rad)
    return Rhythm(
        turn_times_s=tuple(float(t) for t in turn_s),
        cv_percent=_cv_percent(turns, angle_std_rad),
        usual_cv_percent=100 * turns.usual_spread,
        freedom=turns.freedom,
        usual_turn_s=turns.mean_s,
        drift_percent_per_min=100 * turns.drift_per_min,
        within_turn_percent=turn.swing_percent,
        slowest_at_deg=turn.slowest_at_deg,
        pushes=turn.pushes,
        pushes_unlike_percent=turn.pushes_unlike_percent,
        speed_percent=turn.speed_percent,
    )


def rhythm_of_marks(marks_s: Floats, mark_std_s: float) -> Rhythm | NotMeasured:
    """Read the rhythm of marks (n,), one a turn, with nothing known between them, as a sound gives it."""
    turn_s = np.diff(marks_s)
    if len(turn_s) < FEWEST_TURNS:
        return NotMeasured(
            f"Only {len(turn_s)} whole turns are told, too few for a rhythm.",
            f"Record at least {2 * FEWEST_TURNS} turns of steady treadling.",
        )
    turns = turn_times(turn_s)
    return Rhythm(
        turn_times_s=tuple(float(t) for t in turn_s),
        cv_percent=_cv_percent(turns, mark_std_s / float(turns.mean_s.n) * 2 * np.pi),
        usual_cv_percent=100 * turns.usual_spread,
        freedom=turns.freedom,
        usual_turn_s=turns.mean_s,
        drift_percent_per_min=100 * turns.drift_per_min,
        within_turn_percent=NOTHING_BETWEEN,
        slowest_at_deg=NOTHING_BETWEEN,
        pushes=NOTHING_BETWEEN,
        pushes_unlike_percent=NOTHING_BETWEEN,
        speed_percent=np.empty(0),
    )


def _cv_percent(turns: TurnTimes, angle_std_rad: float) -> UFloat:
    """Spread with its doubt: few turns, and the noise of the angle at both ends of each."""
    noise = np.sqrt(2) * angle_std_rad / (2 * np.pi)
    std = np.hypot(turns.usual_spread / np.sqrt(2 * turns.freedom), noise)
    return ufloat(100 * turns.spread, 100 * float(std))
