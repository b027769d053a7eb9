"""Where round parts put the spindle: parts with known middles, as similar triangles show them."""

import cv2
import numpy as np
import pytest
from scipy.stats import norm
from tests.vision.drawn_scenes import unit
from tests.vision.drawn_wheels import WHEEL, spindle_mm

from whirlwise.vision.find.round_parts import RoundPart
from whirlwise.vision.fit.scene import Scene
from whirlwise.vision.fit.spindle import (
    ABOUT_MM,
    AGREEING,
    CLEAR_ODDS,
    MOST_SURE,
    STEP_MM,
    ExpectedPlace,
    SpindlePlace,
    place_on_line,
    place_spindle,
)
from whirlwise.vision.geometry.camera import Points

SCENE = Scene(WHEEL)
ALONG_MM = WHEEL["spindle_distance"]
PX_PER_MM = 2.0


def about(along_mm: float, doubt_mm: float) -> ExpectedPlace:
    """The spindle is expected so far from the hub, the runs meeting 60 mm further on."""
    return ExpectedPlace(along_mm + 60.0, 60.0, doubt_mm / 60.0)


def camera_mm() -> Points:
    """Where the camera is in band plane coordinates, (3,): the pose turned round, by ``cv2.Rodrigues``."""
    tilted, _ = cv2.Rodrigues(np.array([WHEEL["tilt_x"], WHEEL["tilt_y"], 0.0]))
    axes = tilted @ np.diag([1.0, -1.0, -1.0])
    origin = np.exp(WHEEL["log_depth"]) * np.array([WHEEL["hub_u"], WHEEL["hub_v"], 1.0])
    return np.asarray(-axes.T @ origin)


def part(
    height_mm: float,
    radius_mm: float = 30.0,
    middle_mm: Points | None = None,
    arc: float = 0.9,
    scatter_px: float = 0.2,
) -> RoundPart:
    """A circle on the spindle at a height, as it covers the band plane (similar triangles)."""
    middle_mm = spindle_mm() if middle_mm is None else middle_mm
    *foot, camera_height = camera_mm()
    growth = camera_height / (camera_height - height_mm)
    seen_middle = np.asarray(foot) + growth * (middle_mm - foot)
    return RoundPart(seen_middle, growth * radius_mm, np.zeros((0, 2)), arc, scatter_px, PX_PER_MM)


def test_parts_of_one_spindle_agree_on_it() -> None:
    place = place_spindle(
        SCENE, [part(6.0), part(22.0, 16.0), part(-38.0, 44.0)], about(ALONG_MM + 9.0, 15.0)
    )
    assert place is not None
    # Searched in steps of a quarter of a millimetre.
    assert place.along_mm == pytest.approx(ALONG_MM, abs=STEP_MM)
    assert place.rivals_mm == ()
    heights = sorted(placed.height_mm for placed in place.parts)
    assert heights == pytest.approx([-38.0, 6.0, 22.0], abs=1e-6)
    assert all(placed.along_mm == pytest.approx(ALONG_MM, abs=1e-6) for placed in place.parts)
    # Seen clearly nearly all round, each counts whole: by chance it agrees as often as it hits the place
    # among all where it may lie.
    chances = [2 * AGREEING * placed.doubt_mm / ABOUT_MM for placed in place.parts]
    assert place.log_odds == pytest.approx(-np.log(np.prod(chances)))


def test_one_small_circle_may_be_the_end_of_a_flyers_arm() -> None:
    arm = place_spindle(SCENE, [part(2.0, 5.0)], about(ALONG_MM, 15.0))
    flange = place_spindle(SCENE, [part(2.0, 20.0)], about(ALONG_MM, 15.0))
    both = place_spindle(SCENE, [part(2.0, 5.0), part(2.0, 20.0)], about(ALONG_MM, 15.0))
    assert arm is not None
    assert flange is not None
    assert both is not None
    assert arm.one_small_circle
    assert not flange.one_small_circle
    assert not both.one_small_circle


def test_rings_about_one_middle_say_no_more_than_one_of_them() -> None:
    """A basket on the wall shows many, and all seem to stand at one height before the wheel."""
    alone = place_spindle(SCENE, [part(120.0, 30.0)], about(ALONG_MM, 15.0))
    rings = place_spindle(SCENE, [part(120.0, 12.0 + 3.0 * k) for k in range(8)], about(ALONG_MM, 15.0))
    assert alone is not None
    assert rings is not None
    assert len(rings.parts) == 8
    assert rings.log_odds == pytest.approx(alone.log_odds, rel=0.05)


