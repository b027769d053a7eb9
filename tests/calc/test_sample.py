"""Twist counted on the yarn: Student's interval against drawn specimens, and what verdicts mean."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from uncertainties import nominal_value, ufloat

from whirlwise.calc.interval import interval_95
from whirlwise.calc.sample import (
    counted_twist,
    plied_direction,
    specimens_wanted,
    tension_weight_g,
    verdict,
)


def test_mean_and_interval_of_five() -> None:
    turns = [47.0, 52.0, 49.0, 55.0, 50.0]
    found = counted_twist(turns, 10.0)
    assert nominal_value(found.twist_per_cm) == pytest.approx(5.06)
    # Second way: the library's own interval for a mean, which leaves out that counts are to the half turn.
    low, high = stats.t.interval(0.95, 4, loc=np.mean(turns), scale=stats.sem(turns))
    ours = interval_95(10 * found.twist_per_cm)
    assert ours.low == pytest.approx(low, abs=0.02)
    assert ours.high == pytest.approx(high, abs=0.02)
    assert ours.low <= low
    assert found.spread_percent == pytest.approx(100 * np.std(turns, ddof=1) / 50.6)


def test_intervals_hold_their_95_percent() -> None:
    # 4000 times four specimens of a yarn with 5 turns/cm that runs uneven by 12 %.
    rng = np.random.default_rng(2061)
    held = 0
    for turns in rng.normal(50, 6, (4000, 4)):
        interval = interval_95(counted_twist(turns.tolist(), 10.0).twist_per_cm)
        held += interval.low <= 5.0 <= interval.high
    assert held / 4000 == pytest.approx(0.95, abs=0.012)


def test_a_single_specimen_is_worth_little() -> None:
    one = counted_twist([50.0], 10.0)
    assert one.spread_percent is None
    assert interval_95(one.twist_per_cm).half_width > 1.4
    assert specimens_wanted(one, 5) is None


def test_the_doubt_of_the_length_stays_however_many() -> None:
    many = counted_twist([50.0] * 200, ufloat(10.0, 0.1))
    assert many.twist_per_cm.s / many.twist_per_cm.n == pytest.approx(0.01, rel=0.02)


def test_counting_to_the_half_turn_leaves_a_doubt() -> None:
    # Alike specimens: half of half a turn either way, evenly spread (JCGM 100:2008, 4.3.7: a / sqrt 3).
    found = counted_twist([20.0] * 4, 10.0)
    assert found.twist_per_cm.s == pytest.approx(0.25 / 3**0.5 / 4**0.5 / 10)


def test_how_many_specimens() -> None:
    # Student's t for 8 degrees of freedom is 2.306 (tables): 2.306 x 10 / 3 = 7.69, and 8 specimens give
    # 8.36.
    ten_percent = counted_twist([45.0, 50.0, 55.0], 10.0)
    assert ten_percent.spread_percent == pytest.approx(10)
    assert specimens_wanted(ten_percent, 7.7) == 9
    assert specimens_wanted(ten_percent, 8.3) == 9
    assert specimens_wanted(ten_percent, 8.4) == 8


@pytest.mark.parametrize("turns", [[], [0.0], [12.0, -3.0]])
def test_no_twist_no_answer(turns: list[float]) -> None:
    with pytest.raises(ValueError, match="at least one specimen, each with turns above zero"):
        counted_twist(turns, 10.0)


def test_verdicts() -> None:
    assert verdict(ufloat(5.0, 0.2), ufloat(5.3, 0.1)) == "agrees"
    assert verdict(ufloat(4.5, 0.1), ufloat(5.3, 0.1)) == "less on the yarn"
    assert verdict(ufloat(6.0, 0.1), ufloat(5.3, 0.1)) == "more on the yarn"


@given(st.floats(1, 10), st.floats(1, 10), st.floats(0.01, 2), st.floats(0, 2))
def test_more_doubt_never_makes_a_quarrel(counted: float, reckoned: float, doubt: float, more: float) -> None:
    if verdict(ufloat(counted, doubt), reckoned) == "agrees":
        assert verdict(ufloat(counted, doubt + more), reckoned) == "agrees"


def test_tension_of_the_standard() -> None:
    # ISO 2061: 0.5 +/- 0.1 cN/tex. By hand: 100 tex take 50 cN, the weight of 51.0 g at 9.80665 m/s2.
    found = interval_95(tension_weight_g(100.0))
    assert [found.low, found.value, found.high] == pytest.approx([40.79, 50.99, 61.18], abs=0.005)


def test_plied_against_the_singles() -> None:
    # ISO 2 names the directions S and Z; a balanced plied yarn is twisted against its singles.
    assert plied_direction("Z") == "S"
    assert plied_direction("S") == "Z"
