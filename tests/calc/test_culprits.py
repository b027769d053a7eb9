"""Mistakes made on purpose are named, and right readings are not accused."""

from math import pi

import numpy as np
import pytest

from whirlwise.calc.culprits import Culprit, Mistake, likely_culprit
from whirlwise.calc.fusing import Disagreement, fuse
from whirlwise.calc.interval import Interval
from whirlwise.calc.wheel import Dimension, Reading

PITCH, RATIO = Dimension("pitch_mm"), Dimension("ratio", "small")


def quarrel(dimension: Dimension, said: float, others: float, doubt: float = 0.005) -> Disagreement:
    ends = [Interval(v, v * (1 - 2 * doubt), v * (1 + 2 * doubt)) for v in (said, others)]
    return Disagreement("hand-1", dimension, ends[0], ends[1], 9.0, 0.5)


@pytest.mark.parametrize(
    ("factor", "mistake"),
    [
        (0.5, "half"),
        (2.0, "double"),
        (pi, "round for across"),
        (1 / pi, "across for round"),
        (2.54, "inch for cm"),
        (1 / 2.54, "cm for inch"),
        (10.0, "mm for cm"),
        (0.1, "cm for mm"),
    ],
)
def test_lengths_off_by_a_factor(factor: float, mistake: Mistake) -> None:
    found = likely_culprit(quarrel(Dimension("outer_mm"), 450 * factor * 1.004, 450.0), by_hand=True)
    assert found == Culprit(mistake)
    # No person with a rule, no such mistake.
    assert likely_culprit(quarrel(Dimension("outer_mm"), 450 * factor, 450.0)) is None


def test_ratios() -> None:
    others = {"small": Interval(14.0, 13.9, 14.1), "large": Interval(9.0, 8.9, 9.1)}
    assert likely_culprit(quarrel(RATIO, 9.05, 14.0), ratios=others) == Culprit("another whirl", "large")
    assert likely_culprit(quarrel(RATIO, 14.0, 28.0)) == Culprit("half")
    assert likely_culprit(quarrel(RATIO, 28.0, 14.0)) == Culprit("double")
    assert likely_culprit(quarrel(RATIO, 10.8, 10.9, 0.001), wheel_turns=10) == Culprit("one turn")
    assert likely_culprit(quarrel(RATIO, 12.0, 10.9), wheel_turns=10) is None


def test_a_band_that_does_not_reach_the_bottom() -> None:
    assert likely_culprit(quarrel(PITCH, 37.0, 40.0), by_hand=True) == Culprit("band off the bottom")
    assert likely_culprit(quarrel(PITCH, 43.0, 40.0), by_hand=True) is None


def test_the_wrong_one_of_three_stands_out() -> None:
    values = {"photo-1": 450.0, "photo-2": 451.0, "hand-1": 225.0}
    readings = [Reading(name, {PITCH: value}, np.array([[1e-5]]), {}) for name, value in values.items()]
    fused = fuse(readings)
    (found,) = fused.disagreements
    assert found.reading == "hand-1"
    assert likely_culprit(found, by_hand=True) == Culprit("half")
    assert found.rest_agreement > 0.3
