"""Comparisons of sessions against textbook tests, SciPy's and simulation."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats
from uncertainties import UFloat, ufloat

from whirlwise.calc.rhythm import Session, against_wish, changes, compared, spread_interval_95

Floats = NDArray[np.float64]


def session(name: str, turn_s: Floats, swing: UFloat | None = None) -> Session:
    """Independent turns without drift: n - 1 degrees of freedom."""
    freedom = len(turn_s) - 1
    spread = float(100 * turn_s.std(ddof=1) / turn_s.mean())
    return Session(
        name=name,
        turn_times_s=tuple(turn_s.tolist()),
        cv_percent=ufloat(spread, spread / np.sqrt(2 * freedom)),
        usual_cv_percent=spread,
        freedom=freedom,
        usual_turn_s=ufloat(turn_s.mean(), turn_s.std(ddof=1) / np.sqrt(len(turn_s))),
        within_turn_percent=swing,
    )


def turns(seed: int, count: int, spread: float) -> Floats:
    return np.asarray(1 + spread * np.random.default_rng(seed).normal(size=count))


def with_spread(name: str, spread: float, count: int) -> Session:
    """Exactly this spread about a mean of 1 s."""
    off = np.random.default_rng(1).normal(size=count)
    off = (off - off.mean()) / off.std(ddof=1)
    return session(name, 1 + spread * off)


def test_interval_of_a_spread_is_the_textbook_one() -> None:
    """NIST/SEMATECH e-Handbook 1.3.5.8: for 100 gears the deviation 0.00628 has the limits 0.0055 and 0.0073.

    (The deviation of the handbook's data set GEAR.DAT, and its two-sided 95 % limits; from memory, and
    checked here against SciPy's chi-square.)
    """
    found = spread_interval_95(with_spread("", 0.00628, 100))
    scale = np.sqrt(99 / stats.chi2.ppf([0.975, 0.025], 99))
    assert (found.low, found.high) == pytest.approx(tuple(0.628 * scale))
    assert (found.low, found.high) == pytest.approx((0.55, 0.73), abs=0.006)


def test_noise_of_measuring_widens_downwards() -> None:
    plain = with_spread("", 0.01, 30)
    noisy = Session(
        "", plain.turn_times_s, plain.cv_percent + ufloat(0, 0.4), 1.0, 29, plain.usual_turn_s, None
    )
    assert spread_interval_95(noisy).low < spread_interval_95(plain).low - 0.3
    assert spread_interval_95(noisy).low >= 0


def test_ratio_of_spreads_is_the_f_test() -> None:
    """Against SciPy's F distribution: p of the two-sided test, and the interval as its inversion."""
    before, after = with_spread("a", 0.03, 25), with_spread("b", 0.02, 31)
    told = compared(before, after)
    f = (0.02 / 0.03) ** 2
    assert told.spread_ratio.value == pytest.approx(2 / 3)
    assert told.p_value == pytest.approx(2 * stats.f.cdf(f, 30, 24))
    # At either end of the interval the test is just on the edge.
    for end in (told.spread_ratio.low, told.spread_ratio.high):
        tail = stats.f.cdf(f / end**2, 30, 24)
        assert min(tail, 1 - tail) == pytest.approx(0.025)


@pytest.mark.parametrize(("count", "verdict"), [(20, "open"), (80, "calmer")])
def test_more_turns_decide(count: int, verdict: str) -> None:
    told = compared(with_spread("a", 0.026, count), with_spread("b", 0.018, count))
    assert told.verdict == verdict
    back = compared(with_spread("b", 0.018, count), with_spread("a", 0.026, count))
    assert back.verdict == ("less calm" if verdict == "calmer" else "open")
    assert back.p_value == pytest.approx(told.p_value)


def test_like_sessions_are_seldom_called_unlike() -> None:
    """False alarms of one comparison in twenty, by simulation."""
    rounds = 400
    alarms = sum(
        compared(session("a", turns(seed, 20, 0.02)), session("b", turns(seed + 5000, 30, 0.02))).verdict
        != "open"
        for seed in range(rounds)
    )
    assert 0.005 < stats.binom.cdf(alarms, rounds, 0.05) < 0.995


def test_interval_agrees_with_the_bootstrap() -> None:
    one, other = turns(3, 150, 0.03), turns(4, 150, 0.02)

    def ratio(a: Floats, b: Floats) -> float:
        return float(b.std(ddof=1) / b.mean() / (a.std(ddof=1) / a.mean()))

    drawn = stats.bootstrap(
        (one, other), ratio, n_resamples=2000, vectorized=False, rng=np.random.default_rng(1)
    ).confidence_interval
    told = compared(session("a", one), session("b", other)).spread_ratio
    assert told.low == pytest.approx(drawn.low, rel=0.05)
    assert told.high == pytest.approx(drawn.high, rel=0.05)


def test_turns_needed_are_enough_four_times_in_five() -> None:
    """As many turns as told, of that difference, are told apart about four times in five."""
    told = compared(with_spread("a", 0.026, 20), with_spread("b", 0.018, 20))
    assert told.turns_needed is not None
    rounds = 300
    seen = sum(
        compared(
            session("a", turns(seed, told.turns_needed, 0.026)),
            session("b", turns(seed + 9000, told.turns_needed, 0.018)),
        ).verdict
        == "calmer"
        for seed in range(rounds)
    )
    assert seen / rounds == pytest.approx(0.8, abs=0.08)


def test_several_comparisons_are_held_to_a_stricter_level() -> None:
    three = [with_spread(name, spread, 40) for name, spread in (("a", 0.03), ("b", 0.022), ("c", 0.021))]
    told = changes(three)
    assert [(c.before, c.after) for c in told] == [("a", "b"), ("b", "c"), ("a", "c")]
    alone = compared(three[0], three[1])
    assert told[0].spread_ratio.high > alone.spread_ratio.high
    assert told[0].p_value == alone.p_value


def test_swing_within_the_turn_is_compared() -> None:
    """10 +/- 0.5 against 8 +/- 0.5: less by 2 +/- 0.71 (root of the sum of squares)."""
    told = compared(
        session("a", turns(1, 20, 0.02), ufloat(10, 0.5)), session("b", turns(2, 20, 0.02), ufloat(8, 0.5))
    )
    assert told.smoother is True
    assert told.smoother_percent is not None
    assert told.smoother_percent.half_width == pytest.approx(1.96 * np.sqrt(0.5), rel=1e-3)
    assert compared(session("a", turns(1, 20, 0.02)), session("b", turns(2, 20, 0.02))).smoother is None


def test_against_a_wish() -> None:
    """Turns of 0.9, 1.0, 1.02 and 1.1 s are 66.7, 60, 58.8 and 54.5 a minute."""
    told = against_wish(session("a", np.array([0.9, 1.0, 1.02, 1.1])), 60)
    assert (told.near, told.turns) == (2, 4)
    assert told.faster is None
    slow = against_wish(session("a", turns(1, 50, 0.01) * 60 / 57), 60)
    assert slow.faster is False
    assert slow.faster_percent.value == pytest.approx(-5, abs=0.5)
