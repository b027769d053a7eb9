"""Figures taken by hand, against closed forms, simulation and worked examples."""

from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from whirlwise.calc.hand_figures import (
    diameter_within_string,
    judged_turns,
    pitch_of_band_round,
    pitch_on_bottom,
    pitch_under_calliper,
    stopped_turns,
    whole_turns,
)
from whirlwise.calc.interval import COVERAGE_FACTOR_95, interval_95


def test_the_string_round_the_equator() -> None:
    # The old puzzle: a string round the earth that is lengthened by 1 m stands off by 1/(2 pi) m = 15.9 cm
    # all the way round, whatever the earth's size. A string stands off by half its thickness.
    radius_mm = 6.371e9
    grown = diameter_within_string(2 * pi * radius_mm + 1000, 0.0)
    assert (grown - 2 * radius_mm) / 2 == pytest.approx(159.155, abs=0.001)
    thick = diameter_within_string(2 * pi * radius_mm + 1000, 2 * 159.1549431)
    assert thick == pytest.approx(2 * radius_mm, abs=0.001)


@given(st.floats(10, 1000), st.floats(0.1, 5))
def test_a_string_laid_round_comes_back(diameter_mm: float, string_mm: float) -> None:
    # The middle of a string that touches a circle runs on a circle larger by its thickness.
    length_mm = 2 * pi * (diameter_mm / 2 + string_mm / 2)
    assert diameter_within_string(length_mm, string_mm) == pytest.approx(diameter_mm)
    # Where the band is the string, its middle is the pitch circle itself.
    assert pitch_of_band_round(length_mm) == pytest.approx(diameter_mm + string_mm)
    assert pitch_under_calliper(diameter_mm + 2 * string_mm, string_mm) == pytest.approx(
        diameter_mm + string_mm
    )
    bottom = pitch_on_bottom(diameter_mm, ufloat(string_mm, 1e-9))
    assert nominal_value(bottom) == pytest.approx(diameter_mm + string_mm)


def test_the_doubt_of_a_string_is_divided_by_pi() -> None:
    found = diameter_within_string(ufloat(1412.0, 3.0), ufloat(1.5, 0.5))
    assert nominal_value(found) == pytest.approx(1412 / pi - 1.5)
    assert std_dev(found) == pytest.approx(sqrt((3 / pi) ** 2 + 0.5**2))


def test_whole_turns_hold_those_who_leave_out_and_those_who_round() -> None:
    # Every count that either kind of person could make of a number of turns must admit that number.
    for turns in np.linspace(60, 62, 401):
        for counted in (int(np.floor(turns)), round(float(turns))):
            told = interval_95(whole_turns(counted))
            assert told.low - 0.1 <= turns <= told.high + 0.1


def test_a_rectangular_distribution() -> None:
    # JCGM 100:2008, 4.3.7: half-width a gives a variance of a^2 / 3.
    assert whole_turns(100).s == pytest.approx(0.75 / sqrt(3))
    drawn = np.random.default_rng(3).uniform(99.5, 101, 200_000)
    assert whole_turns(100).n == pytest.approx(drawn.mean(), abs=0.005)
    assert whole_turns(100).s == pytest.approx(drawn.std(), abs=0.005)


def test_turns_judged_by_eye_beat_whole_ones() -> None:
    assert judged_turns(109.5).s < whole_turns(109).s / 4
    assert COVERAGE_FACTOR_95 * judged_turns(109.5).s == pytest.approx(1 / 8)
    # Twice as many turns halve the doubt of the ratio.
    few, many = whole_turns(109) / stopped_turns(10), whole_turns(219) / stopped_turns(20)
    assert few.s / few.n == pytest.approx(2 * many.s / many.n, rel=0.01)
