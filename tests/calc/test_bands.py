"""Band lengths and wraps against worked examples and against a band that is walked round step by step."""

from math import degrees, pi, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull
from uncertainties import nominal_value, std_dev, ufloat

from whirlwise.calc.bands import (
    crossed_band_length,
    crossed_contact_angle_rad,
    open_band_length,
    open_contact_angle_rad,
    tension_ratio,
)


@pytest.mark.parametrize(
    ("wheel", "whirl", "centre_distance", "open_length", "wrap_deg", "crossed_length"),
    [
        # Computed with the exact formula; a published worked example rounds the first to 63.87.
        (10, 5, 20, 63.87485, 165.6385, 66.40889),
        (24, 8, 96, 242.93254, 170.4396, 244.93837),
        (560, 40, 450, 1997.37427, 109.4112, 2051.13478),
    ],
)
def test_exact_geometry(
    wheel: float,
    whirl: float,
    centre_distance: float,
    open_length: float,
    wrap_deg: float,
    crossed_length: float,
) -> None:
    assert open_band_length(wheel, whirl, centre_distance) == pytest.approx(open_length, abs=6e-6)
    assert crossed_band_length(wheel, whirl, centre_distance) == pytest.approx(crossed_length, abs=6e-6)
    assert degrees(open_contact_angle_rad(wheel, whirl, centre_distance)[1]) == pytest.approx(
        wrap_deg, abs=6e-5
    )


@pytest.mark.parametrize(
    ("wheel", "whirl", "centre_distance", "printed", "half_digit", "wrap_deg"),
    [
        # A mechanics course's question, two copies: 27.32 m.
        (1.6, 0.5, 12.0, 27.32, 0.005, 174.746),
        # Belt-drive problem set: it prints 4981.46 by the short formula; exact arithmetic gives 4981.565.
        (810.0, 270.0, 1620.0, 4981.565, 0.0005, 160.812),
    ],
)
def test_open_band_examples(
    wheel: float, whirl: float, centre_distance: float, printed: float, half_digit: float, wrap_deg: float
) -> None:
    assert open_band_length(wheel, whirl, centre_distance) == pytest.approx(printed, abs=half_digit)
    assert degrees(open_contact_angle_rad(wheel, whirl, centre_distance)[1]) == pytest.approx(
        wrap_deg, abs=5e-4
    )


def test_crossed_band_example() -> None:
    # Mechanics of Machine, tutorial 5, question 1: 466 and 150 mm, 2.0 m apart: 5.015 m.
    assert crossed_band_length(0.466, 0.150, 2.0) == pytest.approx(5.015, abs=5e-4)


def test_grip() -> None:
    # Examination question: 50 N, friction 0.2, 5 pi/3 of wrap on each of two posts: 406 N.
    assert 50 * tension_ratio(0.2, 2 * 5 * pi / 3) == pytest.approx(406, abs=0.5)
    # Beer and Johnston, Vector Mechanics, problem 8.104: 80 lb holds 5000 lb with 2 turns at 0.329 ...
    assert tension_ratio(0.32907, 2 * 2 * pi) == pytest.approx(5000 / 80, rel=1e-4)
    # ... and 20 000 lb with 2.67 turns.
    assert tension_ratio(0.32907, 2.6705 * 2 * pi) == pytest.approx(20_000 / 80, rel=1e-4)
    # Computed for friction 0.3, a wrap of 109.4112 and of 180 degrees.
    assert tension_ratio(0.3, radians(109.4112)) == pytest.approx(1.7734, abs=5e-5)
    assert tension_ratio(0.3, pi) == pytest.approx(2.5663, abs=5e-5)


sizes = st.tuples(st.floats(100, 900), st.floats(10, 99), st.floats(520, 1500))


@given(sizes)
def test_open_band_is_the_hull_of_two_circles(size: tuple[float, float, float]) -> None:
    wheel, whirl, centre_distance = size
    turn_rad = np.linspace(0, 2 * pi, 4001)
    circle = np.column_stack([np.cos(turn_rad), np.sin(turn_rad)])
    points = np.vstack([circle * wheel / 2, circle * whirl / 2 + [centre_distance, 0]])
    # SciPy's hull in the plane: its "area" is the outline's length. The polygon falls short of the circles by
    # (step^2) / 24, about 1e-7.
    assert open_band_length(wheel, whirl, centre_distance) == pytest.approx(ConvexHull(points).area, rel=2e-6)


@given(st.floats(10, 900), st.floats(1000, 2000))
def test_equal_circles(diameter: float, centre_distance: float) -> None:
    expected = 2 * centre_distance + pi * diameter
    assert open_band_length(diameter, diameter, centre_distance) == pytest.approx(expected)


@given(sizes)
def test_wraps_of_an_open_band_make_a_whole_turn(size: tuple[float, float, float]) -> None:
    assert sum(open_contact_angle_rad(*size)) == pytest.approx(2 * pi)
    assert open_contact_angle_rad(*size)[1] < pi < crossed_contact_angle_rad(*size)


@given(sizes)
def test_a_crossed_band_is_longer(size: tuple[float, float, float]) -> None:
    assert crossed_band_length(*size) > open_band_length(*size)


def test_uncertainty_of_the_length_against_monte_carlo() -> None:
    # JCGM 101 propagation of distributions.
    length = open_band_length(ufloat(560, 1.0), ufloat(40, 0.3), ufloat(450, 2.0))
    rng = np.random.default_rng(3)
    draws = [
        open_band_length(*row) for row in rng.normal([560, 40, 450], [1.0, 0.3, 2.0], (20_000, 3)).tolist()
    ]
    assert nominal_value(length) == pytest.approx(np.mean(draws), abs=0.2)
    assert std_dev(length) == pytest.approx(np.std(draws), rel=0.03)


def test_circles_that_would_overlap_are_refused() -> None:
    with pytest.raises(
        ValueError,
        match=r"^a centre distance of 250 mm is too short for these diameters: it must be above 260 mm$",
    ):
        open_band_length(560, 40, 250)
    with pytest.raises(ValueError, match="it must be above 300 mm"):
        crossed_band_length(560, 40, 290)
