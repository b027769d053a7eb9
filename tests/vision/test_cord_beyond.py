"""A cord followed on beyond its run: past what hid its evidence, not past the whirl."""

from dataclasses import replace

import numpy as np
import pytest
from tests.vision.drawn_pictures import Points
from tests.vision.test_cord import ALONG, PLACE, RIM_RADIUS_PX, drawn, even, found, run

from whirlwise.vision.find.cord_beyond import followed_on
from whirlwise.vision.find.edges import lab_pixels
from whirlwise.vision.find.runs import BandRun, RunPair

#: Along the cord from its middle place: where the run ends, and where the runs would meet.
ENDS_PX, MEETING_PX = 0.0, 195.0


def short_run() -> BandRun:
    return replace(run(0.0, 0.0), end_px=PLACE + ENDS_PX * ALONG)


def end_along_px(hidden: tuple[float, float]) -> float:
    """How far along the drawn cord the run ends when followed on; a board lies before it somewhere."""
    bgr = drawn((0.0, 4.0, even), hidden=hidden)
    (cord,) = found(drawn((0.0, 4.0, even)))
    meeting: Points = PLACE + MEETING_PX * ALONG
    pair = RunPair((short_run(), short_run()), meeting, 1.0, RIM_RADIUS_PX)
    one, other = followed_on(lab_pixels(bgr), pair, (cord, cord)).runs
    assert np.allclose(one.start_px, short_run().start_px)
    assert np.allclose(one.end_px, other.end_px)
    return float((one.end_px - PLACE) @ ALONG)


def test_a_cord_is_followed_to_where_a_board_hides_it() -> None:
    assert end_along_px((150.0, 400.0)) == pytest.approx(150.0, abs=195.0 / 16)


def test_a_cord_that_ends_with_its_run_is_left_there() -> None:
    assert end_along_px((2.0, 400.0)) == pytest.approx(ENDS_PX, abs=195.0 / 16)


def test_what_goes_on_to_where_the_runs_meet_is_no_cord() -> None:
    assert end_along_px((0.0, 0.0)) == ENDS_PX
