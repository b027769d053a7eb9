"""Grip: Euler-Eytelwein from published examples, walked round in small steps, and which part slips first."""

from math import exp, pi, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from whirlwise.calc.bands import tension_ratio
from whirlwise.calc.cord import BandPath
from whirlwise.calc.grip import grips, slips_first

WHEEL_AND_WHIRL = BandPath("open", 560.0, 450.0, {"whirl": 40.0})


def test_grip_on_a_small_whirl() -> None:
    # Computed: 560, 40 and 450 mm wrap 109.4112 degrees of the whirl, which with friction 0.3 holds 1.7734
    # times the slack run's tension; the wheel has the rest of two turns' halves, 250.5888 degrees.
    wheel, whirl = grips(WHEEL_AND_WHIRL, 0.3)
    assert nominal_value(whirl.contact_deg) == pytest.approx(109.4112, abs=6e-5)
    assert nominal_value(whirl.tension_ratio) == pytest.approx(1.7734, abs=5e-5)
    assert nominal_value(wheel.contact_deg) == pytest.approx(250.5888, abs=6e-5)
    # (1.7734 - 1) / (1.7734 + 1) of both tensions, at 20 mm.
    assert nominal_value(whirl.pull_share) == pytest.approx(0.7734 / 2.7734, abs=2e-5)
    assert nominal_value(whirl.holds_mm) == pytest.approx(20 * 0.7734 / 2.7734, abs=4e-4)


def test_turns_round_a_post() -> None:
    # Beer and Johnston, Vector Mechanics, problem 8.104: 80 lb hold 5000 lb with two turns: friction 0.329;
    # and 20 000 lb with 2.67 turns. One page rounds that up to 3 turns: whole turns, where the book asks
    # for the number.
    friction = np.log(5000 / 80) / (2 * 2 * pi)
    assert friction == pytest.approx(0.329, abs=5e-4)
    turns = np.log(20_000 / 80) / friction / (2 * pi)
    assert turns == pytest.approx(2.67, abs=5e-3)
    assert tension_ratio(friction, turns * 2 * pi) == pytest.approx(20_000 / 80)


@given(st.floats(0.05, 0.6), st.floats(0.5, 6))
def test_small_steps_round_the_contact(friction: float, angle: float) -> None:
    """dT = friction T d(angle), added up a little at a time, is what the law sums up."""
    steps = 20_000
    walked = (1 + friction * angle / steps / 2) ** steps / (1 - friction * angle / steps / 2) ** steps
    assert tension_ratio(friction, angle) == pytest.approx(walked, rel=1e-6)


@given(st.floats(0.05, 0.6), st.floats(300, 800), st.floats(20, 120), st.floats(500, 900))
def test_the_share_is_the_difference_over_the_sum(
    friction: float, wheel: float, whirl: float, apart: float
) -> None:
    for grip in grips(BandPath("open", wheel, apart, {"whirl": whirl}), friction):
        ratio = exp(friction * radians(float(nominal_value(grip.contact_deg))))
        assert nominal_value(grip.pull_share) == pytest.approx((ratio - 1) / (ratio + 1))


def test_an_open_band_slips_on_the_whirl_first() -> None:
    found = slips_first(grips(WHEEL_AND_WHIRL, ufloat(0.3, 0.05)), by="pull")
    # Friction is unknown to a third, but alike on both: the order is beyond doubt.
    assert (found.label, found.rivals) == ("whirl", ())


def test_a_crossed_band_may_slip_on_either() -> None:
    found = slips_first(grips(BandPath("crossed", 560.0, 450.0, {"whirl": 40.0}), 0.3), by="pull")
    assert {found.label, *found.rivals} == {"wheel", "whirl"}


def test_a_wedged_whirl_grips_better_than_the_wheel() -> None:
    # By hand: friction 0.3 x 2 over 109.4 degrees is more than 0.3 over 250.6.
    wedged = grips(WHEEL_AND_WHIRL, 0.3, {"whirl": 2.3})
    assert slips_first(wedged, by="pull").label == "wheel"
    assert 2.3 * 109.4112 > 250.5888 > 2.2 * 109.4112


def test_in_double_drive_the_smaller_whirl_slips_first() -> None:
    path = BandPath("double", 560.0, 450.0, {"flyer": 60.0, "bobbin": 46.0})
    wheel, flyer, bobbin = grips(path, ufloat(0.3, 0.05))
    assert slips_first((flyer, bobbin), by="torque").label == "bobbin"
    assert nominal_value(bobbin.contact_deg) < nominal_value(flyer.contact_deg)
    assert wheel.label == "wheel"


def test_what_doubt_cannot_tell_apart_is_named() -> None:
    path = BandPath("double", 560.0, 450.0, {"flyer": ufloat(50, 1.0), "bobbin": ufloat(50.5, 1.0)})
    _, *whirls = grips(path, 0.3)
    found = slips_first(whirls, by="torque")
    assert (found.label, found.rivals) == ("flyer", ("bobbin",))


def test_doubt_of_the_grip_against_monte_carlo() -> None:
    path = BandPath("open", ufloat(556, 1.5), ufloat(430, 2.0), {"w": ufloat(44, 0.3)})
    _, whirl = grips(path, ufloat(0.3, 0.02))
    rng = np.random.default_rng(11)
    wheel, apart, small, friction = rng.normal([556, 430, 44, 0.3], [1.5, 2.0, 0.3, 0.02], (300_000, 4)).T
    angle = pi - 2 * np.arcsin((wheel - small) / (2 * apart))
    assert std_dev(whirl.contact_deg) == pytest.approx(np.degrees(angle).std(), rel=0.02)
    assert std_dev(whirl.tension_ratio) == pytest.approx(np.exp(friction * angle).std(), rel=0.03)
    shares = np.tanh(friction * angle / 2)
    assert std_dev(whirl.pull_share) == pytest.approx(shares.std(), rel=0.03)


@given(st.floats(0.001, 0.05), st.floats(1, 3))
def test_more_doubt_of_friction_never_narrows(doubt: float, more: float) -> None:
    narrow, wide = (grips(WHEEL_AND_WHIRL, ufloat(0.3, each))[1] for each in (doubt, doubt * more))
    assert std_dev(wide.pull_share) >= std_dev(narrow.pull_share) * (1 - 1e-12)


@given(st.floats(0.04, 25.4))
def test_units_do_not_change_the_grip(unit: float) -> None:
    there = grips(BandPath("open", 560.0 / unit, 450.0 / unit, {"whirl": 40.0 / unit}), 0.3)[1]
    here = grips(WHEEL_AND_WHIRL, 0.3)[1]
    assert nominal_value(there.pull_share) == pytest.approx(nominal_value(here.pull_share))
    assert nominal_value(there.holds_mm) * unit == pytest.approx(nominal_value(here.holds_mm))
