"""Numbers out of fused readings: as wide as the intervals, and as correlated as their covariance."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from whirlwise.calc.fused_numbers import fused_numbers
from whirlwise.calc.fusing import fuse
from whirlwise.calc.interval import interval_95
from whirlwise.calc.wheel import Dimension, reading_of

WHEEL, SMALL, LARGE = Dimension("pitch_mm"), Dimension("pitch_mm", "small"), Dimension("pitch_mm", "large")
FAST, SLOW = Dimension("ratio", "small"), Dimension("ratio", "large")


def test_two_ratios_share_the_wheel() -> None:
    reading = reading_of("photo-1", {WHEEL: ufloat(560, 5.6), SMALL: ufloat(40, 0.2), LARGE: ufloat(80, 0.4)})
    found = fused_numbers(fuse([reading]), [FAST, SLOW, WHEEL])
    assert found[FAST].n == pytest.approx(14.0)
    # Each whirl is known to 0.5 % beside the wheel, so the step between the two is to 0.5 % times sqrt 2.
    step = found[FAST] / found[SLOW]
    assert step.s / step.n == pytest.approx(0.005 * 2**0.5, rel=0.03)
    # The wheel's 1 % is in both, so it is in their product twice.
    product = found[FAST] * found[SLOW]
    assert product.s / product.n == pytest.approx(float(np.hypot(0.005 * 2**0.5, 2 * 0.01)), rel=0.03)


def test_what_no_reading_tells_is_left_out() -> None:
    reading = reading_of("clip-1", {FAST: ufloat(14, 0.01)})
    assert list(fused_numbers(fuse([reading]), [FAST, SLOW, WHEEL, SMALL])) == [FAST]
    assert fused_numbers(fuse([reading]), [WHEEL]) == {}
    assert fused_numbers(fuse([]), [FAST]) == {}


@given(st.floats(5, 20), st.floats(0.0005, 0.2))
def test_numbers_reach_as_far_as_the_fused_interval(ratio: float, relative: float) -> None:
    fused = fuse([reading_of("photo-1", {FAST: ufloat(ratio, ratio * relative)})])
    interval = fused.interval_95(FAST)
    ours = interval_95(fused_numbers(fused, [FAST])[FAST])
    assert interval is not None
    assert ours.low <= interval.low * (1 + 1e-9)
    assert ours.high >= interval.high * (1 - 1e-9)
    # The logarithm's interval is longer on its upper side; both sides take that one.
    assert ours.high == pytest.approx(interval.high)


def test_readings_that_contradict_each_other_are_both_covered() -> None:
    readings = [
        reading_of(f"clip-{place}", {FAST: ufloat(ratio, 0.02)}) for place, ratio in enumerate((14, 14.5))
    ]
    ours = interval_95(fused_numbers(fuse(readings), [FAST])[FAST])
    assert ours.low < 14 < 14.5 < ours.high
