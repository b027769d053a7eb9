"""Runs beside those of the band, on directions and lengths that are written down."""

import numpy as np
import pytest

from whirlwise.vision.find.runs import BandRun, RunPair
from whirlwise.vision.find.runs_beside import runs_beside

RIM_PX = 300.0


def run(turn_deg: float, *, side: int = 1, strength: float = 100.0, length_px: float = 250.0) -> BandRun:
    """A run that starts at one place of the rim and goes a little to one side of straight on."""
    turn = np.radians(turn_deg)
    start = np.array([0.0, 300.0 * side])
    return BandRun(side, start, start + length_px * np.array([np.cos(turn), np.sin(turn)]), 0.975, strength)


def pair(one: BandRun, other: BandRun, score: float) -> RunPair:
    return RunPair((one, other), np.array([500.0, 0.0]), score, RIM_PX)


BEST = pair(run(0.0), run(0.0, side=-1), 300.0)


def test_a_second_cord_goes_to_another_place() -> None:
    """Three degrees over 250 pixels are 13 pixels, more than a step of the search and less than a hand."""
    second = run(3.0, strength=95.0)
    one, other = runs_beside([BEST, pair(second, BEST.runs[1], 280.0)])
    assert one is second
    assert other is None


def test_the_clearest_is_taken() -> None:
    weaker, clearer = run(2.5, strength=80.0), run(-3.0, strength=98.0)
    found = runs_beside([BEST, pair(weaker, BEST.runs[1], 250.0), pair(clearer, BEST.runs[1], 240.0)])
    assert found[0] is clearer


@pytest.mark.parametrize(
    ("second", "score"),
    [
        (run(1.0), 290.0),
        (run(9.0), 290.0),
        (run(3.0, strength=60.0), 290.0),
        (run(3.0, length_px=120.0), 290.0),
        (run(3.0), 120.0),
    ],
    ids=["the same once more", "of something else", "too faint", "too short", "closes on no whirl"],
)
def test_what_is_no_second_cord(second: BandRun, score: float) -> None:
    assert runs_beside([BEST, pair(second, BEST.runs[1], score)]) == (None, None)


def test_one_pair_alone_has_nothing_beside_it() -> None:
    assert runs_beside([BEST]) == (None, None)
