"""Rules: ticks of drawn rules are found where they are, and what they are divided in is told or left open."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from tests.vision.drawn_pictures import picture_of
from tests.vision.drawn_rules import (
    ALL_ALIKE,
    EIGHTHS,
    FIFTHS_ONLY,
    HALF_MM_RULE,
    MM_RULE,
    SIXTEENTHS,
    THIRTY_SECONDS,
    DrawnRule,
    Stand,
)

from whirlwise.vision.geometry.camera import Camera
from whirlwise.vision.geometry.plane import BandPlane
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.references import FoundReference, ReferenceRequest, Surroundings
from whirlwise.vision.references.rule import NO_TICKS, UNCLEAR, find_rule

#: A plane seen squarely, whatever the rule's own tilt: what is known where there is no wheel.
FRONT_ON = Surroundings(
    BandPlane.from_tilt(Camera(1000.0, (0.0, 0.0)), (0.0, 0.0), (0.0, 0.0), 1000.0), 280.0
)
STRAIGHT = Stand()
TILTED = Stand(tilt_rad=np.radians(18.0), turn_rad=np.radians(4.0))
#: The inch is 25.4 mm by the international yard and pound agreement of 1959.
INCH_MM = 25.4


def looked_for(
    rule: DrawnRule, stand: Stand = STRAIGHT, noise: float = 4.0
) -> Sequence[FoundReference | NotMeasured]:
    """What is found of a drawn rule."""
    picture = picture_of(stand.drawn(rule.grey_at, noise))
    return find_rule(picture, FRONT_ON, ReferenceRequest("rule"))


def the_rule(found: Sequence[FoundReference | NotMeasured]) -> FoundReference:
    """The one rule that was found."""
    assert len(found) == 1
    assert isinstance(found[0], FoundReference)
    return found[0]


@pytest.mark.parametrize("stand", [STRAIGHT, TILTED], ids=["square on", "tilted"])
@pytest.mark.parametrize(
    ("rule", "step_mm"),
    [
        (MM_RULE, 1.0),
        (HALF_MM_RULE, 0.5),
        (SIXTEENTHS, INCH_MM / 16),
        (THIRTY_SECONDS, INCH_MM / 32),
    ],
    ids=["mm", "half mm", "1/16 in", "1/32 in"],
)
def test_a_rule_is_numbered_and_its_division_told(rule: DrawnRule, step_mm: float, stand: Stand) -> None:
    # The steps may be halved or doubled where every other tick is longer: what counts is mm along the rule.
    found = the_rule(looked_for(rule, stand))
    assert found.ticks is not None
    true_mm = stand.turned(stand.plane_from_pixels(found.ticks.points_px))[:, 0]
    off_mm = np.sign(true_mm[-1] - true_mm[0]) * (true_mm - true_mm[0]) - found.ticks.at_mm
    assert np.abs(off_mm).max() < 0.25 * step_mm
    assert off_mm.std() < 0.1 * step_mm
    assert found.width_mm > 0.85 * rule.step_mm * (rule.ticks - 1)


@pytest.mark.parametrize("tilt_deg", [0.0, 12.0, 25.0])
def test_ticks_give_the_scale_to_a_part_in_a_thousand(tilt_deg: float) -> None:
    stand = Stand(tilt_rad=np.radians(tilt_deg), turn_rad=np.radians(-6.0))
    found = the_rule(looked_for(MM_RULE, stand))
    ends_mm = stand.plane_from_pixels(found.corners_px)
    assert np.linalg.norm(ends_mm[1] - ends_mm[0]) == pytest.approx(found.width_mm, rel=1e-3)


def test_light_ticks_on_a_dark_rule_do_as_well() -> None:
    found = the_rule(looked_for(replace(MM_RULE, inked=250.0)))
    assert found.width_mm == pytest.approx(150.0, abs=3.0)


@pytest.mark.parametrize("rule", [EIGHTHS, FIFTHS_ONLY, ALL_ALIKE], ids=["eighths", "fifths", "alike"])
def test_a_pattern_that_may_be_two_things_is_left_open(rule: DrawnRule) -> None:
    assert looked_for(rule) == [UNCLEAR]


def test_noise_holds_no_rule() -> None:
    assert looked_for(replace(MM_RULE, inked=205.0), noise=25.0) == [NO_TICKS]


def test_a_strip_of_tape_across_the_ticks_is_no_harm() -> None:
    def grey_at(points_mm: np.ndarray) -> np.ndarray:
        grey = MM_RULE.grey_at(points_mm)
        return np.where(np.abs(points_mm[:, 0] - 20.0) < 6.0, 230.0, grey)

    picture = picture_of(STRAIGHT.drawn(grey_at))
    found = the_rule(find_rule(picture, FRONT_ON, ReferenceRequest("rule")))
    ends_mm = STRAIGHT.plane_from_pixels(found.corners_px)
    assert np.linalg.norm(ends_mm[1] - ends_mm[0]) == pytest.approx(found.width_mm, rel=1e-3)
