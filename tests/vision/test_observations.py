"""Residuals of everything that can be seen: none at the truth, and pixels over deviations beside it."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_scenes import (
    CARD_MM,
    TRUTH,
    Points,
    card_px,
    card_sides_px,
    flange_px,
    rim_px,
    run_px,
    seen_by_opencv,
)

from whirlwise.vision.fit.observations import (
    DistanceSeen,
    Observation,
    RunSeen,
)
from whirlwise.vision.fit.rectangle_seen import RectangleSeen
from whirlwise.vision.fit.rim_seen import RimSeen
from whirlwise.vision.fit.round_part_seen import RoundPartSeen
from whirlwise.vision.fit.scene import Scene

DEVIATION_PX = 0.5
ENDS_MM = np.array([[-120.0, 60.0], [90.0, -200.0]])
LENGTH_MM = float(np.hypot(210, 260))

Seen = tuple[Points, Callable[[Points], Observation]]


def card_seen(points_px: Points) -> RectangleSeen:
    """A card, as many points on each side."""
    return RectangleSeen(tuple(np.split(points_px, 4)), DEVIATION_PX, *CARD_MM, "card")


SEEN: dict[str, Seen] = {
    "rim": (rim_px(40), lambda points: RimSeen(points, DEVIATION_PX)),
    "left run": (run_px(1, 20), lambda points: RunSeen(points, DEVIATION_PX, 1, "loop1", "shift_left")),
    "right run": (run_px(-1, 20), lambda points: RunSeen(points, DEVIATION_PX, -1, "loop1", "shift_right")),
    "flange": (flange_px(24), lambda points: RoundPartSeen(points, DEVIATION_PX, "flange")),
    "card": (np.concatenate(card_sides_px(9)), card_seen),
}


def normals_of(points_px: Points) -> Points:
    """Unit normals (n, 2) of a closed outline by differences along it."""
    along = np.roll(points_px, -1, axis=0) - np.roll(points_px, 1, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    return np.column_stack([along[:, 1], -along[:, 0]])


@pytest.mark.parametrize("name", SEEN)
def test_the_truth_leaves_nothing(name: str) -> None:
    points_px, observation = SEEN[name]
    residuals = observation(points_px).residuals(Scene(TRUTH))
    np.testing.assert_allclose(residuals, 0, atol=1e-6)


@pytest.mark.parametrize("name", ["rim", "flange"])
def test_a_pixel_across_a_round_edge_counts_as_a_pixel(name: str) -> None:
    points_px, observation = SEEN[name]
    beside = points_px + normals_of(points_px)
    deviations = np.abs(observation(beside).residuals(Scene(TRUTH)))
    # A plane's millimetre is foreshortened by the tilt where the edge runs along the tilt's axis: with 18
    # degrees a pixel counts for up to 1 / cos(18 degrees) = 1.05 pixels, and depth over the picture adds 5 %.
    np.testing.assert_allclose(deviations, 1 / DEVIATION_PX, rtol=0.1)


@pytest.mark.parametrize("name", ["left run", "right run"])
def test_a_pixel_across_a_run_counts_as_a_pixel(name: str) -> None:
    points_px, observation = SEEN[name]
    along = (points_px[-1] - points_px[0]) / np.linalg.norm(points_px[-1] - points_px[0])
    beside = points_px + np.array([along[1], -along[0]])
    deviations = observation(beside).residuals(Scene(TRUTH))
    np.testing.assert_allclose(np.abs(deviations), 1 / DEVIATION_PX, rtol=0.1)
    assert np.ptp(np.sign(deviations)) == 0


def test_a_pixel_across_a_side_counts_as_a_pixel_and_along_it_as_nothing() -> None:
    across, along = [], []
    for side in card_sides_px(9):
        direction = (side[-1] - side[0]) / np.linalg.norm(side[-1] - side[0])
        across.append(side + np.array([direction[1], -direction[0]]))
        along.append(side + direction)
    deviations = card_seen(np.concatenate(across)).residuals(Scene(TRUTH))
    np.testing.assert_allclose(np.abs(deviations), 1 / DEVIATION_PX, rtol=0.1)
    # All four sides say in the same way that the card is seen too large or too small.
    assert np.ptp(np.sign(deviations)) == 0
    # The distortion leaves sides straight to a hundredth of a pixel.
    slid = card_seen(np.concatenate(along)).residuals(Scene(TRUTH))
    np.testing.assert_allclose(slid, 0, atol=0.01 / DEVIATION_PX)


def test_a_rim_that_is_larger_lies_outside() -> None:
    points_px, observation = SEEN["rim"]
    smaller = Scene({**TRUTH, "rim_radius": TRUTH["rim_radius"] - 1.0})
    assert (observation(points_px).residuals(smaller) > 0).all()


def test_each_unknown_is_felt_by_what_it_belongs_to() -> None:
    felt = {
        "rim": ("rim_radius", "rim_height", "oval_cos", "oval_sin", "tilt_x", "log_focal"),
        "left run": ("pitch_radius", "loop1_radius", "spindle_distance", "spindle_angle", "shift_left"),
        "right run": ("pitch_radius", "loop1_radius", "spindle_distance", "spindle_angle", "shift_right"),
        "flange": ("flange_radius", "flange_height", "flange_shift_x", "lean_y", "spindle_distance"),
        "card": ("card_size", "card_height", "card_x", "card_y", "card_turn", "card_side0", "card_side3"),
    }
    for name, unknowns in felt.items():
        points_px, observation = SEEN[name]
        for unknown in unknowns:
            moved = Scene({**TRUTH, unknown: TRUTH[unknown] + 0.01})
            assert np.abs(observation(points_px).residuals(moved)).max() > 1e-3, (name, unknown)


def test_a_rectangle_says_where_it_expects_its_corners() -> None:
    seen = card_seen(np.concatenate(card_sides_px(9)))
    np.testing.assert_allclose(seen.expected_px(Scene(TRUTH)), card_px(), atol=1e-8)
    corners_mm = seen.corners_mm(Scene(TRUTH))
    sides_mm = np.linalg.norm(np.roll(corners_mm, -1, axis=0) - corners_mm, axis=1)
    # ISO/IEC 7810, ID-1: 85.60 x 53.98 mm; this card is 0.02 % larger.
    assert sides_mm == pytest.approx([85.61712, 53.990796, 85.61712, 53.990796])
    assert corners_mm.mean(axis=0) == pytest.approx([60.0, -110.0])


def distance_seen(ends_px: NDArray[np.float64]) -> DistanceSeen:
    return DistanceSeen(ends_px, DEVIATION_PX, LENGTH_MM, "card")


def test_a_distance_of_two_points() -> None:
    scene = Scene({**TRUTH, "card_size": 1.0})
    ends_px = seen_by_opencv(ENDS_MM, TRUTH["card_height"])
    assert distance_seen(ends_px).residuals(scene) == pytest.approx([0.0], abs=1e-6)


def test_both_ends_of_a_distance_err() -> None:
    ends_px = seen_by_opencv(ENDS_MM, TRUTH["card_height"])
    noise = np.random.default_rng(6).normal(0, DEVIATION_PX, (4000, 2, 2))
    scene = Scene({**TRUTH, "card_size": 1.0})
    residuals = [distance_seen(ends_px + n).residuals(scene)[0] for n in noise]
    # Two independent ends: one standard deviation, up to the tilt's foreshortening of 1 / cos(18 degrees).
    assert np.std(residuals) == pytest.approx(1.0, abs=0.08)
    assert np.mean(residuals) == pytest.approx(0.0, abs=4 / np.sqrt(4000))
