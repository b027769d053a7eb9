"""Rounding keeps the interval true."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from whirlwise.calc.interval import Interval
from whirlwise.cli.show.rounding import rounded, texts

values = st.floats(-1e5, 1e5)
half_widths = st.floats(1e-7, 1e5)


@given(values, half_widths, st.integers(1, 4))
def test_a_rounded_interval_holds_the_whole_one(value: float, half_width: float, digits: int) -> None:
    exact = Interval(value, value - half_width, value + half_width)
    shown = rounded(exact, digits)
    slack = 1e-9 * max(1.0, abs(value))
    assert shown.low <= exact.low + slack
    assert shown.high >= exact.high - slack
    assert shown.low <= shown.value <= shown.high
    # ... and is hardly wider: by less than one unit of the last digit kept at either end.
    assert shown.half_width <= half_width * (1 + 10 ** (1 - digits)) + slack
    assert abs(shown.value - value) <= half_width * 0.5 * 10 ** (1 - digits) + slack


@given(values)
def test_exact_numbers_stay_exact(value: float) -> None:
    shown = rounded(Interval(value, value, value), 3)
    assert shown.low == shown.value == shown.high == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize(
    ("interval", "expected"),
    [
        (Interval(12.66735, 12.61249, 12.72221), ("12.667", "12.612", "12.723")),
        (Interval(558.3, 556.5, 560.1), ("558.3", "556.5", "560.1")),
        (Interval(1256.2, 1205.0, 1307.4), ("1256", "1205", "1308")),
        (Interval(1256.2, 256.2, 2256.2), ("1300", "200", "2300")),
        (Interval(0.0, 0.0, 0.0), ("0", "0", "0")),
        (Interval(3.0, 3.0, 3.0), ("3", "3", "3")),
    ],
)
def test_texts(interval: Interval, expected: tuple[str, str, str]) -> None:
    assert texts(interval) == expected
