"""Sides of a drawn sheet, and the margin at which its lines of print begin.

Lines 4 to 6 mm apart and about half as high, as type of 11 points is set with more and less room (common
practice, no source), at 2 pixels a mm.
"""

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_pictures import as_bgr

from whirlwise.vision.find.edges import lab_pixels
from whirlwise.vision.find.paper_sides import begins_with_print, ends_at_a_line

SIZE = (520, 700)
WALL, PAPER, PRINT = 150.0, 170.0, 60.0
#: Columns and rows between which the sheet lies, and its lines of print, which end anywhere.
LEFT, RIGHT, TOP, BOTTOM = 60, 480, 40, 634
MARGIN, FIRST, LAST = 100, 90, 600
#: A rule across the sheet, between lines of print.
RULE = 337


def drawn(wall: float = WALL, apart_px: int = 8, posts: bool = False) -> NDArray[np.float32]:
    """The sheet on a wall, be it with posts every 40 pixels along the left side of the sheet."""
    grey = np.full(SIZE[::-1], wall)
    if posts:
        for row in range(0, SIZE[1], 40):
            grey[row : row + 14, :LEFT] = PRINT
    grey[TOP:BOTTOM, LEFT:RIGHT] = PAPER
    rng = np.random.default_rng(5)
    for row in range(FIRST, LAST, apart_px):
        grey[row : row + 4, MARGIN : int(rng.uniform(200, 440))] = PRINT
    return np.asarray(lab_pixels(as_bgr(grey, 0.8, 2.0, 3)))


def corners(left: float) -> NDArray[np.float64]:
    """Clockwise as seen; pixel edges lie half a pixel before their middles."""
    places = [[left, TOP], [RIGHT, TOP], [RIGHT, BOTTOM], [left, BOTTOM]]
    return np.array(places, dtype=np.float64) - 0.5


@pytest.mark.parametrize("apart_px", [7, 8, 10, 12])
def test_where_lines_of_print_begin_is_no_side(apart_px: int) -> None:
    assert begins_with_print(drawn(apart_px=apart_px), corners(MARGIN))


@pytest.mark.parametrize("wall", [WALL, 60.0, 240.0, 162.0, PAPER])
def test_where_the_wall_begins_is_a_side(wall: float) -> None:
    """Be the wall darker than the paper, lighter, nearly alike or quite."""
    assert not begins_with_print(drawn(wall), corners(LEFT))


def test_a_few_posts_beyond_a_side_are_no_lines() -> None:
    assert not begins_with_print(drawn(posts=True), corners(LEFT))


def ruled(wall: float = WALL) -> NDArray[np.float32]:
    """The sheet with a rule all across it; the upper part of its left side is hidden behind a wheel's rim."""
    grey = np.full(SIZE[::-1], wall)
    grey[TOP:BOTTOM, LEFT:RIGHT] = PAPER
    grey[RULE : RULE + 2, LEFT:RIGHT] = PRINT
    grey[: RULE - 6, : LEFT + 30] = PRINT
    return np.asarray(lab_pixels(as_bgr(grey, 0.8, 2.0, 3)))


def cut_at(row: float) -> NDArray[np.float64]:
    """Corners of what lies below a row of the sheet."""
    places = [[LEFT, row], [RIGHT, row], [RIGHT, BOTTOM], [LEFT, BOTTOM]]
    return np.array(places, dtype=np.float64) - 0.5


def test_a_sheet_does_not_end_at_a_rule_where_one_side_goes_on() -> None:
    assert ends_at_a_line(ruled(), cut_at(RULE))


@pytest.mark.parametrize("wall", [WALL, 60.0, 162.0, PAPER])
def test_a_sheet_ends_where_its_sides_do(wall: float) -> None:
    """Be the wall as pale as the paper, and whatever is printed across it."""
    assert not ends_at_a_line(ruled(wall), cut_at(TOP))
