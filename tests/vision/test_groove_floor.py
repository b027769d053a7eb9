"""The bottom of a groove drawn by hand: what is seen of it, and what only its flanks tell."""

import numpy as np
import pytest
from numpy.typing import NDArray

from whirlwise.vision.fit.groove_floor import floor_of
from whirlwise.vision.fit.groove_level import Level
from whirlwise.vision.measured import HALF_WIDTH_95

Points = NDArray[np.float64]
TOP_PX, DEPTH_PX, PX_PER_MM = 300.0, 60.0, 12.0
SLOPE = 2.0


def v_groove(flat_px: float, filled_px: float = 0.0) -> tuple[Points, tuple[int, int], int]:
    """A V whose bottom is so broad, seen filled up so far, with its tops' and its bottom's indices."""
    half = 0.5 * flat_px
    edge = half + DEPTH_PX / SLOPE
    reached = half + filled_px / SLOPE
    corners = np.array(
        [
            [-edge - 15, TOP_PX],
            [-edge, TOP_PX],
            [-reached, TOP_PX - DEPTH_PX + filled_px],
            [reached, TOP_PX - DEPTH_PX + filled_px],
            [edge, TOP_PX],
            [edge + 15, TOP_PX],
        ]
    )
    reach = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1))])
    even = np.arange(0.0, reach[-1])
    line = np.column_stack([np.interp(even, reach, corners[:, k]) for k in (0, 1)])
    tops = (int(np.argmin(np.abs(even - reach[1]))), int(np.argmin(np.abs(even - reach[4]))))
    return line, tops, int(np.argmin(line[:, 1] + 1e-3 * np.abs(line[:, 0])))


def measured(flat_px: float, filled_px: float = 0.0, *, seen: bool = True) -> tuple[Level, bool]:
    line, tops, bottom = v_groove(flat_px, filled_px)
    shown = np.ones(len(line))
    if not seen:
        shown[max(bottom - 8, 0) : bottom + 9] = 0.0
    return floor_of(line, line, shown, tops, bottom, PX_PER_MM)


def holds(level: Level, v_px: float) -> bool:
    return bool(abs(level.v_px - v_px) <= HALF_WIDTH_95 * level.deviation_px + 0.2)


def test_flanks_that_meet_make_a_corner() -> None:
    level, sharp = measured(0.5)
    assert sharp
    # Where lines of such slopes meet, half a pixel of bottom lies this much above: geometry of the V.
    assert level.v_px == pytest.approx(TOP_PX - DEPTH_PX - 0.25 * SLOPE, abs=0.3)


def test_a_broad_bottom_that_is_seen_is_the_bottom() -> None:
    level, sharp = measured(8.0)
    assert not sharp
    assert level.v_px == pytest.approx(TOP_PX - DEPTH_PX, abs=0.3)
    assert level.deviation_px < 0.5


@pytest.mark.parametrize("filled_px", [6.0, 12.0, 18.0])
def test_a_bottom_in_the_shade_lies_between_what_is_seen_and_the_flanks_corner(filled_px: float) -> None:
    level, sharp = measured(0.5, filled_px, seen=False)
    assert sharp
    assert holds(level, TOP_PX - DEPTH_PX)
    assert holds(level, TOP_PX - DEPTH_PX + filled_px)


def test_a_round_bottom_in_the_shade_may_be_deeper_than_it_looks() -> None:
    turn = np.linspace(np.pi, 0.0, 90)
    bowl = np.column_stack([30.0 * np.cos(turn), TOP_PX - 25.0 * np.sin(turn)])
    shown = np.ones(90)
    shown[30:60] = 0.0
    level, _ = floor_of(bowl, bowl, shown, (0, 89), 45, PX_PER_MM)
    assert holds(level, TOP_PX - 25.0)
    assert holds(level, TOP_PX - 30.0)
    clear, sharp = floor_of(bowl, bowl, np.ones(90), (0, 89), 45, PX_PER_MM)
    assert not sharp
    assert clear.v_px == pytest.approx(TOP_PX - 25.0, abs=0.2)
    assert clear.deviation_px < 0.5
