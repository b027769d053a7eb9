"""The band's runs on a drawn wheel: common tangents of two known circles, projected by OpenCV."""

from collections.abc import Mapping

import numpy as np
import pytest
from tests.vision.drawn_pictures import Bgr
from tests.vision.drawn_scenes import seen_by_opencv
from tests.vision.drawn_wheels import (
    INK,
    RIM_HALF_WIDTH_MM,
    WHEEL,
    Painter,
    circle,
    meeting_mm,
    paint_wheel,
    run_ends_mm,
    spindle_mm,
    wheel_with_card,
)

from whirlwise.vision.find.runs import SHORTEST_RUN, BandRun, RunPair, find_run_pairs
from whirlwise.vision.geometry.camera import Points
from whirlwise.vision.geometry.ellipse import Ellipse, fit_ellipse

WHIRL_PX, MEETING_PX = seen_by_opencv(np.array([spindle_mm(), meeting_mm()]), 0.0, WHEEL)

#: Another band, towards another place.
RIBBONS = {**WHEEL, "spindle_angle": WHEEL["spindle_angle"] + 1.1}

#: A gap between boards, a tangent of the wheel as well: turned against the run there, and how far it goes.
GAP_TURN_RAD, GAP_SHARE = 0.5, 0.9


def rim() -> Ellipse:
    ellipse = fit_ellipse(seen_by_opencv(circle(np.zeros(2), WHEEL["rim_radius"]), RIM_HALF_WIDTH_MM, WHEEL))
    assert ellipse is not None
    return ellipse


def without_band() -> Bgr:
    painter = Painter()
    paint_wheel(painter, band=False)
    return painter.as_seen()


def off_line_px(run: BandRun, ends_px: Points) -> float:
    """How far a run's ends lie from the line through two pixels."""
    along = (ends_px[1] - ends_px[0]) / np.linalg.norm(ends_px[1] - ends_px[0])
    across = np.array([-along[1], along[0]])
    return float(np.abs((np.array([run.start_px, run.end_px]) - ends_px[0]) @ across).max())


@pytest.fixture(scope="module")
def pairs() -> list[RunPair]:
    return find_run_pairs(wheel_with_card(), rim())


def test_the_likeliest_pair_is_the_band(pairs: list[RunPair]) -> None:
    for plane_side in (1, -1):
        ends_px = seen_by_opencv(run_ends_mm(plane_side), 0.0, WHEEL)
        # The plane's y points up and the picture's down, which turns the sense round.
        (run,) = (run for run in pairs[0].runs if run.side == -plane_side)
        # Tried in steps of a quarter of a degree and 0.6 % of the radius: 2 px at its ends.
        assert off_line_px(run, ends_px) < 2.0


def test_the_runs_meet_where_the_tangents_do(pairs: list[RunPair]) -> None:
    # The runs close under 73 degrees: their meeting is about as well known as they are.
    assert np.linalg.norm(pairs[0].meeting_px - MEETING_PX) < 4.0


def test_runs_reach_from_the_rim_to_the_whirl(pairs: list[RunPair]) -> None:
    rim_px = rim().mean_radius_px
    for run in pairs[0].runs:
        # They come out from behind the rim, and end at the whirl's flange of 30 mm or somewhere on it.
        assert rim().distance_px(run.start_px[None])[0] > -0.02 * rim_px
        assert np.linalg.norm(run.end_px - WHIRL_PX) < 0.15 * rim_px
        # The pitch circle's tangents: 273 of 281 mm, seen 11 mm farther away.
        assert run.share == pytest.approx(0.96, abs=0.02)
        assert run.length_px == pytest.approx(float(np.linalg.norm(run.end_px - run.start_px)))


def test_the_band_is_far_likelier_than_the_next(pairs: list[RunPair]) -> None:
    scores = [pair.score for pair in pairs]
    assert scores == sorted(scores, reverse=True)
    # All others share a run with it at the most.
    others = [p for p in pairs[1:] if np.linalg.norm(p.meeting_px - MEETING_PX) > 30.0]
    assert all(pair.score < 0.7 * scores[0] for pair in others)


