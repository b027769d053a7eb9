"""The whirl that a wheel lacks most, against steps worked by hand and against trying many ratios."""

from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from whirlwise.calc.ladder import SAME_IN_USE, ladder_of
from whirlwise.calc.next_whirl import ratios_to_add


def test_it_halves_the_widest_step() -> None:
    # 6 to 9 is a step of 1.5, 9 to 18 one of 2: the middle of the latter, in factors, is 9 x sqrt 2.
    assert ratios_to_add(ladder_of({"a": 6.0, "b": 9.0, "c": 18.0})) == pytest.approx((9 * 2**0.5,))


def test_it_reaches_the_ends_of_a_wish_first() -> None:
    ladder = ladder_of({"a": 9.0, "b": 12.0})
    assert ratios_to_add(ladder, (6, 12)) == (6,)
    assert ratios_to_add(ladder, (9, 16)) == (16,)
    assert ratios_to_add(ladder, (6, 16)) == (6, 16)


def test_nothing_is_missing() -> None:
    assert ratios_to_add(ladder_of({"only": 9.0})) == ()
    # Half a step of 5 % lies below what a foot tells.
    assert ratios_to_add(ladder_of({"a": 10.0, "b": 10.5})) == ()


@given(st.lists(st.floats(3, 40), min_size=2, max_size=6), st.floats(0.01, 0.99))
def test_no_other_whirl_leaves_a_narrower_widest_step(ratios: list[float], place: float) -> None:
    low, high = min(ratios), max(ratios)
    assume(high / low > SAME_IN_USE)
    found = ratios_to_add(ladder_of({str(k): ratio for k, ratio in enumerate(ratios)}))

    def widest(new: float) -> float:
        ordered = sorted([*ratios, new])
        return max(b / a for a, b in pairwise(ordered))

    other = low * (high / low) ** place
    if found:
        assert len(found) == 1
        assert widest(found[0]) <= widest(other) * (1 + 1e-9)
    else:
        assert widest(low) <= SAME_IN_USE**2 * (1 + 1e-9)
