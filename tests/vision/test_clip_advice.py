"""Advice for the clip at hand: each sentence where it is due, and nothing where nothing is wrong."""

import numpy as np
import pytest

from whirlwise.vision.clip_advice import advice

BRIGHT = np.full((40, 9, 16), 120, np.uint8)
DARK = np.full((40, 9, 16), 30, np.uint8)
FEW = "The wheel makes only 3.2 turns in this clip; ten or more narrow the intervals."
EVEN = np.full(40, 7.0)
UNEVEN = 7 + 0.5 * np.sin(np.arange(40))


def test_nothing_to_say_of_a_good_clip() -> None:
    assert advice(BRIGHT, 12.0, UNEVEN, ratio_open=False) == ()
    # Evenness does no harm where the ratio is told.
    assert advice(BRIGHT, 12.0, EVEN, ratio_open=False) == ()


@pytest.mark.parametrize(
    ("gray", "turns", "speed", "said"),
    [
        (
            BRIGHT,
            3.2,
            UNEVEN,
            FEW,
        ),
        (DARK, 12.0, UNEVEN, "The pictures are dark, so that what turns smears; film in more light."),
        (
            BRIGHT,
            12.0,
            EVEN,
            "The wheel turns so evenly that several ratios look alike; let it speed up and slow down.",
        ),
    ],
    ids=["few turns", "dark", "even"],
)
def test_each_trouble_has_its_sentence(gray: np.ndarray, turns: float, speed: np.ndarray, said: str) -> None:
    assert advice(gray, turns, speed, ratio_open=True) == (said,)
