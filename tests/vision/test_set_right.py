"""A course that slipped off by a spoke on its way is set right again by what differs between the spokes."""

import numpy as np
import pytest
from numpy.typing import NDArray

from whirlwise.vision.turning.each_picture import set_right

Floats = NDArray[np.float64]

PICTURES, RINGS, HARMONICS, SPOKES = 300, 6, 24, 6
ANGLES = 0.13 * np.arange(PICTURES) + 0.2 * np.sin(0.1 * np.arange(PICTURES))
TIMES_S = np.arange(PICTURES) / 30
ORDERS = np.arange(1, HARMONICS + 1)


def rings(unlike: float) -> NDArray[np.complex64]:
    """Spokes that are strong and alike, a share ``unlike`` of all other orders, and noise."""
    rng = np.random.default_rng(3)
    texture = rng.normal(size=(2, RINGS, HARMONICS)) * np.where(ORDERS % SPOKES == 0, 1.0, unlike)
    wave = np.exp(-1j * np.outer(ANGLES, ORDERS))[:, None, :]
    grain = rng.normal(0, 0.7, (2, PICTURES, RINGS, HARMONICS))
    return np.asarray((texture[0] + 1j * texture[1]) * wave + grain[0] + 1j * grain[1], np.complex64)


def slipped(spokes: float, over: int) -> Floats:
    """Course that loses so many spokes while ``over`` pictures pass, after two thirds of the clip."""
    late = np.clip((np.arange(PICTURES) - 200) / over, 0, 1)
    return np.asarray(ANGLES - spokes * 2 * np.pi / SPOKES * late, np.float64)


def most_off(course: Floats) -> float:
    apart = course - ANGLES
    return float(np.abs(apart - np.median(apart)).max())


@pytest.mark.parametrize("spokes", [1.0, -1.0, 2.0])
def test_a_slip_comes_back(spokes: float) -> None:
    course = slipped(spokes, 40)
    assert most_off(course) > 1.0
    assert most_off(set_right(rings(0.3), course, TIMES_S)) < 0.1


def test_spokes_that_are_all_alike() -> None:
    """They fit as well a spoke farther on, but a wheel does not get there from one picture to the next."""
    assert most_off(set_right(rings(0.0), slipped(1.0, 1), TIMES_S)) < 0.1


@pytest.mark.parametrize("unlike", [0.0, 0.1])
def test_a_wheel_does_not_jump(unlike: float) -> None:
    """A few pictures in a row that fit as well or better a spoke farther on are brought back."""
    course = ANGLES.copy()
    for first, pictures, spokes in ((40, 1, 1), (90, 3, -1), (150, 9, 2), (230, 6, 1)):
        course[first : first + pictures] += spokes * 2 * np.pi / SPOKES
    assert most_off(set_right(rings(unlike), course, TIMES_S)) < 0.1


def test_a_right_course_stays_as_it_is() -> None:
    assert most_off(set_right(rings(0.3), ANGLES, TIMES_S)) < 0.05
