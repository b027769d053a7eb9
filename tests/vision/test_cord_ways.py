"""Which two cords of either run may be a double drive's, by how they lie: straight lines of known places."""

import numpy as np
import pytest

from whirlwise.vision.find.cord_lines import CordLine
from whirlwise.vision.find.cord_strip import Strip
from whirlwise.vision.find.cord_ways import Ways, one_line, parting_ways
from whirlwise.vision.find.runs import BandRun

Cords = list[CordLine]

THICK_PX = 4.0


def cord(start_px: float, end_px: float, seen: float = 1.0) -> CordLine:
    """A cord that runs so far aside of y = 0 at its ends, in thicknesses."""
    x = np.linspace(0.0, 300.0, 16)
    y = THICK_PX * np.linspace(start_px, end_px, 16)
    return CordLine(np.column_stack([x, y]), 0.15, seen, 0.2, THICK_PX)


@pytest.fixture(scope="module")
def bare() -> Strip:
    """A run along which the picture shows nothing: no two that lie close are found there."""
    grain = np.random.default_rng(1).normal(120.0, 2.0, (400, 400, 3)).astype(np.float32)
    run = BandRun(1, np.array([20.0, 200.0]), np.array([380.0, 200.0]), 1.0, 1.0)
    return Strip.along(grain, run, 300.0, THICK_PX)


def on_both(bare: Strip, one: Cords, other: Cords, close: Ways | None = None) -> Ways:
    """Ways in which two cords part on both runs."""
    return parting_ways((bare, bare), (one, other), close or [], surely=True)[0]


def test_what_lies_close_on_both_runs_is_explained_together(bare: Strip) -> None:
    one, other = [cord(0, 0), cord(0.0, 3.0)], [cord(0, 0), cord(1.2, 4.0)]
    assert len(on_both(bare, one, other)) == 1
    assert on_both(bare, one, other, [((one[0], one[1]), (other[0], other[1]))]) == []


def test_a_cord_found_twice_is_one() -> None:
    assert one_line(cord(0, 0), cord(0.3, -0.3))
    assert not one_line(cord(0, 0), cord(0.0, 0.8))


@pytest.mark.parametrize(
    ("second", "parts"),
    [
        (cord(0.0, 3.0), True),
        (cord(-2.0, -5.0), True),
        (cord(0.1, -0.2), False),
        (cord(1.5, -1.5), False),
        (cord(2.0, 3.0, seen=0.6), False),
    ],
    ids=["from one place", "side by side", "the same", "crossing", "hardly seen"],
)
def test_two_that_part_are_told_from_two_that_cross(bare: Strip, second: CordLine, parts: bool) -> None:
    beside = [cord(0, 0), cord(1.2, 4.0)]
    assert bool(on_both(bare, [cord(0, 0), second], beside)) == parts
    assert bool(on_both(bare, beside, [cord(0, 0), second])) == parts


def test_one_cord_on_either_run_is_no_double_drive(bare: Strip) -> None:
    assert on_both(bare, [cord(0, 0)], [cord(0, 0), cord(1, 4)]) == []


def test_a_first_cord_that_is_hardly_seen_may_be_two_that_cross(bare: Strip) -> None:
    blend = cord(0, 0, seen=0.62)
    assert on_both(bare, [blend, cord(0, 4)], [cord(0, 0), cord(1, 4)]) == []
