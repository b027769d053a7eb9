"""The sway of a phase within the turn: drawn departures with known waves, and how often intervals hold."""

import numpy as np
import pytest
from uncertainties import UFloat

from whirlwise.vision.turning.repeating import Pull
from whirlwise.vision.turning.through_turn import sway_through_turn

ANGLES = np.linspace(0, 2 * np.pi * 11.3, 340) + 0.3 * np.sin(np.linspace(0, 2 * np.pi * 11.3, 340))
SWAY = np.array([0.03, -0.08, 0.02, 0.05])


def seen(rng: np.random.Generator, memory: int = 1, ratio: float = 9.4) -> tuple[UFloat, ...]:
    """Departures with noise of 0.2 rad a picture; ``memory`` neighbours share theirs."""
    waves = [f(n * ANGLES) for n in (1, 2) for f in (np.cos, np.sin)]
    noise = np.repeat(rng.normal(0, 0.2, len(ANGLES) // memory + 1), memory)[: len(ANGLES)]
    return sway_through_turn(Pull(SWAY @ waves + noise, np.ones(len(ANGLES))), ANGLES, ratio, 1e-6)


@pytest.mark.parametrize("memory", [1, 4])
def test_intervals_hold_what_was_drawn(memory: int) -> None:
    rng = np.random.default_rng(8)
    held = [
        abs(each.n - true) < 1.96 * each.s
        for _ in range(100)
        for each, true in zip(seen(rng, memory), SWAY, strict=True)
    ]
    # 400 trials of 95 %: 0.011 of spread, and the four of one draw are nearly independent.
    assert 0.91 < np.mean(held) < 0.99


def test_a_misplaced_axle_sways_the_phase_by_the_ratio() -> None:
    angles, nothing = ANGLES, Pull(np.zeros(len(ANGLES)), np.ones(len(ANGLES)))
    told = sway_through_turn(nothing, angles, -12.0, 0.004)
    assert [each.s for each in told] == pytest.approx([0.048] * 4)
    assert [each.n for each in told] == pytest.approx([0.0] * 4, abs=1e-12)


def test_of_what_turns_against_the_wheel_the_sway_is_as_if_with_it() -> None:
    one, other = (seen(np.random.default_rng(1), ratio=ratio) for ratio in (9.4, -9.4))
    assert [each.n for each in one] == pytest.approx([-each.n for each in other])
