"""Ratios in a row: steps, stages and what feet reach, by hand and against Monte Carlo."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from whirlwise.calc.interval import interval_95
from whirlwise.calc.ladder import CadenceRange, ladder_of, out_of_reach, ratio_of_stages, with_heads
from whirlwise.calc.ratios import driven_speed

ratio_tables = st.dictionaries(st.text(min_size=1, max_size=4), st.floats(2, 40), min_size=1, max_size=7)


def test_a_ladder_worked_by_hand() -> None:
    found = ladder_of({"small": 12.0, "large": 5.0, "middle": 8.0})
    assert [rung.label for rung in found.rungs] == ["large", "middle", "small"]
    assert [(step.below, step.above) for step in found.steps] == [("large", "middle"), ("middle", "small")]
    assert [nominal_value(step.factor) for step in found.steps] == pytest.approx([1.6, 1.5])
    assert found.widest == found.steps[0]
    assert (found.lowest.value, found.highest.value) == (5.0, 12.0)


def test_one_ratio_has_no_steps() -> None:
    found = ladder_of({"only": ufloat(9.0, 0.1)})
    assert (found.steps, found.widest) == ((), None)
    assert found.highest == found.lowest == interval_95(found.rungs[0].ratio)


@pytest.mark.parametrize("ratios", [{}, {"a": 0.0}, {"a": 6.0, "b": -1.0}])
def test_what_is_no_ladder(ratios: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="ratio"):
        ladder_of(ratios)


def test_steps_of_one_wheel_forget_the_wheel() -> None:
    # Both ratios hang on one wheel's diameter, known to 2 %; the step on the whirls alone, known to 0.5 %.
    wheel, large, small = ufloat(560, 11.2), ufloat(80, 0.4), ufloat(40, 0.2)
    (step,) = ladder_of({"large": wheel / large, "small": wheel / small}).steps
    assert nominal_value(step.factor) == pytest.approx(2.0)
    rng = np.random.default_rng(5)
    draws = rng.normal(80, 0.4, 200_000) / rng.normal(40, 0.2, 200_000)
    assert std_dev(step.factor) == pytest.approx(draws.std(), rel=0.01)


def test_the_highest_may_be_either_of_two() -> None:
    found = ladder_of({"a": ufloat(12.0, 1.0), "b": ufloat(12.2, 0.1)}).highest
    rng = np.random.default_rng(6)
    draws = np.maximum(rng.normal(12.0, 1.0, 100_000), rng.normal(12.2, 0.1, 100_000))
    assert found.value == pytest.approx(12.2)
    inside = np.mean((draws >= found.low) & (draws <= found.high))
    assert inside > 0.95


@pytest.mark.parametrize(
    ("low", "high", "same"),
    [
        (10.0, 10.2, True),
        (10.0, 10.4, False),
        (ufloat(10, 0.1), ufloat(10.4, 0.1), True),
        (ufloat(10, 0.1), ufloat(12, 0.1), False),
    ],
)
def test_steps_too_small_for_feet(low: float, high: float, same: bool) -> None:
    (step,) = ladder_of({"low": low, "high": high}).steps
    assert step.same_in_use is same


def test_a_great_wheel_with_an_accelerating_head() -> None:
    # Khurmi, Theory of Machines, example 11.1: 750 -> 450 mm, then 900 -> 150 mm, at 150 r/min: 1500 r/min.
    assert 150 * ratio_of_stages([750 / 450, 900 / 150]) == pytest.approx(1500)
    # A published question: 80 -> 40 cm, then 100 -> 20 cm, at 200 r/min: 2000 r/min.
    assert 200 * ratio_of_stages([80 / 40, 100 / 20]) == pytest.approx(2000)


def test_doubt_of_two_stages_against_monte_carlo() -> None:
    found = ratio_of_stages([ufloat(11.8, 0.2), ufloat(5.6, 0.1)])
    rng = np.random.default_rng(8)
    draws = rng.normal(11.8, 0.2, 300_000) * rng.normal(5.6, 0.1, 300_000)
    assert nominal_value(found) == pytest.approx(draws.mean(), rel=1e-3)
    assert std_dev(found) == pytest.approx(draws.std(), rel=0.01)


@given(ratio_tables)
def test_steps_multiply_to_the_whole_range(table: dict[str, float]) -> None:
    found = ladder_of(table)
    factors = [float(nominal_value(step.factor)) for step in found.steps]
    assert np.prod(factors) == pytest.approx(found.highest.value / found.lowest.value)
    assert all(factor >= 1 for factor in factors)
    assert {rung.label: rung.ratio for rung in found.rungs} == table


def test_what_feet_do_not_reach_by_hand() -> None:
    # Ratio 6 at 70 a minute is 420, ratio 12 at 55 is 660: nothing between. Ratio 14 at 55 is 770 < 12 at 70.
    found = out_of_reach(ladder_of({"a": 6.0, "b": 12.0, "c": 14.0}), CadenceRange(55, 70))
    assert [(step.below, slow, fast) for step, slow, fast in found] == [("a", 420.0, 660.0)]


@given(ratio_tables, st.floats(30, 60), st.floats(0, 60), st.floats(0, 20))
def test_a_wider_range_of_cadence_never_reaches_less(
    table: dict[str, float], slowest: float, wider: float, more: float
) -> None:
    narrow = out_of_reach(ladder_of(table), CadenceRange(slowest, slowest + wider))
    wide = out_of_reach(ladder_of(table), CadenceRange(slowest, slowest + wider + more))
    assert {each[0].below for each in wide} <= {each[0].below for each in narrow}


@pytest.mark.parametrize("ends", [(0, 60), (60, 50), (50, float("inf")), (float("nan"), 60)])
def test_what_is_no_range_of_cadence(ends: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="from the slower to the faster"):
        CadenceRange(*ends)


@given(
    st.lists(st.floats(1, 30), min_size=1, max_size=4),
    st.lists(st.floats(1, 12), min_size=1, max_size=4),
    st.floats(30, 90),
)
def test_every_head_with_every_whirl(great: list[float], heads: list[float], cadence: float) -> None:
    firsts = {f"whirl {k}": ratio for k, ratio in enumerate(great)}
    seconds = {f"head {k}": ratio for k, ratio in enumerate(heads)}
    table = with_heads(firsts, seconds)
    assert len(table) == len(great) * len(heads)
    for first, one in firsts.items():
        for second, other in seconds.items():
            # By way of the speeds, one pair after the other.
            small_wheel_per_min = driven_speed(cadence, one)
            spindle_per_min = driven_speed(small_wheel_per_min, other)
            name = first if len(heads) == 1 else f"{first}+{second}"
            assert table[name] * cadence == pytest.approx(spindle_per_min)
    assert with_heads(firsts, {}) == firsts
