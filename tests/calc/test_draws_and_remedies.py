"""Counting by the draw, and what a whirl that does not suit costs."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from whirlwise.calc.draws import (
    drafting_of_draws_cm_per_min,
    draw_for_treadles_cm,
    ratio_for_draw,
    treadles_for_draw,
    twist_of_draw_per_cm,
)
from whirlwise.calc.remedies import Remedy, pace, remedies, wanted_ratio
from whirlwise.calc.twist import per_inch, twist_per_cm
from whirlwise.calc.whirls import choose_whirl

numbers = st.floats(0.5, 200)


@pytest.mark.parametrize(
    ("ratio", "treadles", "draw_in", "printed_per_in"), [(14, 2, 2, 14), (10, 2, 2, 10), (14, 2, 3, 9)]
)
def test_a_spinner_s_own_count(ratio: float, treadles: float, draw_in: float, printed_per_in: float) -> None:
    # A hand spinner's weblog of July 2015 on socks: 14:1, two treadles for 2 inches, "14"; at 10:1 "10"; with
    # 3 inches "about 9" (9.33).
    found = per_inch(twist_of_draw_per_cm(float(ratio), float(treadles), draw_in * 2.54))
    assert found == pytest.approx(printed_per_in, abs=0.4 if draw_in == 3 else 1e-9)


@given(numbers, numbers, numbers)
def test_the_fourth_number_comes_back(ratio: float, treadles: float, draw: float) -> None:
    twist = twist_of_draw_per_cm(ratio, treadles, draw)
    assert treadles_for_draw(twist, ratio, draw) == pytest.approx(treadles)
    assert draw_for_treadles_cm(twist, ratio, treadles) == pytest.approx(draw)
    assert ratio_for_draw(twist, treadles, draw) == pytest.approx(ratio)


@given(numbers, numbers, numbers, st.floats(20, 120))
def test_counting_and_the_clock_give_one_twist(
    ratio: float, treadles: float, draw: float, cadence: float
) -> None:
    drafting = drafting_of_draws_cm_per_min(draw, treadles, cadence)
    by_clock = twist_per_cm(ratio, cadence, drafting)
    assert by_clock == pytest.approx(twist_of_draw_per_cm(ratio, treadles, draw))


def remedies_of(wished: float = 3.0) -> tuple[Remedy, ...]:
    kept = {"cadence_per_min": 60.0, "drafting_cm_per_min": 240.0}
    choice = choose_whirl({"large": 6.0, "middle": 10.0, "small": 12.0}, twist_per_cm_wished=wished, **kept)
    return remedies(choice.ranked, twist_per_cm_wished=wished, **kept)


def test_costs_by_hand() -> None:
    small, middle, large = remedies_of()
    assert [each.fits for each in (small, middle, large)] == [True, False, False]
    # 10 x 60 turns a minute over 3 turns/cm are 200 cm a minute: 40 cm a minute, 24 m an hour less than 144.
    assert middle.drafting_cm_per_min == pytest.approx(200)
    assert middle.lost_m_per_hour == pytest.approx(24)
    assert middle.whirl.cadence_per_min == pytest.approx(72)
    assert middle.treadles_per_m == pytest.approx(30)
    assert large.lost_m_per_hour == pytest.approx(72)
    assert wanted_ratio(
        twist_per_cm_wished=3.0, cadence_per_min=60.0, drafting_cm_per_min=240.0
    ) == pytest.approx(12)


def test_too_much_twist_makes_more_yarn() -> None:
    found = {each.whirl.label: each for each in remedies_of(1.5)}
    assert found["small"].lost_m_per_hour == pytest.approx(-144)
    assert found["large"].fits


@given(st.floats(2, 25), st.floats(0.5, 10), st.floats(30, 110), st.floats(30, 900))
def test_either_remedy_gives_the_wished_twist(
    ratio: float, wished: float, cadence: float, drafting: float
) -> None:
    kept = {"cadence_per_min": cadence, "drafting_cm_per_min": drafting}
    choice = choose_whirl({"one": ratio}, twist_per_cm_wished=wished, **kept)
    (remedy,) = remedies(choice.ranked, twist_per_cm_wished=wished, **kept)
    assert twist_per_cm(ratio, remedy.whirl.cadence_per_min, drafting) == pytest.approx(wished)
    assert twist_per_cm(ratio, cadence, remedy.drafting_cm_per_min) == pytest.approx(wished)
    # Both ways the wheel turns as often for a metre: drafting slower saves no treadling.
    per_m = 100 * remedy.whirl.cadence_per_min / drafting
    assert per_m == pytest.approx(remedy.treadles_per_m)
    assert 100 * cadence / remedy.drafting_cm_per_min == pytest.approx(remedy.treadles_per_m)
    # With the whirl that is wanted, nothing is lost.
    best = pace(
        "wanted",
        wanted_ratio(twist_per_cm_wished=wished, **kept),
        twist_per_cm=wished,
        cadence_per_min=cadence,
    )
    assert best.drafting_cm_per_min == pytest.approx(drafting)


def test_pace_by_hand() -> None:
    # 12 x 65 are 780 turns a minute; at 3 turns/cm 260 cm a minute, 156 m an hour, 4 cm a treadle.
    found = pace("small", 12.0, twist_per_cm=3.0, cadence_per_min=65.0)
    assert (found.flyer_per_min, found.drafted_cm_per_treadle) == (780, 4)
    assert found.drafting_cm_per_min == pytest.approx(260)
    assert found.m_per_hour == pytest.approx(156)


@given(st.floats(0.01, 0.5), st.floats(0, 0.5))
def test_more_doubt_never_rules_a_whirl_out(doubt: float, more: float) -> None:
    def fits(u: float) -> bool:
        kept = {"cadence_per_min": 60.0, "drafting_cm_per_min": 240.0}
        choice = choose_whirl({"one": ufloat(11.5, u)}, twist_per_cm_wished=3.0, **kept)
        return remedies(choice.ranked, twist_per_cm_wished=3.0, **kept)[0].fits

    assert fits(doubt + more) or not fits(doubt)


def test_a_range_wished_fits_more_whirls() -> None:
    kept = {"cadence_per_min": 60.0, "drafting_cm_per_min": 240.0}
    wish = ufloat(3.0, 0.3)
    choice = choose_whirl({"middle": 10.0}, twist_per_cm_wished=wish, **kept)
    (found,) = remedies(choice.ranked, twist_per_cm_wished=wish, **kept)
    assert found.fits
    assert not remedies(choice.ranked, twist_per_cm_wished=3.0, **kept)[0].fits
