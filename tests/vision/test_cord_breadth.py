"""How broad cords are along a run, on profiles whose edges SciPy's error function blurs."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import erf

from whirlwise.vision.find.cord_breadth import broad_as
from whirlwise.vision.find.cord_lines import CordLines

ACROSS_PX = np.arange(-14.0, 14.25, 0.5)
SHARES = (np.arange(16) + 0.5) / 16
HALF_PX = 3.0
#: Middles at the run's start and end: on each other and then apart; crossing; side by side.
PARTING, CROSSING, BESIDE = ((0.0, -2.0), (1.0, 5.0)), ((-3.0, 3.0), (3.0, -3.0)), ((-1.5, -1.5), (1.5, 1.5))


def profiles(middles_px: NDArray[np.float64], half_px: float, blur_px: float) -> NDArray[np.float64]:
    """A dark cord about each of the middles (cords, groups) before a wall that is lit from one side."""
    wide = np.sqrt(2) * blur_px
    away = ACROSS_PX - middles_px[..., None]
    covered = 0.5 * (erf((away + half_px) / wide) - erf((away - half_px) / wide))
    dark = 1 - np.prod(1 - covered, axis=0)
    rng = np.random.default_rng(0)
    wall = np.array([150.0, 128.0, 131.0]) + ACROSS_PX[:, None] * np.array([0.8, 0.0, 0.1])
    seen = wall + dark[..., None] * (np.array([40.0, 128.0, 120.0]) - wall)
    return np.asarray(seen + 0.7 * rng.normal(size=seen.shape))


@pytest.mark.parametrize("ends_px", [PARTING, CROSSING])
def test_two_cords_that_part_or_cross_are_as_broad_as_two(ends_px: tuple[tuple[float, float], ...]) -> None:
    both = CordLines(np.array(ends_px), 0.0, HALF_PX)
    assert broad_as(profiles(both.at(SHARES), HALF_PX, 0.9), ACROSS_PX, both, SHARES)


@pytest.mark.parametrize("ends_px", [PARTING, CROSSING, BESIDE])
@pytest.mark.parametrize("blur_px", [0.9, 2.0])
def test_one_cord_is_not_however_blurred(ends_px: tuple[tuple[float, float], ...], blur_px: float) -> None:
    both = CordLines(np.array(ends_px), 0.0, HALF_PX)
    alone = both.at(SHARES).mean(axis=0, keepdims=True)
    assert not broad_as(profiles(alone, 1.3 * HALF_PX, blur_px), ACROSS_PX, both, SHARES)


def test_where_no_wall_is_seen_nothing_is_told() -> None:
    both = CordLines(np.array(PARTING), 0.0, HALF_PX)
    narrow = np.abs(ACROSS_PX) < 2.0
    seen = profiles(both.at(SHARES), HALF_PX, 0.9)[:, narrow]
    assert not broad_as(seen, ACROSS_PX[narrow], both, SHARES)
