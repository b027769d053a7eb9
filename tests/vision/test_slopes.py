"""Derivatives of what is seen against differences of its residuals over small steps."""

import numpy as np
import pytest
from tests.vision.drawn_scenes import CARD_MM, TRUTH, card_sides_px, flange_px, rim_px, run_px

from whirlwise.vision.fit.observations import (
    InPlane,
    Observation,
    RunSeen,
)
from whirlwise.vision.fit.rectangle_seen import RectangleSeen
from whirlwise.vision.fit.rim_seen import RimSeen
from whirlwise.vision.fit.round_part_seen import RoundPartSeen
from whirlwise.vision.fit.scene import Scene

SEEN: dict[str, Observation] = {
    "rim": RimSeen(rim_px(40), 0.5, np.linspace(0.0, 0.3, 40)),
    "left run": RunSeen(run_px(1, 20), 0.5, 1, "loop1", "shift_left"),
    "right run": RunSeen(run_px(-1, 20), 0.5, -1, "loop1", "shift_right"),
    "flange": RoundPartSeen(flange_px(24), 0.5, "flange", (0.1, -0.07)),
    "card": RectangleSeen(tuple(card_sides_px(9)), 0.5, *CARD_MM, "card"),
}


@pytest.mark.parametrize("name", SEEN)
@pytest.mark.parametrize("tilted", [True, False])
def test_slopes_are_those_of_small_steps(name: str, tilted: bool) -> None:
    seen = SEEN[name]
    assert isinstance(seen, InPlane)
    # Beside the truth every term counts, the growth of the misfit's weight too.
    rng = np.random.default_rng(0)
    values = {key: value * (1 + 0.02 * rng.uniform(-1, 1)) + 0.003 for key, value in TRUTH.items()}
    if not tilted:
        values |= {"tilt_x": 0.0, "tilt_y": 1e-6}
    slopes = seen.slopes(Scene(values))
    for unknown in TRUTH:
        step = 1e-6 * max(abs(values[unknown]), 1.0)
        ahead, behind = ({**values, unknown: values[unknown] + s * step} for s in (1, -1))
        differences = (seen.residuals(Scene(ahead)) - seen.residuals(Scene(behind))) / (2 * step)
        expected = slopes.get(unknown, np.zeros(len(differences)))
        np.testing.assert_allclose(expected, differences, rtol=1e-4, atol=1e-4, err_msg=unknown)
