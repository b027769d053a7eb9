"""Twist against examination papers and textbooks, round trips, and a helix that is built point by point."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from whirlwise.calc.ratios import driven_speed
from whirlwise.calc.twist import (
    Turning,
    cadence_for_twist,
    drafting_for_twist,
    per_cm,
    per_inch,
    ratio_for_twist,
    twist_direction,
    twist_multiplier,
    twist_per_cm,
)

numbers = st.floats(0.1, 500)


def test_multiplier_from_speeds() -> None:
    # GATE 2000, question 5: 25s cotton, 15 m/min, 15 000 r/min: 1000 turns/m, 25.40 turns/inch, 5.08.
    per_metre = 100 * twist_per_cm(1.0, 15_000.0, 1500.0)
    assert per_metre == pytest.approx(1000)
    assert per_inch(per_metre / 100) == pytest.approx(25.40, abs=0.005)
    assert twist_multiplier(per_inch(per_metre / 100), 25.0) == pytest.approx(5.08, abs=5e-4)


def test_twist_from_a_rolling_ratio() -> None:
    # GATE 2005, question 49: a drum of 44 mm at 5000 r/min rolls a yarn of 0.22 mm at 250 m/min and is 20 %
    # efficient (it slips by 80 %): 800 turns/m.
    yarn_per_min = driven_speed(5000.0, 44 / 0.22, slip_percent=80.0)
    assert 100 * twist_per_cm(1.0, yarn_per_min, 25_000.0) == pytest.approx(800)


@pytest.mark.parametrize(
    ("multiplier", "count", "printed_per_inch"), [(4.5, 20, 20.12), (4.2, 40, 26.56), (4.5, 36, 27.0)]
)
def test_multiplier_from_counts(multiplier: float, count: float, printed_per_inch: float) -> None:
    # Textile engineering tutorial pages: turns per inch = multiplier x sqrt(Ne).
    assert twist_multiplier(printed_per_inch, count) == pytest.approx(multiplier, abs=0.002)


def test_spindle_speed_over_delivery() -> None:
    # The same pages: 9000 r/min, a roller of 3.25 inch circumference at 203 r/min: 13.64 turns/inch.
    delivery_cm_per_min = 203 * 3.25 * 2.54
    assert per_inch(twist_per_cm(1.0, 9000.0, delivery_cm_per_min)) == pytest.approx(13.64, abs=0.005)


@given(numbers, numbers, numbers)
def test_the_fourth_number_comes_back(ratio: float, cadence: float, drafting: float) -> None:
    twist = twist_per_cm(ratio, cadence, drafting)
    assert cadence_for_twist(twist, ratio, drafting) == pytest.approx(cadence)
    assert drafting_for_twist(twist, ratio, cadence) == pytest.approx(drafting)
    assert ratio_for_twist(twist, cadence, drafting) == pytest.approx(ratio)


@given(numbers)
def test_inches_and_centimetres(twist: float) -> None:
    assert per_cm(per_inch(twist)) == pytest.approx(twist)


def test_uncertainty_is_carried_through() -> None:
    # Relative uncertainties of a product of independent numbers add in squares (JCGM 100:2008, 5.1.6).
    twist = twist_per_cm(ufloat(12.5, 0.125), ufloat(60, 1.2), ufloat(250, 10))
    assert std_dev(twist) / nominal_value(twist) == pytest.approx(np.sqrt(0.01**2 + 0.02**2 + 0.04**2))


def helix_rises_to_the_right(turn_rad: float) -> bool:
    """Tell whether a mark along a yarn, held at one end, slopes like the middle stroke of a Z once twisted.

    ISO 2 (wording from memory): a yarn has Z twist if, held vertically, the spirals on its front slope in
    the direction of the middle part of the letter Z. The yarn stands upright, the orifice below at height 0,
    the fibre hand above at height 1; `turn_rad` is how far the orifice has turned, positive anticlockwise as
    seen from the hand above.
    """
    height = np.linspace(0, 1, 11)
    angle_rad = -np.pi / 2 + turn_rad * (1 - height)
    to_the_right = np.cos(angle_rad)  # the viewer stands at -y with x to the right
    return bool(to_the_right[-1] > to_the_right[0])


@pytest.mark.parametrize(("turning", "small_turn_rad"), [("clockwise", -0.5), ("anticlockwise", 0.5)])
def test_direction_of_twist_by_its_definition(turning: Turning, small_turn_rad: float) -> None:
    expected = "Z" if helix_rises_to_the_right(small_turn_rad) else "S"
    assert twist_direction(turning) == expected
    assert twist_direction(turning, seen_from_orifice=False) != expected
