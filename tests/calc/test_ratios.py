"""Ratios, speeds and slip against textbook examples, round trips and Monte Carlo."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import correlated_values, ufloat

from whirlwise.calc.interval import interval_95
from whirlwise.calc.ratios import (
    band_speed,
    drive_ratio,
    drive_ratio_from_share,
    driven_diameter,
    driven_speed,
    pitch_diameter,
    slip_percent,
)

diameters_mm = st.floats(10, 2000)
slips_percent = st.floats(0, 40)


def speed_of(driving: float, driven: float, band: float, speed_per_min: float, slip: float = 0.0) -> float:
    ratio = drive_ratio(pitch_diameter(driving, band), pitch_diameter(driven, band))
    return float(driven_speed(speed_per_min, ratio, slip))


def test_belt_speed_and_pulley_with_thickness_and_slip() -> None:
    # Mechanics of Machine, tutorial 5, question 1: 150 mm at 950 r/min to 300 r/min, t 5 mm, slip 4 %.
    assert band_speed(150.0, 950.0) == pytest.approx(7.461, abs=5e-4)
    assert driven_diameter(150.0, 300 / 950, 5.0, 4.0) == pytest.approx(466, abs=0.5)


def test_compound_drive_with_slip() -> None:
    # Khurmi, Theory of Machines, example 11.1: 750 -> 450, 900 -> 150 mm at 150 r/min, 2 % slip each.
    # The book prints 1440 after rounding 9.604 to 9.6; exact arithmetic gives 1440.6.
    second = 750 / 450 * 150
    assert speed_of(900, 150, 0, second) == pytest.approx(1500)
    slipped = speed_of(750, 450, 0, 150, 2)
    assert speed_of(900, 150, 0, slipped, 2) == pytest.approx(1440.6)


def test_compound_drive_with_slip_again() -> None:
    # A published question with answers 2000 and 1901.25 r/min: 200 r/min, 80 -> 40, 100 -> 20 cm, 2.5 % each.
    assert speed_of(100, 20, 0, speed_of(80, 40, 0, 200)) == pytest.approx(2000)
    assert speed_of(100, 20, 0, speed_of(80, 40, 0, 200, 2.5), 2.5) == pytest.approx(1901.25)


def test_driven_diameter() -> None:
    # Khurmi, A Textbook of Engineering Mechanics, example 33.1: 300 mm at 240 r/min, 620 wanted -> 116.1 mm.
    assert driven_diameter(300.0, 620 / 240) == pytest.approx(116.1, abs=0.05)


def test_speed_with_band_thickness() -> None:
    # Belts chapter, examples 11.1 and 11.2 (FOSSEE textbook companion): 51 -> 30 cm at 200 r/min, t 1 cm.
    assert speed_of(51, 30, 0, 200) == pytest.approx(340.0, abs=0.05)
    assert speed_of(51, 30, 1, 200) == pytest.approx(335.48, abs=0.005)


def test_pulley_with_thickness_then_slip() -> None:
    # The same, example 11.3: 60 cm, 200 -> 300 r/min, t 0.5 cm, 4 % -> 40.0, 39.83, 38.22 cm.
    ratio = 300 / 200
    found = [
        driven_diameter(60.0, ratio),
        driven_diameter(60.0, ratio, 0.5),
        driven_diameter(60.0, ratio, 0.5, 4.0),
    ]
    assert found == pytest.approx([40.0, 39.83, 38.22], abs=0.005)


def test_thickness_and_slip_together() -> None:
    # Khurmi, Engineering Mechanics, example 33.3: 2 m -> 1 m at 120 r/min, t 5 mm, 3 %; formula read, figures
    # computed by hand: 120 x 2.005 / 1.005 = 239.40, x 0.97 = 232.22.
    assert speed_of(2000, 1000, 5, 120) == pytest.approx(239.40, abs=0.005)
    assert speed_of(2000, 1000, 5, 120, 3) == pytest.approx(232.22, abs=0.005)


def test_slip_is_the_share_that_is_lost() -> None:
    assert slip_percent(12.25, 12.5) == pytest.approx(2.0)


@given(slips_percent, st.floats(2, 30))
def test_slip_comes_back_from_the_speed(slip: float, ratio: float) -> None:
    measured = driven_speed(60.0, ratio, slip) / 60.0
    assert slip_percent(measured, ratio) == pytest.approx(slip, abs=1e-9)


@given(diameters_mm, st.floats(0.3, 30), st.floats(0, 5), slips_percent)
def test_driven_diameter_gives_the_ratio_back(driving: float, ratio: float, band: float, slip: float) -> None:
    driven = driven_diameter(driving, ratio, band, slip)
    assert speed_of(driving, float(driven), band, 1.0, slip) == pytest.approx(ratio, rel=1e-9)


@given(diameters_mm, diameters_mm)
def test_share_and_diameters_give_the_same_ratio(wheel: float, whirl: float) -> None:
    assert drive_ratio_from_share(whirl / wheel) == pytest.approx(drive_ratio(wheel, whirl))


def test_ratio_of_correlated_diameters_against_monte_carlo() -> None:
    # Two diameters from one picture, the scale known to 1 %, each edge to 0.3 mm: JCGM 101 propagation of
    # distributions against our first order.
    scale_mm2 = np.outer([560, 40], [560, 40]) * 0.01**2
    covariance_mm2 = scale_mm2 + np.diag([0.3**2, 0.3**2])
    wheel, whirl = correlated_values([560, 40], covariance_mm2)
    ours = interval_95(drive_ratio(wheel, whirl))

    rng = np.random.default_rng(7)
    draws = rng.multivariate_normal([560, 40], covariance_mm2, 400_000)
    ratios = draws[:, 0] / draws[:, 1]
    assert ours.low == pytest.approx(np.quantile(ratios, 0.025), rel=3e-4)
    assert ours.high == pytest.approx(np.quantile(ratios, 0.975), rel=3e-4)
    # Taken as independent the same two diameters would give an interval twice as wide.
    apart = interval_95(drive_ratio(ufloat(560, wheel.s), ufloat(40, whirl.s)))
    assert apart.half_width > 2 * ours.half_width