def test_parts_of_which_none_is_clear_may_agree_by_chance() -> None:
    """Half an arc, roughly seen, is vague, and so are many of the kind; one clear flange is enough."""

    def placed(*parts: RoundPart) -> SpindlePlace:
        place = place_spindle(SCENE, parts, about(ALONG_MM, 15.0))
        assert place is not None
        return place

    faint = [part(4.0 * k - 14.0, 20.0 + k, arc=0.6, scatter_px=0.35) for k in range(8)]
    assert placed(*faint[:2]).vague
    assert placed(*faint).vague
    assert not placed(*faint[:2], part(3.0, 30.0)).vague
    # A flyer's arm may be ever so clear.
    assert placed(part(2.0, 5.0)).vague


def test_vague_parts_that_agree_say_little() -> None:
    """Three parts far before the plane agree more easily by chance than one near it."""
    near = place_spindle(SCENE, [part(2.0)], about(ALONG_MM, 15.0))
    far = place_spindle(SCENE, [part(150.0, radius) for radius in (20.0, 30.0)], about(ALONG_MM, 15.0), 0.02)
    assert near is not None
    assert far is not None
    assert far.log_odds < near.log_odds


def test_a_doubtful_tilt_makes_high_parts_doubtful() -> None:
    """A tilt by 0.02 rad moves what is 50 mm high by a millimetre, as a lean of the spindle does."""
    sure, unsure = (place_spindle(SCENE, [part(50.0)], about(ALONG_MM, 15.0), tilt) for tilt in (0.0, 0.02))
    assert sure is not None
    assert unsure is not None
    growth = unsure.parts[0].doubt_mm / sure.parts[0].doubt_mm
    # sqrt(0.1^2 + 0.75^2 + 1^2) / sqrt(0.1^2 + 0.75^2)
    assert growth == pytest.approx(1.2540 / 0.75664, rel=1e-3)


def test_half_and_twice_as_far_from_the_meeting_are_equally_likely() -> None:
    expected = about(ALONG_MM, 20.0)
    near, far = expected.odds(expected.meeting_mm - np.array([30.0, 120.0]))
    assert near == pytest.approx(far)
    assert near == pytest.approx(np.exp(-0.5 * (np.log(2.0) / (20.0 / 60.0)) ** 2))


def test_parts_of_chance_do_not_carry_the_spindle_away() -> None:
    rng = np.random.default_rng(2)
    chance = [
        part(0.0, middle_mm=spindle_mm() + rng.uniform(-60, 60, 2), arc=0.3, scatter_px=0.5) for _ in range(6)
    ]
    place = place_spindle(SCENE, [*chance, part(6.0), part(22.0, 16.0)], about(ALONG_MM - 6.0, 15.0))
    assert place is not None
    assert place.along_mm == pytest.approx(ALONG_MM, abs=2 * STEP_MM)


def test_two_places_for_which_equally_much_speaks_are_rivals() -> None:
    other = (ALONG_MM + 12.0) * unit(WHEEL["spindle_angle"])
    parts = [part(6.0), part(15.0), part(6.0, middle_mm=other), part(15.0, middle_mm=other)]
    place = place_spindle(SCENE, parts, about(ALONG_MM + 5.0, 15.0))
    assert place is not None
    ((rival_mm, support),) = place.rivals_mm
    assert sorted([place.along_mm, rival_mm]) == pytest.approx([ALONG_MM, ALONG_MM + 12.0], abs=2 * STEP_MM)
    assert 0.5 < support <= 1.0
    # Each place is told by its own two parts.
    assert len(place.parts) == 2


def test_a_place_for_which_few_parts_speak_is_no_rival() -> None:
    """One edge near the band plane tells its place sharply; three say that it is another thing's."""
    other = (ALONG_MM + 12.0) * unit(WHEEL["spindle_angle"])
    strangers = [part(1.0, middle_mm=other), part(15.0, middle_mm=other)]
    real = [part(6.0), part(15.0), part(22.0)]
    place = place_spindle(SCENE, [*real, *strangers[:1]], about(ALONG_MM + 5.0, 15.0))
    assert place is not None
    assert place.along_mm == pytest.approx(ALONG_MM, abs=2 * STEP_MM)
    assert place.rivals_mm == ()
    as_many = place_spindle(SCENE, [*real[:2], *strangers], about(ALONG_MM + 5.0, 15.0))
    assert as_many is not None
    assert len(as_many.rivals_mm) == 1


