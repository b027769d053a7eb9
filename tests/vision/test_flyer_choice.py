"""What find_flyer makes of a flyer, and of what only seems to turn with the wheel."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.turning.flyer import SMEARED, FlyerFound, find_flyer
from whirlwise.vision.turning.polar import TurningPlane

Floats = NDArray[np.float64]

PICTURES, SIDE = 240, 56
TIMES_S = np.arange(PICTURES) / 30
#: A wheel that is treadled, and grows faster.
ANGLES = 6.5 * TIMES_S + 0.12 * TIMES_S**2 + 0.25 * np.sin(6.5 * TIMES_S)
#: One that starts from rest.
STARTING = 6.5 * np.clip(TIMES_S - 1.5, 0, None) + 0.3 * np.log1p(np.exp(4 * (TIMES_S - 1.5)))
PATCH = TurningPlane((27.0, 28.0), 20.0)
Y, X = np.mgrid[:SIDE, :SIDE]
AROUND, OUT = np.arctan2(28.0 - Y, X - 28.0), np.hypot(X - 28.0, Y - 28.0)


def film(brightness: Callable[[int], Floats], noise: float = 3.0) -> NDArray[np.uint8]:
    rng = np.random.default_rng(8)
    shown = np.stack([110 + brightness(i) for i in range(PICTURES)]) + rng.normal(
        0, noise, (PICTURES, SIDE, SIDE)
    )
    return np.asarray(np.clip(shown, 0, 255), np.uint8)


def found(brightness: Callable[[int], Floats], angles_rad: Floats = ANGLES) -> FlyerFound | NotMeasured:
    return find_flyer(film(brightness), [PATCH], angles_rad, TIMES_S, 0.003)


def disc(values: Floats, radius_px: float = 20.0) -> Floats:
    return np.asarray(values * (radius_px > OUT), np.float64)


def test_a_flyer_with_unlike_arms() -> None:
    def arms(i: int) -> Floats:
        turned = AROUND - 9.37 * ANGLES[i]
        narrow = np.exp(-((OUT * np.sin(turned)) ** 2) / 8)
        return disc(-50 * narrow * (1 - 0.5 * (np.cos(turned) > 0)))

    told = found(arms)
    assert isinstance(told, FlyerFound)
    assert [c.course.ratio for c in told.candidates] == [pytest.approx(9.37, rel=1e-3)]


def test_what_is_smeared_may_be_the_bobbin() -> None:
    """A mark that is smeared over half a turn winds but once, and so does the one on a bobbin."""
    assert found(lambda i: disc(18 * np.cos(AROUND - 11.3 * ANGLES[i]))) == SMEARED


@pytest.mark.parametrize("px_per_s", [2.0, 5.0])
def test_somebody_who_walks_through_is_no_flyer(px_per_s: float) -> None:
    """To an even row of pictures, what changes slowly is what turns as often as pictures are taken."""

    def walker(i: int) -> Floats:
        across = 8 + px_per_s * TIMES_S[i] + np.sin(0.9 * TIMES_S[i])
        return np.asarray(-60 * (np.hypot(X - across, Y - 28 - 2 * np.sin(0.5 * TIMES_S[i])) < 9), np.float64)

    assert isinstance(found(walker, STARTING), NotMeasured)


@pytest.mark.parametrize("per_s", [0.2, 0.4])
def test_a_hand_that_moves_to_and_fro_is_no_flyer(per_s: float) -> None:
    def hand(i: int) -> Floats:
        swung = 2 * np.pi * per_s * TIMES_S[i]
        near = np.hypot(X - 28 - 14 * np.sin(swung), Y - 28 - 5 * np.cos(1.3 * swung)) < 9
        return np.asarray(-60 * near, np.float64)

    assert isinstance(found(hand, STARTING), NotMeasured)


def test_a_fan_goes_by_the_clock() -> None:
    def fan(i: int) -> Floats:
        turned = AROUND - 2 * np.pi * 6 * TIMES_S[i]
        return disc(40 * np.exp(-((1 - np.cos(4 * turned)) ** 2) / 0.5))

    assert isinstance(found(fan, STARTING), NotMeasured)
