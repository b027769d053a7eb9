"""What one more whirl adds: by hand, and against the ladder with it in place."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, ufloat

from whirlwise.calc.addition import addition
from whirlwise.calc.interval import interval_95
from whirlwise.calc.ladder import ladder_of

TWO = ladder_of({"large": 6.0, "small": 12.0})


@pytest.mark.parametrize(
    ("ratio", "where", "nearest", "percent"),
    [
        (18.0, "top", "small", 50.0),
        (4.0, "bottom", "large", -100 / 3),
        (8.4, "between", "large", 40.0),
        (12.2, "same", "small", 100 / 60),
        (11.8, "same", "small", -100 / 60),
    ],
)
def test_where_it_stands(ratio: float, where: str, nearest: str, percent: float) -> None:
    found = addition(TWO, ratio)
    assert (found.where, found.nearest.label) == (where, nearest)
    assert nominal_value(found.from_nearest_percent) == pytest.approx(percent)


def test_neighbours_and_steps() -> None:
    found = addition(TWO, 9.0)
    assert found.below is not None
    assert found.above is not None
    assert (found.below.label, found.above.label) == ("large", "small")
    assert (found.widest_before, found.widest_after) == (2.0, 1.5)
    assert addition(TWO, 18.0).above is None
    assert addition(TWO, 4.0).below is None
    assert (addition(TWO, 18.0).span_before, addition(TWO, 18.0).span_after) == (2.0, 3.0)


def test_a_doubt_that_leaves_it_open() -> None:
    assert addition(TWO, ufloat(13.0, 0.5)).maybe_same
    assert not addition(TWO, ufloat(13.0, 0.1)).maybe_same
    # The same below: 5.5 with 0.2 reaches up to 5.9, as good as 6; with 0.05 it doesn't.
    assert addition(TWO, ufloat(5.5, 0.2)).maybe_same
    assert not addition(TWO, ufloat(5.5, 0.05)).maybe_same


ratios = st.dictionaries(st.sampled_from("abcdef"), st.floats(3, 30), min_size=1, max_size=6)


@given(ratios, st.floats(3, 30))
def test_as_the_ladder_with_it_says(table: dict[str, float], ratio: float) -> None:
    found = addition(ladder_of(table), ratio)
    after = ladder_of({**table, "new": ratio})
    widest = after.widest
    assert widest is not None
    assert found.widest_after == pytest.approx(nominal_value(widest.factor))
    assert found.span_after == pytest.approx(after.highest.value / after.lowest.value)
    assert found.span_after >= found.span_before
    if found.where in ("between", "same"):
        assert found.widest_after <= max(found.widest_before, 1.03)


@given(ratios, st.floats(3, 30), st.floats(0.001, 1), st.floats(1, 4))
def test_more_doubt_never_makes_it_surer(
    table: dict[str, float], ratio: float, doubt: float, more: float
) -> None:
    narrow, wide = (addition(ladder_of(table), ufloat(ratio, each)) for each in (doubt, doubt * more))
    assert wide.maybe_same or not narrow.maybe_same
    widths = [interval_95(each.from_nearest_percent).half_width for each in (narrow, wide)]
    assert widths[1] >= widths[0] * (1 - 1e-12)