def test_what_parts_say_is_the_odds_of_a_mixture() -> None:
    """A part is the spindle's with some chance, or else anywhere: a normal and an even density are mixed.

    The densities are SciPy's; a rival's share is the root of its odds beside those of the best place.
    """
    doubt_mm, apart_mm = part(0.0).centre_doubt_mm, 12.0
    other = (ALONG_MM + apart_mm) * unit(WHEEL["spindle_angle"])
    place = place_spindle(
        SCENE, [part(0.0, 20.0), part(4.0, 20.0, middle_mm=other)], about(ALONG_MM + 6.0, 15.0)
    )
    assert place is not None
    ((_, support),) = place.rivals_mm
    crossing = doubt_mm / place.parts[0].doubt_mm
    doubts_mm = [np.hypot(np.hypot(doubt_mm, 0.015 * height) / crossing, STEP_MM) for height in (0.0, 4.0)]
    densities = [MOST_SURE * norm(0.0, each).pdf(0.0) * ABOUT_MM + 1 - MOST_SURE for each in doubts_mm]
    expected = about(ALONG_MM + 6.0, 15.0).odds(np.array([ALONG_MM, ALONG_MM + apart_mm]))
    odds = densities[1] * expected[1] / (densities[0] * expected[0])
    assert support == pytest.approx(np.sqrt(min(odds, 1 / odds)), rel=0.05)


def test_a_part_farther_away_is_known_less_well() -> None:
    """A spindle that leans by 0.015 rad shifts a part by that much of its height."""
    near, far = (place_spindle(SCENE, [part(height)], about(ALONG_MM, 10.0)) for height in (6.0, 100.0))
    assert near is not None
    assert far is not None
    growth = far.parts[0].doubt_mm / near.parts[0].doubt_mm
    # The same line of sight, so the same crossing; 0.09 mm and 1.5 mm of lean.
    own_mm = part(6.0).centre_doubt_mm
    assert growth == pytest.approx(np.hypot(own_mm, 1.5) / np.hypot(own_mm, 0.09), rel=1e-3)


@pytest.mark.parametrize(
    "useless",
    [
        part(6.0, arc=0.3, scatter_px=0.65),
        part(6.0, 6.0, arc=0.6),
        part(200.0),
        part(6.0, middle_mm=spindle_mm() + 80.0 * unit(WHEEL["spindle_angle"])),
    ],
    ids=["strewn points", "a small arc of a small circle", "far before the plane", "far along the bisector"],
)
def test_parts_that_do_not_help(useless: RoundPart) -> None:
    assert place_spindle(SCENE, [useless], about(ALONG_MM, 10.0)) is None


def test_without_parts_there_is_no_place() -> None:
    assert place_spindle(SCENE, [], about(ALONG_MM, 10.0)) is None


def test_where_the_bisector_runs_towards_the_camera_nothing_is_told() -> None:
    """Axis and bisector lie in one line of sight: parts at any height would do."""
    *foot, _ = camera_mm()
    towards = float(np.arctan2(foot[1], foot[0]))
    scene = Scene({**WHEEL, "spindle_angle": towards})
    on_spindle = part(20.0, middle_mm=ALONG_MM * unit(towards))
    assert place_spindle(scene, [on_spindle], about(ALONG_MM, 10.0)) is None


def test_the_less_the_tilt_is_known_the_steeper_axis_and_bisector_must_cross() -> None:
    """The axis' direction is told by the camera's foot, which a tilt moves by the camera's height."""
    *foot, camera_height = camera_mm()
    sight = spindle_mm() - foot
    across = abs(float(sight @ unit(WHEEL["spindle_angle"] + np.pi / 2)))
    # Two deviations of the tilt make axis and bisector one.
    most = across / camera_height / 2
    assert place_spindle(SCENE, [part(6.0)], about(ALONG_MM, 10.0), 0.9 * most) is not None
    assert place_spindle(SCENE, [part(6.0)], about(ALONG_MM, 10.0), 1.1 * most) is None


def axis_mm() -> Points:
    """Two points of the axis as it covers the band plane (similar triangles)."""
    *foot, camera_height = camera_mm()
    growth = np.array([[camera_height / (camera_height - height)] for height in (-20.0, 20.0)])
    return np.asarray(foot + growth * (spindle_mm() - foot))


def test_a_line_that_is_seen_tells_the_place_with_the_parts_that_agree() -> None:
    stranger = part(6.0, middle_mm=spindle_mm() + 9.0 * unit(WHEEL["spindle_angle"]))
    place = place_on_line(SCENE, axis_mm(), [part(6.0), stranger])
    assert place is not None
    assert place.along_mm == pytest.approx(ALONG_MM, abs=1e-6)
    assert [placed.along_mm for placed in place.parts] == pytest.approx([ALONG_MM], abs=1e-6)


def test_a_line_needs_no_parts() -> None:
    """All edges about the axis agreed on it: that is more than a chance."""
    place = place_on_line(SCENE, axis_mm(), [])
    assert place is not None
    assert not place.vague
    assert place.log_odds == pytest.approx(CLEAR_ODDS)


def test_a_line_along_the_bisector_tells_no_place() -> None:
    ends_mm = np.array([[0.9], [1.1]]) * spindle_mm()
    assert place_on_line(SCENE, ends_mm, []) is None
