"""Wheels side by side: coverage by hand, and against asking for every ratio of the range one by one."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from whirlwise.calc.comparing import as_good_as_first, compared, ranked, uncovered
from whirlwise.calc.ladder import CadenceRange

#: Slowest to fastest a factor of 1.21: each whirl covers 10 % either way of its own ratio.
FEET = CadenceRange(60, 72.6)


def test_coverage_by_hand() -> None:
    # 6 covers 5.4545-6.6, 12 covers 10.909-13.2. Of 6 to 12: ln(6.6/6) + ln(12/10.909) over ln 2.
    (found,) = compared({"old": {"large": 6.0, "small": 12.0}}, cadence=FEET, wish=(6, 12))
    assert found.covered_percent is not None
    assert found.covered_percent.value == pytest.approx(100 * 2 * np.log(1.1) / np.log(2))
    (lacking,) = found.missing
    assert lacking == pytest.approx((6.6, 12 / 1.1))
    # 6.6 to 10.909 is a factor of 1.653; 1.21^2 = 1.464, 1.21^3 = 1.77: three whirls, evenly.
    step = (12 / 1.1 / 6.6) ** (1 / 3)
    assert found.add_ons == pytest.approx([6.6 * step ** (k + 0.5) for k in range(3)])


def test_what_covers_all_needs_nothing() -> None:
    (found,) = compared({"w": {"a": 6.0, "b": 7.2, "c": 8.6}}, cadence=FEET, wish=(6, 8.5))
    assert found.covered_percent is not None
    assert found.covered_percent.value == 100
    assert (found.missing, found.add_ons) == ((), ())


def test_without_a_wish_nothing_is_missing() -> None:
    (found,) = compared({"w": {"a": 6.0}}, cadence=FEET)
    assert (found.covered_percent, found.missing, found.add_ons) == (None, (), ())
    assert found.speed_class.names == ("slow",)


wheels = st.dictionaries(st.sampled_from("abcd"), st.floats(4, 25), min_size=1, max_size=4)
feet = st.builds(
    lambda slowest, reach: CadenceRange(slowest, slowest * reach), st.floats(30, 70), st.floats(1, 2)
)
wishes = st.tuples(st.floats(4, 9), st.floats(10, 25))


@given(wheels, feet, wishes)
def test_every_ratio_of_the_range_asked_for(
    whirls: dict[str, float], cadence: CadenceRange, wish: tuple[float, float]
) -> None:
    (found,) = compared({"w": whirls}, cadence=cadence, wish=wish)
    asked = wish[0] * (wish[1] / wish[0]) ** ((np.arange(4000) + 0.5) / 4000)
    needed = [asked * cadence.middle_per_min / ratio for ratio in whirls.values()]
    # Feet that keep one cadence sway by 3 % all the same.
    sway = max(1.0, (1.03 * cadence.slowest_per_min / cadence.fastest_per_min) ** 0.5)
    slowest, fastest = cadence.slowest_per_min / sway, cadence.fastest_per_min * sway
    done = np.any([(each >= slowest) & (each <= fastest) for each in needed], axis=0)
    assert found.covered_percent is not None
    assert found.covered_percent.value == pytest.approx(100 * done.mean(), abs=0.3)


@given(wheels, feet, wishes)
def test_with_the_add_ons_nothing_is_missing(
    whirls: dict[str, float], cadence: CadenceRange, wish: tuple[float, float]
) -> None:
    (found,) = compared({"w": whirls}, cadence=cadence, wish=wish)
    more = {f"new {place}": ratio for place, ratio in enumerate(found.add_ons)}
    (after,) = compared({"w": {**whirls, **more}}, cadence=cadence, wish=wish)
    assert after.covered_percent is not None
    assert after.covered_percent.value == pytest.approx(100, abs=1e-6)


@given(st.floats(5, 20), st.floats(0.001, 0.5), st.floats(1, 4), feet, wishes)
def test_a_wider_interval_never_narrows_what_is_covered(
    ratio: float, doubt: float, more: float, cadence: CadenceRange, wish: tuple[float, float]
) -> None:
    narrow, wide = (
        compared({"w": {"a": ufloat(ratio, each)}}, cadence=cadence, wish=wish)[0].covered_percent
        for each in (doubt, doubt * more)
    )
    assert narrow is not None
    assert wide is not None
    assert wide.low <= narrow.low + 1e-9
    assert wide.high >= narrow.high - 1e-9


def test_the_one_that_covers_most_comes_first() -> None:
    found = ranked(
        compared(
            {"few": {"a": 8.0}, "many": {"a": 6.0, "b": 8.0, "c": 11.0}, "far": {"a": 30.0}},
            cadence=FEET,
            wish=(6, 12),
        )
    )
    assert [wheel.name for wheel in found] == ["many", "few", "far"]
    assert as_good_as_first(found) == ()


def test_wheels_that_doubt_does_not_tell_apart() -> None:
    one = {"a": ufloat(6.0, 0.3), "b": ufloat(9.0, 0.3)}
    other = {"a": ufloat(6.6, 0.3), "b": ufloat(8.9, 0.3)}
    found = ranked(compared({"one": one, "other": other}, cadence=FEET, wish=(6, 12)))
    assert as_good_as_first(found) == (found[1].name,)
    assert as_good_as_first(ranked(compared({"one": one, "other": other}, cadence=FEET))) == ()


def test_overlaps_count_once() -> None:
    assert uncovered([(5, 7), (6, 8), (5.5, 6.5)], (4, 9)) == ((4, 5), (8, 9))
    assert uncovered([(7, 5)], (6, 8)) == ((6, 8),)
    assert uncovered([(1, 2), (20, 30)], (6, 8)) == ((6, 8),)


def test_a_wish_that_is_no_range() -> None:
    with pytest.raises(ValueError, match="goes from the lower ratio to the higher"):
        compared({"w": {"a": 6.0}}, cadence=FEET, wish=(12, 6))
