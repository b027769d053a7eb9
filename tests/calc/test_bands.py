"""Band lengths and wraps against worked examples and against a band that is walked round step by step."""

from math import degrees, pi, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull
from uncertainties import nominal_value, std_dev, ufloat

from whirlwise.calc.bands import (
    centre_distance_for_open_band,
    crossed_band_length,
    crossed_contact_angle_rad,
    double_band_length,
    open_band_length,
    open_contact_angle_rad,
    take_up,
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
    # Mechanics of Machine, tutorial 5, question 1: 466 and 150 mm, 2.0 m apart: 5.015 m. Its figure shows a
    # crossed band, its words don't say so; an open one would be 4.980 m.
    assert crossed_band_length(0.466, 0.150, 2.0) == pytest.approx(5.015, abs=5e-4)
    assert open_band_length(0.466, 0.150, 2.0) == pytest.approx(4.9801, abs=5e-5)


def test_an_example_that_goes_wrong_in_its_third_digit() -> None:
    # A school problem page: 105 and 393 mm, 697 mm apart, "2.2 m". It takes arctan where arcsin belongs,
    # which gives 2204.85; the exact length is 2206.11 mm. Both print as 2.2 m.
    exact = open_band_length(393.0, 105.0, 697.0)
    assert exact == pytest.approx(2206.11, abs=0.005)
    assert round(exact / 1000, 1) == 2.2


def short_formula(wheel: float, whirl: float, centre_distance: float, half_pi: float = 1.57) -> float:
    """The usual short formula, 2C + 1.57 (D + d) + (D - d)^2 / 4C."""
    return 2 * centre_distance + half_pi * (wheel + whirl) + (wheel - whirl) ** 2 / (4 * centre_distance)


def test_where_the_short_formula_will_not_do() -> None:
    # The problem set above prints 4981.46, which is the short formula's; the exact length is 0.1 mm more.
    assert short_formula(810, 270, 1620, pi / 2) == pytest.approx(4981.460, abs=5e-4)
    # For a big wheel and a small whirl it is 0.26 % short, 0.23 % with pi/2 for 1.57 (computed).
    exact = open_band_length(560, 40, 450)
    assert 100 * (1 - short_formula(560, 40, 450) / exact) == pytest.approx(0.26, abs=0.005)
    assert 100 * (1 - short_formula(560, 40, 450, pi / 2) / exact) == pytest.approx(0.23, abs=0.005)


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


def walked_double_band(wheel: float, flyer: float, bobbin: float, apart: float, aside: float) -> float:
    """Length of a band twice round, walked point by point; flyer's loop and bobbin's lie `aside` apart."""

    def loop(whirl: float, z_from: float, z_to: float) -> np.ndarray:
        lean = np.arcsin((wheel - whirl) / (2 * apart))
        on_wheel = np.linspace(pi / 2 - lean, 3 * pi / 2 + lean, 40_001)
        on_whirl = np.linspace(-pi / 2 + lean, pi / 2 - lean, 40_001)
        there = np.column_stack([wheel / 2 * np.cos(on_wheel), wheel / 2 * np.sin(on_wheel)])
        back = np.column_stack([apart + whirl / 2 * np.cos(on_whirl), whirl / 2 * np.sin(on_whirl)])
        heights = np.r_[np.full(len(there), z_from), np.full(len(back), z_to)]
        return np.column_stack([np.vstack([there, back]), heights])

    # The wheel's two grooves, the flyer's whirl in the first one's plane, the bobbin's in the second one's:
    # of the four runs two cross over. Each half of a loop may be walked with its own.
    path = np.vstack([loop(flyer, 0.0, 0.0), loop(bobbin, 0.0, aside)])
    steps = np.diff(np.vstack([path, path[:1]]), axis=0)
    return float(np.linalg.norm(steps, axis=1).sum())


def test_double_drive_against_a_band_walked_round() -> None:
    ours = double_band_length(560, 60, 45, 450)
    assert ours == pytest.approx(walked_double_band(560, 60, 45, 450, 0.0), abs=0.01)
    # What the crossing over adds, 10 mm aside, is less than half a millimetre of nearly four metres.
    assert 0 < walked_double_band(560, 60, 45, 450, 10.0) - ours < 0.5


@given(sizes)
def test_a_double_band_of_like_whirls_is_twice_an_open_one(size: tuple[float, float, float]) -> None:
    wheel, whirl, apart = size
    assert double_band_length(wheel, whirl, whirl, apart) == pytest.approx(2 * open_band_length(*size))


@given(sizes)
def test_the_centre_distance_comes_back_from_the_length(size: tuple[float, float, float]) -> None:
    wheel, whirl, apart = size
    assert centre_distance_for_open_band(open_band_length(*size), wheel, whirl) == pytest.approx(apart)


def test_doubt_of_the_centre_distance_against_monte_carlo() -> None:
    found = centre_distance_for_open_band(ufloat(1997.4, 3.0), ufloat(560, 1.0), ufloat(40, 0.3))
    rng = np.random.default_rng(4)
    rows = rng.normal([1997.4, 560, 40], [3.0, 1.0, 0.3], (5_000, 3)).tolist()
    draws = [centre_distance_for_open_band(*row) for row in rows]
    assert nominal_value(found) == pytest.approx(np.mean(draws), abs=0.1)
    assert std_dev(found) == pytest.approx(np.std(draws), rel=0.03)


@given(sizes)
def test_what_the_spindles_travel_takes_up(size: tuple[float, float, float]) -> None:
    wheel, whirl, apart = size
    longer = open_band_length(wheel, whirl, apart + 0.01) - open_band_length(wheel, whirl, apart - 0.01)
    assert take_up(*size) == pytest.approx(longer / 0.02, rel=1e-3)


def test_a_band_too_short_to_go_round() -> None:
    with pytest.raises(ValueError, match=r"^a band of 1500 mm is too short to go round 560 mm and 40 mm$"):
        centre_distance_for_open_band(1500.0, 560.0, 40.0)


@given(sizes, st.floats(0.04, 25.4))
def test_lengths_in_other_units(size: tuple[float, float, float], unit: float) -> None:
    there = open_band_length(*(each / unit for each in size))
    assert there * unit == pytest.approx(open_band_length(*size))
    assert crossed_contact_angle_rad(*(each / unit for each in size)) == pytest.approx(
        crossed_contact_angle_rad(*size)
    )
