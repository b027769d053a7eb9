"""Rhythm from angles over time whose spread, drift, swing and slowest place are known in closed form."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats
from uncertainties import ufloat

from whirlwise.calc.interval import interval_95
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.session import session_of_marks
from whirlwise.vision.turning.rhythm import Rhythm, rhythm_of, rhythm_of_marks
from whirlwise.vision.turning.turn_times import turn_times

Floats = NDArray[np.float64]
FINE = 720


def history(
    turn_s: Floats, pace: Floats | None = None, sense: int = 1, per_s: float = 30.0
) -> tuple[Floats, Floats, Floats]:
    """Times, way and angle in every picture, for turns of given times.

    ``pace`` (turns, FINE) or (FINE,) is the time that each bit of the turn takes, over that of an even wheel.
    """
    bits = np.ones(FINE) if pace is None else pace
    bits = np.broadcast_to(bits, (len(turn_s), FINE))
    bits_s = bits / bits.mean(axis=1, keepdims=True) * turn_s[:, None] / FINE
    at_s = np.concatenate([[0.0], np.cumsum(bits_s.ravel())])
    way = np.linspace(0, 2 * np.pi * len(turn_s), len(at_s))
    times_s = np.arange(0, at_s[-1], 1 / per_s)
    path = np.interp(times_s, at_s, way)
    return times_s, path, sense * path


def measured(times_s: Floats, path: Floats, angles: Floats, angle_std_rad: float = 1e-4) -> Rhythm:
    rhythm = rhythm_of(times_s, path, angles, angle_std_rad)
    assert isinstance(rhythm, Rhythm)
    return rhythm


def alternating(turns: int, spread: float) -> Floats:
    """Times whose departures from a straight line are known: three patterns square to each other."""
    off = np.tile([1.0, -1.0, -1.0, 1.0], turns // 4)
    return np.asarray(1 + spread * off)


def test_spread_of_turns_in_closed_form() -> None:
    """Blocks + - - + hold no mean and no slope, so that the line takes nothing out."""
    told = measured(*history(np.append(alternating(24, 0.03), 1.0)[:24], per_s=200))
    wanted = 3 * np.sqrt(23 / 21)  # the last turn is cut off by the last picture, and n - 2 divides
    assert len(told.turn_times_s) == 23
    assert told.cv_percent.n == pytest.approx(wanted, rel=0.03)


def test_drift_is_no_unsteadiness() -> None:
    """The cadence grows by a share c a minute: at time t it is 1 + c t."""
    share_per_min = 0.1
    marks = np.linspace(0, 1, 61)
    # Turns up to t: t + c t^2 / 2 (t in min, cadence 60 a minute at first).
    per_min = 60 * (np.sqrt(1 + 2 * share_per_min * marks) - 1) / share_per_min
    told = measured(*history(np.diff(per_min), per_s=200))
    mean_share = 1 + share_per_min / 2
    assert told.drift_percent_per_min.n == pytest.approx(100 * share_per_min / mean_share, rel=0.03)
    assert told.cv_percent.n < 0.1


def wave(*parts: tuple[int, float, float]) -> Floats:
    """Speed over the turn: harmonics with their share and the angle (deg) at which each is highest."""
    at = np.linspace(0, 360, FINE, endpoint=False) + 180 / FINE
    return np.asarray(1 + sum(share * np.cos(np.radians(h * (at - deg))) for h, share, deg in parts))


@pytest.mark.parametrize("per_s", [24.0, 30.0, 120.0])
@pytest.mark.parametrize(("sense", "slowest"), [(1, 250.0), (-1, 110.0)])
def test_swing_and_slowest_place(per_s: float, sense: int, slowest: float) -> None:
    """Speed 1 + a cos(angle - b) swings by a and is slowest half a turn after b."""
    told = measured(*history(np.full(20, 1.03), 1 / wave((1, 0.12, 70.0)), sense, per_s))
    assert not isinstance(told.within_turn_percent, NotMeasured)
    assert interval_95(told.within_turn_percent).low < 12 < interval_95(told.within_turn_percent).high
    assert told.within_turn_percent.n == pytest.approx(12, rel=0.02)
    assert not isinstance(told.slowest_at_deg, NotMeasured)
    assert told.slowest_at_deg.n == pytest.approx(slowest, abs=3)
    assert told.pushes == 1
    assert len(told.speed_percent) == 360
    assert int(np.argmin(told.speed_percent)) == pytest.approx(slowest, abs=3)


def test_a_steady_pull_within_the_turn_is_no_swing() -> None:
    """Each turn takes 2 % longer than the last: a slope that has harmonics but no push."""
    longer = np.exp(np.log(1.02) * np.arange(12.0))
    told = measured(*history(longer, np.exp(np.log(1.02) * np.linspace(0, 1, FINE))))
    assert not isinstance(told.within_turn_percent, NotMeasured)
    assert told.within_turn_percent.n < 0.3
    assert isinstance(told.slowest_at_deg, NotMeasured)


def test_two_treadles_push_twice() -> None:
    """Speed 1 + a cos 2x + b cos x: its rises are 2 a + b and 2 a - b + ... in closed form by calculus."""
    twice, once = 0.08, 0.05
    told = measured(*history(np.full(30, 1.0), 1 / wave((2, twice, 0.0), (1, once, 0.0))))
    # Lows where 4 a cos x = -b, both at one speed 1 - a - b^2 / (8 a); highs 1 + a + b and 1 + a - b.
    low = 1 - twice - once**2 / (8 * twice)
    one, other = 1 + twice + once - low, 1 + twice - once - low
    assert told.pushes == 2
    assert not isinstance(told.pushes_unlike_percent, NotMeasured)
    assert told.pushes_unlike_percent.n == pytest.approx(100 * (one - other) / (one + other), abs=2)


def test_like_pushes_have_no_slowest_place() -> None:
    rng = np.random.default_rng(3)
    pace = np.array(
        [1 / wave((2, 0.1 * rng.normal(1, 0.2), 0.0), (1, 0.02 * rng.normal(), 0.0)) for _ in range(30)]
    )
    told = measured(*history(np.full(30, 1.0), pace))
    assert told.pushes == 2
    assert isinstance(told.slowest_at_deg, NotMeasured)
    assert "equally slow" in told.slowest_at_deg.reason


def test_intervals_within_the_turn_hold() -> None:
    """A foot that pushes unlike from turn to turn: its mean lies in the intervals often enough."""
    swing_in = place_in = 0
    rounds = 120
    for seed in range(rounds):
        rng = np.random.default_rng(seed)
        pace = np.array([1 / wave((1, 0.1 * rng.normal(1, 0.3), 70 + 20 * rng.normal())) for _ in range(14)])
        told = measured(*history(1 + 0.01 * rng.normal(size=14), pace))
        swing = interval_95(told.within_turn_percent)
        # The mean of cos(x - b - 20 deg n) over n is smaller by exp(-variance / 2).
        truth = 10 * np.exp(-(np.radians(20) ** 2) / 2)
        swing_in += swing.low < truth < swing.high
        assert not isinstance(told.slowest_at_deg, NotMeasured)
        place = interval_95(told.slowest_at_deg)
        place_in += place.low < 250 < place.high
    assert stats.binom.cdf(swing_in, rounds, 0.95) > 0.01
    assert stats.binom.cdf(place_in, rounds, 0.95) > 0.01


def test_an_axle_placed_wrongly_is_reckoned_with() -> None:
    """An even wheel seen about an axle that is off: the angle errs once a turn."""
    times_s, path, _ = history(np.full(15, 1.0))
    seen = path + 0.02 * np.sin(path)
    told = measured(times_s, seen, seen, angle_std_rad=0.02)
    assert interval_95(told.within_turn_percent).low <= 0.1


@pytest.mark.parametrize(("turns", "memory"), [(8, 0.0), (20, 0.0), (20, 0.4)])
def test_intervals_from_turn_to_turn_hold(turns: int, memory: float) -> None:
    """Turns drawn from a first-order autoregression of known spread, mean and no drift."""
    rounds, spread = 150, 0.03
    inside = np.zeros(3)
    for seed in range(rounds):
        rng = np.random.default_rng(seed)
        off = np.zeros(turns + 50)
        for i in range(1, len(off)):
            off[i] = memory * off[i - 1] + np.sqrt(1 - memory**2) * rng.normal()
        told = turn_times(1 + spread * off[50:])
        low, high = np.sqrt(told.freedom / stats.chi2.ppf([0.975, 0.025], told.freedom))
        inside += [
            told.spread * low < spread < told.usual_spread * high,
            interval_95(told.mean_s).low < 1 < interval_95(told.mean_s).high,
            interval_95(told.drift_per_min).low < 0 < interval_95(told.drift_per_min).high,
        ]
    assert np.all(stats.binom.cdf(inside, rounds, 0.95) > 0.01)


def test_freedom_of_independent_turns() -> None:
    """Without memory the spread rests on about n - 2; turns that hang together are worth fewer."""
    rng = np.random.default_rng(8)
    loose = rng.normal(size=80)
    tied = np.convolve(rng.normal(size=100), np.ones(12) / 12, "valid")[:80]
    assert 40 < turn_times(1 + 0.02 * loose).freedom <= 78
    assert turn_times(1 + 0.02 * tied).freedom < 20


def test_marks_alone_tell_turns_but_nothing_between() -> None:
    marks = np.concatenate([[0.0], np.cumsum(alternating(20, 0.02))])
    told = rhythm_of_marks(marks, 0.001)
    assert isinstance(told, Rhythm)
    assert told.cv_percent.n == pytest.approx(2 * np.sqrt(20 / 18), rel=1e-6)
    assert isinstance(told.within_turn_percent, NotMeasured)
    assert isinstance(rhythm_of_marks(marks[:4], 0.001), NotMeasured)


def test_a_session_of_marks() -> None:
    marks = np.cumsum(alternating(20, 0.02)).tolist()
    told = session_of_marks("knocks.wav", 20.0, ufloat(60.0, 0.1), marks, 0.002)
    assert isinstance(told.rhythm, Rhythm)
    assert len(told.rhythm.turn_times_s) == 19
    open_ = NotMeasured("Two rates remain.", "Count by eye.")
    assert session_of_marks("knocks.wav", 20.0, open_, marks, 0.002).rhythm is open_


def test_three_turns_are_too_few() -> None:
    told = rhythm_of(*history(np.full(4, 1.0)), 1e-4)
    assert isinstance(told, NotMeasured)
    assert str(told) == (
        "The wheel makes 3 whole turns in this clip, too few for a rhythm. "
        "Film at least 8 turns of steady treadling."
    )
