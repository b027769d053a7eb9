"""How often a flyer is found where none is: by simulation, at what find_flyer itself is given."""

import cv2
import numpy as np
import pytest

from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.turning.flyer import find_flyer
from whirlwise.vision.turning.polar import TurningPlane

PICTURES, DRAWS = 120, 16
TIMES_S = np.arange(PICTURES) / 30
ANGLES = 7.0 * TIMES_S + 0.2 * np.sin(7.0 * TIMES_S)
PATCH = TurningPlane((24.0, 24.0), 12.0)


def noise(rng: np.random.Generator, memory: float) -> "np.ndarray[tuple[int, int, int], np.dtype[np.uint8]]":
    """Noise that neighbouring pixels share, and a share ``memory`` of it the next picture."""
    film = rng.normal(0, 1, (PICTURES, 48, 48)).astype(np.float32)
    film = np.stack([cv2.GaussianBlur(picture, (0, 0), 1.2) for picture in film])
    for i in range(1, PICTURES):
        film[i] = memory * film[i - 1] + np.sqrt(1 - memory**2) * film[i]
    return np.asarray(np.clip(120 + 60 * film, 0, 255), np.uint8)


@pytest.mark.parametrize("memory", [0.0, 0.9])
def test_noise_alone_is_no_flyer(memory: float) -> None:
    """None in 16 draws: by the rule of three the rate is below 19 % with 95 % certainty, of each kind."""
    rng = np.random.default_rng(4)
    found = [find_flyer(noise(rng, memory), [PATCH], ANGLES, TIMES_S, 0.003) for _ in range(DRAWS)]
    assert [each for each in found if not isinstance(each, NotMeasured)] == []


def test_what_goes_with_the_wheel_alone_is_no_flyer() -> None:
    """A shadow of the spokes, a treadle: any course in the wheel's own orders, and noise."""
    rng = np.random.default_rng(6)
    y, x = np.mgrid[:48, :48]
    found = []
    for _ in range(DRAWS // 2):
        waves = [rng.normal() * np.cos(n * ANGLES + rng.uniform(0, 6)) for n in range(1, 6)]
        along = np.sin(x / rng.uniform(3, 9) + y / rng.uniform(3, 9))
        swayed = 20 * np.sum(waves, axis=0)[:, None, None] * along
        film = np.clip(noise(rng, 0.0) * 0.5 + 60 + swayed, 0, 255).astype(np.uint8)
        found.append(find_flyer(film, [PATCH], ANGLES, TIMES_S, 0.003))
    assert [each for each in found if not isinstance(each, NotMeasured)] == []