def test_a_click_outside_the_band_leaves_it_out() -> None:
    # Beyond the meeting of the runs, on the wall.
    beyond = 2 * MEETING_PX - WHIRL_PX
    found = find_run_pairs(wheel_with_card(), rim(), (float(beyond[0]), float(beyond[1])))
    assert all(np.linalg.norm(pair.meeting_px - MEETING_PX) > 4.0 for pair in found)


def test_without_a_band_there_are_no_runs() -> None:
    assert find_run_pairs(without_band(), rim()) == []


def test_edges_that_leave_the_rim_are_no_run_if_they_are_short() -> None:
    """A post and a board that touch the rim by chance: so short a run no wheel has."""
    painter = Painter()
    for side in (1, -1):
        start, end = run_ends_mm(side)
        # Three tenths of the rim's radius come out from behind it.
        stump_mm = start + (end - start) * 0.4
        along = (end - start) / np.linalg.norm(end - start)
        half = 1.4 * np.array([-along[1], along[0]])
        painter.fill(INK, 0.0, np.array([start + half, stump_mm + half, stump_mm - half, start - half]))
    paint_wheel(painter, band=False)
    rim_px = rim().mean_radius_px
    found = find_run_pairs(painter.as_seen(), rim())
    assert all(run.length_px >= SHORTEST_RUN * rim_px for pair in found for run in pair.runs)
    assert all(np.linalg.norm(pair.meeting_px - MEETING_PX) > 4.0 for pair in found)


def test_a_run_that_stops_far_before_the_other_is_no_band() -> None:
    """A gap between boards is a tangent too, but of a band whose whirl is half as large as the wheel."""
    painter, aside = Painter(), {**WHEEL, "spindle_angle": WHEEL["spindle_angle"] + GAP_TURN_RAD}
    start, end = run_ends_mm(1, aside)
    along = (end - start) / np.linalg.norm(end - start)
    stop, half = start + GAP_SHARE * (end - start), 2.0 * np.array([-along[1], along[0]])
    painter.fill(INK, 0.0, np.array([start + half, stop + half, stop - half, start - half]))
    paint_wheel(painter)
    found = find_run_pairs(painter.as_seen(), rim())
    gap_px = seen_by_opencv(np.array([start, stop]), 0.0, WHEEL)
    assert any(off_line_px(run, gap_px) < 3.0 for pair in found for run in pair.runs)
    assert np.linalg.norm(found[0].meeting_px - MEETING_PX) < 4.0


def ribbon(painter: Painter, side: int, truth: Mapping[str, float]) -> None:
    """A ribbon as wide as a finger where a run of another band would be, a little outside the groove."""
    start, end = run_ends_mm(side, truth)
    along = (end - start) / np.linalg.norm(end - start)
    half = 3.0 * np.array([-along[1], along[0]])
    painter.fill(INK, 0.0, np.array([start + half, end + half, end - half, start - half]))


@pytest.fixture(scope="module")
def beside_ribbons() -> Bgr:
    """The band, and two bold ribbons that close on another place."""
    painter = Painter()
    for side in (1, -1):
        ribbon(painter, side, RIBBONS)
    paint_wheel(painter)
    return painter.as_seen()


def test_places_on_the_band_choose_its_runs(beside_ribbons: Bgr) -> None:
    (first, *_) = find_run_pairs(beside_ribbons, rim())
    middles = [
        seen_by_opencv(run_ends_mm(side).mean(axis=0, keepdims=True), 0.0, WHEEL)[0] for side in (1, -1)
    ]
    # Left to itself the search takes the ribbons.
    assert np.linalg.norm(first.meeting_px - MEETING_PX) > 50.0
    for places in (middles[:1], middles[1:], middles):
        clicks = [(float(x) + 3, float(y) - 3) for x, y in places]
        (chosen, *_) = find_run_pairs(beside_ribbons, rim(), band_px=clicks)
        assert np.linalg.norm(chosen.meeting_px - MEETING_PX) < 6.0
    nowhere = find_run_pairs(beside_ribbons, rim(), band_px=[(1100.0, 800.0)])
    assert nowhere == []
