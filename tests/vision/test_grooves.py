"""Which notches of an outline may carry a band (shapes of turned grooves: common practice, no source)."""

import numpy as np
import pytest
from numpy.typing import NDArray

from whirlwise.vision.find.grooves import grooves

MM_PER_PX = 0.1


def outline(notches: tuple[tuple[float, float], ...]) -> NDArray[np.float64]:
    """A flange 30 mm high with square notches (width, depth) in mm, 8 mm of flange beside each; in pixels."""
    corners = [(0.0, 5.0), (0.0, 30.0)]
    for width, depth in notches:
        u = corners[-1][0] + 8.0
        corners += [(u, 30.0), (u + 0.01, 30.0 - depth), (u + width, 30.0 - depth), (u + width + 0.01, 30.0)]
    end = corners[-1][0] + 8.0
    line = np.array([*corners, (end, 30.0), (end, 5.0)])
    reach = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    even = np.arange(0.0, reach[-1], MM_PER_PX)
    return np.column_stack([np.interp(even, reach, line[:, k]) for k in (0, 1)]) / MM_PER_PX


@pytest.mark.parametrize(
    ("notch", "carries"),
    [((4.0, 4.0), True), ((2.5, 4.5), True), ((4.0, 1.0), False), ((2.8, 11.0), False)],
    ids=["as wide as deep", "nearly twice as deep", "too shallow", "a gap between two things"],
)
def test_a_notch_may_carry_a_band_by_its_shape(notch: tuple[float, float], carries: bool) -> None:
    assert bool(grooves(outline((notch,)), MM_PER_PX)) == carries


def test_a_gap_beside_a_groove_does_not_hide_it() -> None:
    line = outline(((4.0, 4.0), (2.8, 11.0)))
    (found,) = grooves(line, MM_PER_PX)
    assert line[found.bottom, 1] * MM_PER_PX == pytest.approx(26.0, abs=0.2)
