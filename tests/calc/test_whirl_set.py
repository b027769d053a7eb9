"""The best set of whirls: against even steps worked by hand and against trying every set on a fine grid."""

from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from whirlwise.calc.whirl_set import best_set, fewest_for_step


def widest(ratios: list[float]) -> float:
    ordered = sorted(ratios)
    return max(high / low for low, high in pairwise(ordered))


def test_even_steps_by_hand() -> None:
    # 6 to 18 is a factor of 3: in two steps sqrt 3 each, in four steps 3^(1/4).
    assert best_set(6, 18, 3).new == pytest.approx((6, 6 * 3**0.5, 18))
    found = best_set(6, 18, 5)
    assert found.new == pytest.approx([6 * 3 ** (k / 4) for k in range(5)])
    assert found.widest_step == pytest.approx(3**0.25)


def test_what_is_there_is_used() -> None:
    # 6, 12 and 18 are there: the wider step, 6 to 12, gets the one new whirl, in its middle.
    found = best_set(6, 18, 1, [6, 12, 18])
    assert found.new == pytest.approx((72**0.5,))
    assert found.widest_step == pytest.approx(1.5)
    # A second one goes where the widest step is then: from 12 to 18.
    assert best_set(6, 18, 2, [6, 12, 18]).new == pytest.approx((72**0.5, 216**0.5))


def test_ends_within_a_foots_unsteadiness_count_as_reached() -> None:
    assert best_set(6, 18, 1, [6.1, 17.6]).new == pytest.approx(((6.1 * 17.6) ** 0.5,))
    # An end beyond is reached by what lies beyond it.
    assert best_set(6, 18, 1, [5, 20]).all == pytest.approx((5, 10, 20))


def test_ratios_far_outside_the_range_do_not_matter() -> None:
    assert best_set(6, 18, 3, [2, 40]).all == pytest.approx((2, 2 * 20**0.25, 2 * 20**0.5, 2 * 20**0.75, 40))
    assert best_set(6, 18, 1, [3, 6, 18, 30]).all == pytest.approx((6, 108**0.5, 18))


@given(
    st.floats(4, 8),
    st.floats(1.6, 4),
    st.integers(0, 2),
    st.lists(st.floats(4, 30), max_size=3),
)
@settings(max_examples=40)
def test_no_set_on_a_grid_is_better(low: float, factor: float, extra: int, existing: list[float]) -> None:
    high = low * factor
    existing = [ratio for ratio in existing if low <= ratio <= high]
    count = 2 + extra
    found = best_set(low, high, count, existing)
    # Every set of `count` ratios of a fine grid that has both ends, tried one by one.
    grid = low * factor ** np.linspace(0, 1, 25)
    tries = (widest([*existing, low, high, *chosen]) for chosen in combinations(grid[1:-1].tolist(), extra))
    assert found.widest_step <= min(tries) * (1 + 1e-9)
    assert len(found.new) == count


@given(st.floats(3, 10), st.floats(1.2, 5), st.integers(2, 8), st.lists(st.floats(2, 40), max_size=4))
def test_more_whirls_never_make_wider_steps(
    low: float, factor: float, count: int, existing: list[float]
) -> None:
    one, more = (best_set(low, low * factor, k, existing).widest_step for k in (count, count + 1))
    assert more <= one * (1 + 1e-12)


@given(st.floats(3, 10), st.floats(1.2, 5), st.floats(1.1, 2), st.lists(st.floats(2, 40), max_size=4))
def test_the_fewest_are_the_fewest(low: float, factor: float, step: float, existing: list[float]) -> None:
    try:
        found = fewest_for_step(low, low * factor, step, existing)
    except ValueError:
        assume(False)
    assert found.widest_step <= step * (1 + 1e-6)
    if found.new:
        try:
            fewer = best_set(low, low * factor, len(found.new) - 1, existing)
        except ValueError:
            return
        assert fewer.widest_step > step


@given(st.floats(3, 10), st.floats(1.2, 5), st.integers(2, 6), st.floats(0.2, 5))
def test_other_units_of_ratio_change_nothing(low: float, factor: float, count: int, unit: float) -> None:
    one = best_set(low, low * factor, count)
    other = best_set(low * unit, low * factor * unit, count)
    assert other.new == pytest.approx([ratio * unit for ratio in one.new])


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ((18, 6, 3), "a range of ratios goes from the lower to the higher, both above zero"),
        ((6, 18, 13), "the number of whirls to make must lie between 0 and 12"),
        ((6, 18, 1), "reaching from 6 to 18 takes at least 2 new whirls, for nothing there reaches 6 and 18"),
        (
            (6, 18, 0, [6, 12]),
            "reaching from 6 to 18 takes at least 1 new whirl, for nothing there reaches 18",
        ),
    ],
)
def test_sets_that_cannot_be(arguments: tuple[float, float, int], sentence: str) -> None:
    with pytest.raises(ValueError, match=f"^{sentence}$"):
        best_set(*arguments)


def test_steps_that_would_take_too_many() -> None:
    with pytest.raises(ValueError, match=r"^steps of 1 % from 6 to 18 would take more than 12 whirls$"):
        fewest_for_step(6, 18, 1.01)
    with pytest.raises(ValueError, match="the widest step must be above 1"):
        fewest_for_step(6, 18, 1.0)
    with pytest.raises(ValueError, match="goes from the lower to the higher"):
        fewest_for_step(18, 6, 1.5)
