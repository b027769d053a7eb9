"""How what cords leave unexplained grows with their lines, against differences over small steps."""

import numpy as np
import pytest
from numpy.typing import NDArray

from whirlwise.vision.find.cord_lines import CordLines
from whirlwise.vision.find.cord_window import Window

ACROSS_PX = np.arange(-12.0, 12.25, 0.5)
SHARES = (np.arange(8) + 0.5) / 8
USUAL_HALF_PX = 2.0
#: The second cord crosses behind the first one.
ENDS_PX = np.array([[0.5, -1.0], [2.0, -2.5]])


def lines(vector: NDArray[np.float64]) -> CordLines:
    half_px = USUAL_HALF_PX * float(np.exp(vector[-1]))
    return CordLines(vector[:-2].reshape(-1, 2), float(vector[-2]), half_px)


@pytest.mark.parametrize("cords", [1, 2])
@pytest.mark.parametrize("alike", [False, True], ids=["each group lit by itself", "lit alike all along"])
def test_slopes_are_those_of_small_steps(cords: int, alike: bool) -> None:
    profiles = np.random.default_rng(0).uniform(0, 200, (len(SHARES), len(ACROSS_PX), 3))
    vector = np.array([*ENDS_PX[:cords].ravel(), 0.15, 0.1])
    settled = lines(vector + 0.05)
    seen = Window(profiles, ACROSS_PX, settled.at(SHARES), USUAL_HALF_PX)
    seen.settle(settled, SHARES, None)
    if alike:
        seen.settle(settled, SHARES, seen.light(seen.drawn([settled], SHARES), seen.noise))
    _, slopes = seen.residuals(lines(vector), SHARES)
    for unknown, step in enumerate(1e-5 * np.eye(len(vector))):
        ahead, behind = (seen.residuals(lines(vector + s * step), SHARES)[0] for s in (1, -1))
        np.testing.assert_allclose(slopes[:, unknown], (ahead - behind) / 2e-5, rtol=1e-6, atol=1e-7)
