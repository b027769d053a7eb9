"""Slip: closed forms, a course with known steps, and what a figure means."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from whirlwise.calc.interval import Interval
from whirlwise.calc.parts import Drive
from whirlwise.calc.slip import (
    BY_HAND_SLIP,
    MOST_STRETCHES,
    SlipMeaning,
    slip_between,
    slip_course,
    slip_meaning,
    slip_through_turn,
)


@given(st.floats(3, 30), st.floats(0, 40))
def test_slip_turns_the_handbook_formula_round(ratio: float, slip: float) -> None:
    """(D + t) / (d + t) x (1 - s): Khurmi, A Textbook of Engineering Mechanics, chapter on belts."""
    assert nominal_value(slip_between(ratio * (1 - slip / 100), ratio)) == pytest.approx(slip, abs=1e-9)


def test_doubt_of_both_ratios_and_of_the_turning_by_hand() -> None:
    """First order by hand: u(s) = 100 (1 - s) x root of the sum of the squared relative doubts."""
    slip = slip_between(ufloat(10.9, 0.002), ufloat(11.0, 0.004))
    relative = np.sqrt((0.002 / 10.9) ** 2 + (0.004 / 11.0) ** 2 + BY_HAND_SLIP**2)
    assert std_dev(slip) == pytest.approx(100 * 10.9 / 11.0 * relative, rel=1e-9)


def test_course_of_a_slip_that_grows_in_the_second_half() -> None:
    wheel = np.linspace(0, 16, 1601)
    flyer = 10.0 * np.where(wheel < 8, 0.99 * wheel, 0.99 * 8 + 0.97 * (wheel - 8))
    course = slip_course((0.8 * wheel).tolist(), wheel.tolist(), flyer.tolist(), ufloat(10.0, 0.02), 0.02)
    assert len(course) == MOST_STRETCHES
    assert [nominal_value(each.slip_percent) for each in course] == pytest.approx([1.0] * 4 + [3.0] * 4)
    # A doubt of 0.02 turns over the 20 of each stretch is 0.1 %, and one of 0.02 of 10 is 0.2 % of what is
    # left of the ratio; the second cancels between two stretches that slip alike.
    expected = [np.hypot(0.1, 0.2 * (1 - slip / 100)) for slip in [1.0] * 4 + [3.0] * 4]
    assert [std_dev(each.slip_percent) for each in course] == pytest.approx(expected)
    assert std_dev(course[1].slip_percent - course[0].slip_percent) == pytest.approx(0.1 * np.sqrt(2))
    assert [course[0].from_s, course[-1].to_s] == pytest.approx([0.0, 12.8])
    assert all(one.to_s == other.from_s for one, other in pairwise(course))


@pytest.mark.parametrize(("turns", "stretches"), [(3.9, 0), (4.0, 2), (7.0, 3), (100.0, MOST_STRETCHES)])
def test_stretches_are_two_turns_long_or_longer(turns: float, stretches: int) -> None:
    wheel = np.linspace(0, turns, 2001)
    assert len(slip_course(wheel.tolist(), wheel.tolist(), (9 * wheel).tolist(), 9.0, 0.01)) == stretches


@pytest.mark.parametrize(
    ("slip", "drive", "meaning"),
    [
        (Interval(0.05, -0.1, 0.2), "flyer-led", SlipMeaning.NONE),
        (Interval(1.2, 1.1, 1.3), "flyer-led", SlipMeaning.USUAL),
        (Interval(5.0, 4.8, 5.2), "flyer-led", SlipMeaning.MUCH),
        (Interval(25.0, 24.0, 26.0), "flyer-led", SlipMeaning.MUCH),
        (Interval(25.0, 24.0, 26.0), "double", SlipMeaning.HELD_BACK),
        (Interval(1.2, 1.1, 1.3), "double", SlipMeaning.GRIPS),
        (Interval(60.0, 59.0, 61.0), "double", SlipMeaning.MUCH),
        (Interval(25.0, 24.0, 26.0), "bobbin-led", SlipMeaning.LAG),
        (Interval(-1.0, -1.2, -0.8), "double", SlipMeaning.FASTER),
    ],
)
def test_what_a_slip_means(slip: Interval, drive: Drive, meaning: SlipMeaning) -> None:
    assert slip_meaning(slip, drive) is meaning


def test_slip_through_the_turn_is_what_the_flyer_lacks_in_each_part() -> None:
    """Against the flyer's way over a short bit of the turn, counted out."""
    sway = (0.05, -0.12, 0.03, 0.08)

    def flyer_turns(angle: float) -> float:
        waves = (np.cos(angle), np.sin(angle), np.cos(2 * angle), np.sin(2 * angle))
        return float((9.87 * angle + np.dot(sway, waves)) / (2 * np.pi))

    places = slip_through_turn(sway, 9.87, 10.0)
    for place in places:
        at, bit = np.radians(place.at_deg), 1e-4
        ratio = (flyer_turns(at + bit) - flyer_turns(at - bit)) / (2 * bit / (2 * np.pi))
        assert place.slip_percent == pytest.approx(100 * (1 - ratio / 10.0), abs=1e-5)
    # Over the whole turn it is the slip of both ratios.
    assert np.mean([place.slip_percent for place in places]) == pytest.approx(1.3)
    assert slip_through_turn((), 9.87, 10.0) == ()


@pytest.mark.parametrize(
    ("percent", "meaning"),
    [
        # Creep of belts: 0.5 to 1 % (ISO 5292, through a drive maker's glossary); of leather below 1 % (Bird,
        # in Collins, Shafting, Pulleys, Belting and Rope Transmission).
        (0.5, SlipMeaning.USUAL),
        (1.0, SlipMeaning.USUAL),
        # The most that examples in textbooks take (Khurmi: 2, 2.5, 3, 4 %): a wheel that slips so slips much.
        (4.0, SlipMeaning.MUCH),
    ],
)
def test_what_is_usual_beside_published_slips(percent: float, meaning: SlipMeaning) -> None:
    assert slip_meaning(Interval(percent, percent - 0.1, percent + 0.1)) == meaning
