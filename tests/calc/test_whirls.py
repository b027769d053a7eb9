"""The choice of a whirl: by hand-worked cases, and against trying every whirl."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, ufloat

from whirlwise.calc.whirls import choose_whirl


def test_the_best_whirl_and_what_the_others_cost() -> None:
    # By hand: 3 turns/cm at 240 cm/min are 720 flyer turns a minute; at 60 treadles that is a ratio of 12.
    choice = choose_whirl(
        {"large": 6.0, "middle": 10.0, "small": 12.0},
        twist_per_cm_wished=3.0,
        cadence_per_min=60.0,
        drafting_cm_per_min=240.0,
    )
    assert [whirl.label for whirl in choice.ranked] == ["small", "middle", "large"]
    assert [nominal_value(whirl.cadence_per_min) for whirl in choice.ranked] == pytest.approx([60, 72, 120])
    assert [nominal_value(w.cadence_change_percent) for w in choice.ranked] == pytest.approx([0, 20, 100])
    assert [nominal_value(whirl.twist_per_cm) for whirl in choice.ranked] == pytest.approx([3, 2.5, 1.5])
    assert choice.best.label == "small"
    assert choice.rivals == ()


def test_whirls_that_cannot_be_told_apart_are_named() -> None:
    choice = choose_whirl(
        {"one": ufloat(11.8, 0.3), "other": ufloat(12.3, 0.3), "far": ufloat(6.0, 0.1)},
        twist_per_cm_wished=3.0,
        cadence_per_min=60.0,
        drafting_cm_per_min=240.0,
    )
    assert choice.best.label == "one"
    assert choice.rivals == ("other",)


ratios = st.dictionaries(st.text(min_size=1, max_size=5), st.floats(2, 30), min_size=1, max_size=6)


@given(ratios, st.floats(0.5, 20), st.floats(20, 120), st.floats(20, 900))
def test_no_other_whirl_needs_a_smaller_change(
    ratio_of: dict[str, float], wished: float, cadence: float, drafting: float
) -> None:
    choice = choose_whirl(
        ratio_of, twist_per_cm_wished=wished, cadence_per_min=cadence, drafting_cm_per_min=drafting
    )
    wanted = [wished * drafting / ratio for ratio in ratio_of.values()]
    smallest = min(abs(each / cadence - 1) for each in wanted)
    assert abs(nominal_value(choice.best.cadence_change_percent)) == pytest.approx(100 * smallest, abs=1e-9)
    assert {whirl.label for whirl in choice.ranked} == set(ratio_of)


def test_without_whirls_there_is_no_choice() -> None:
    with pytest.raises(ValueError, match="at least one whirl"):
        choose_whirl({}, twist_per_cm_wished=3.0, cadence_per_min=60.0, drafting_cm_per_min=240.0)
