"""Misfit of a rectangle's shape against SciPy's Procrustes analysis and plain trigonometry."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import procrustes

from whirlwise.vision.geometry.camera import Points
from whirlwise.vision.geometry.rectangle import shape_misfit

#: ISO/IEC 7810, ID-1; ISO 216, A4; a square marker.
SHAPES = [(85.60, 53.98), (297.0, 210.0), (60.0, 60.0)]

sides_mm = st.floats(20.0, 300.0)
#: Up to a tenth of the shortest side, so that four corners never fall together.
shifts_mm = st.lists(st.floats(-2.0, 2.0), min_size=8, max_size=8)


def rectangle(width: float, height: float) -> Points:
    """Corners in order, the first side being ``width`` long."""
    return 0.5 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * [width, height]


def moved(corners: Points, turn_rad: float, factor: float, shift: tuple[float, float]) -> Points:
    cosine, sine = np.cos(turn_rad), np.sin(turn_rad)
    return np.asarray(factor * corners @ np.array([[cosine, sine], [-sine, cosine]]) + shift)


@given(sides_mm, sides_mm, shifts_mm)
def test_misfit_is_the_root_of_scipys_disparity(width: float, height: float, shifts: list[float]) -> None:
    """``scipy.spatial.procrustes``: turned, moved, enlarged and mirrored freely, norms made 1."""
    corners = rectangle(width, height) + np.reshape(shifts, (4, 2))
    _, _, disparity = procrustes(corners, rectangle(width, height))
    # Squared, since a root makes 1e-8 of a rounding error of 1e-16.
    assert shape_misfit(corners, width, height) ** 2 == pytest.approx(disparity, rel=1e-6, abs=1e-13)


@pytest.mark.parametrize(("width", "height"), SHAPES)
@pytest.mark.parametrize("seed", range(3))
def test_any_four_corners_agree_with_scipy(width: float, height: float, seed: int) -> None:
    corners = np.random.default_rng(seed).uniform(-100, 100, (4, 2))
    _, _, disparity = procrustes(rectangle(width, height), corners)
    assert shape_misfit(corners, width, height) == pytest.approx(np.sqrt(disparity), rel=1e-9)


@given(
    shifts_mm,
    st.floats(-np.pi, np.pi),
    st.floats(0.01, 100.0),
    st.tuples(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4)),
)
def test_turning_moving_and_enlarging_change_nothing(
    shifts: list[float], turn_rad: float, factor: float, shift: tuple[float, float]
) -> None:
    corners = rectangle(85.60, 53.98) + np.reshape(shifts, (4, 2))
    elsewhere = moved(corners, turn_rad, factor, (factor * shift[0], factor * shift[1]))
    here, there = (shape_misfit(c, 85.60, 53.98) for c in (corners, elsewhere))
    assert there**2 == pytest.approx(here**2, rel=1e-6, abs=1e-10)


@given(shifts_mm)
def test_either_sense_and_either_long_side_first(shifts: list[float]) -> None:
    corners = rectangle(85.60, 53.98) + np.reshape(shifts, (4, 2))
    misfit = shape_misfit(corners, 85.60, 53.98)
    for same in (corners * [-1, 1], np.roll(corners, 2, axis=0), corners[[1, 0, 3, 2]]):
        assert shape_misfit(same, 85.60, 53.98) ** 2 == pytest.approx(misfit**2, rel=1e-6, abs=1e-13)


@given(sides_mm, sides_mm, sides_mm, sides_mm)
def test_another_shape_is_off_by_the_angle_of_the_diagonals(
    width: float, height: float, other_width: float, other_height: float
) -> None:
    # Both centred, all corners lie on diagonals whose slopes differ; the nearest point of a line through the
    # centre lies a sine of that angle away (plane trigonometry).
    angle = np.arctan2(height, width) - np.arctan2(other_height, other_width)
    misfit = shape_misfit(rectangle(width, height), other_width, other_height)
    assert misfit == pytest.approx(abs(np.sin(angle)), abs=3e-8)


def test_a_cards_other_side_first_is_no_card() -> None:
    # atan(85.60 / 53.98) - atan(53.98 / 85.60) = 25.5 degrees, whose sine is 0.431.
    assert shape_misfit(rectangle(53.98, 85.60), 85.60, 53.98) == pytest.approx(0.431, abs=5e-4)


@pytest.mark.parametrize("seed", range(2))
def test_share_is_of_half_the_diagonal(seed: int) -> None:
    """Corners that err by 1 % of half the diagonal in x and in y."""
    rng = np.random.default_rng(seed)
    half_diagonal = 0.5 * np.hypot(85.60, 53.98)
    squares = [
        shape_misfit(rectangle(85.60, 53.98) + 0.01 * half_diagonal * rng.normal(size=(4, 2)), 85.60, 53.98)
        ** 2
        for _ in range(2000)
    ]
    # Eight coordinates less the four of a similarity leave four freedoms: their squares sum to 4 x 0.01^2,
    # the mean over four corners is 0.01^2. A chi-square of four freedoms scatters by 0.71 of its mean, the
    # average of 2000 by 0.016.
    assert np.mean(squares) == pytest.approx(0.01**2, rel=5 * 0.016)


def test_many_are_judged_as_each_alone() -> None:
    corners = np.random.default_rng(3).uniform(-50, 50, (2, 3, 4, 2))
    alone = [[shape_misfit(each, 85.60, 53.98) for each in row] for row in corners]
    np.testing.assert_allclose(shape_misfit(corners, 85.60, 53.98), np.array(alone), rtol=1e-12)
