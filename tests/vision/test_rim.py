"""What is no wheel has no rim, whatever the picture's size and wherever a click lies."""

import numpy as np
import pytest
from numpy.typing import NDArray

from whirlwise.vision.find.rim import find_rim_edges

SIZES = [(450, 340)]


def _noise(size: tuple[int, int], seed: int) -> NDArray[np.uint8]:
    return np.random.default_rng(seed).integers(0, 256, (*size, 3), dtype=np.uint8)


@pytest.mark.parametrize("size", SIZES)
def test_pure_noise_has_no_rim(size: tuple[int, int]) -> None:
    assert find_rim_edges(_noise(size, seed=size[0])) == []


def test_pure_noise_has_no_rim_about_a_click() -> None:
    assert find_rim_edges(_noise((360, 480), seed=7), (240.0, 180.0)) == []


@pytest.mark.parametrize("hub_px", [None, (100.0, 100.0)])
def test_a_blank_picture_has_no_rim(hub_px: tuple[float, float] | None) -> None:
    assert find_rim_edges(np.full((600, 800, 3), 255, np.uint8), hub_px) == []
