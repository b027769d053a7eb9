"""How a rule leans about its own edge, told by how its ticks draw together (a pinhole, in closed form)."""

from dataclasses import replace

import numpy as np
import pytest
from tests.vision.drawn_pictures import picture_of
from tests.vision.drawn_rules import MM_RULE, Stand

from whirlwise.vision.find.tick_ends import tick_ends
from whirlwise.vision.find.tick_rows import TickRow
from whirlwise.vision.find.tick_strip import TickBand, straightened
from whirlwise.vision.fit.reference_pose import ReferencePose, fit_reference_pose
from whirlwise.vision.measured import HALF_WIDTH_95
from whirlwise.vision.references import FoundReference, ReferenceRequest
from whirlwise.vision.references.rule import find_rule

from .test_rule import FRONT_ON

#: The rule stands upright, and what holds it is turned about the upright: so it leans about its own edge.
UPRIGHT = Stand(size=(260, 780), turn_rad=0.5 * np.pi)


def pose_of(stand: Stand, seed: int) -> tuple[FoundReference, ReferencePose]:
    """The rule found in a drawn picture, and its pose."""
    bgr = stand.drawn(MM_RULE.grey_at, seed=seed)
    picture = replace(picture_of(bgr), focal_px=stand.focal_px)
    found = find_rule(picture, FRONT_ON, ReferenceRequest("rule"))[0]
    assert isinstance(found, FoundReference)
    return found, fit_reference_pose(picture, found)


@pytest.mark.parametrize("tilt_deg", [-14.0, -6.0, 0.0, 9.0])
def test_ticks_that_draw_together_tell_how_the_rule_leans(tilt_deg: float) -> None:
    stand = replace(UPRIGHT, tilt_rad=np.radians(tilt_deg))
    _, pose = pose_of(stand, seed=round(abs(tilt_deg)))
    _, plane = pose.scene()
    # The right-hand side is further away, so the face looks to the left of the camera.
    normal = np.array([np.sin(stand.tilt_rad), 0.0, -np.cos(stand.tilt_rad)])
    off_rad = np.arccos(np.clip(plane.axes[:, 2] @ normal, -1.0, 1.0))
    claimed_rad = float(np.sqrt(pose.covariance[2, 2] + pose.covariance[3, 3]))
    assert off_rad < HALF_WIDTH_95 * claimed_rad
    # Two points with a known distance would leave it at 4 degrees.
    assert claimed_rad < np.radians(2.0)


def test_how_far_the_rule_is_follows_from_its_lean() -> None:
    stand = replace(UPRIGHT, tilt_rad=np.radians(10.0))
    found, pose = pose_of(stand, seed=5)
    _, plane = pose.scene()
    middle_mm = stand.plane_from_pixels(found.corners_px).mean(axis=0)
    depth_mm = stand.distance_mm + middle_mm[0] * np.sin(stand.tilt_rad)
    assert plane.origin_mm[2] == pytest.approx(depth_mm, rel=0.004)


def test_a_tick_that_is_not_seen_is_no_number() -> None:
    row = TickRow(np.array([130.0, 60.0]), np.array([1.0, 0.0]), 100.0, 12.0, 10)
    light = np.full((120, 260), 80.0, dtype=np.float32)
    for x in (94, 106, 130):
        light[40:80, x - 1 : x + 2] = 20.0
    strip = straightened(light, row)
    band = TickBand(-15.0, 15.0, 0.0)
    places = np.array([94.0, 106.0, 118.0, 130.0]) - 130.0
    ends = tick_ends(strip, band, places, -1.0)
    assert ends is not None
    np.testing.assert_allclose(ends[[0, 1, 3], :, 0], [[94, 94], [106, 106], [130, 130]], atol=0.3)
    np.testing.assert_allclose(ends[:, 1, 1] - ends[:, 0, 1], 30.0)


def test_ticks_too_short_to_lean_have_no_ends() -> None:
    row = TickRow(np.array([130.0, 60.0]), np.array([1.0, 0.0]), 100.0, 12.0, 10)
    strip = straightened(np.zeros((120, 260), dtype=np.float32), row)
    assert tick_ends(strip, TickBand(-2.0, 2.0, 0.0), np.zeros(3), -1.0) is None
