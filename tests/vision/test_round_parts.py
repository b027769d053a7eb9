"""Round parts about a drawn spindle: each is a true circle as it covers the band plane.

Where it covers it follows from the camera's place by similar triangles, the picture from OpenCV's projection.
"""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import least_squares
from tests.vision.drawn_scenes import seen_by_opencv, unit
from tests.vision.drawn_wheels import (
    FRONT_FLANGE,
    KNOB,
    WHEEL,
    circle,
    spindle_mm,
    wheel_with_card,
)

from whirlwise.vision.find.round_parts import (
    CENTRE_DOUBT_MM,
    RoundPart,
    find_round_parts,
    square_view,
    with_earlier,
)
from whirlwise.vision.find.traced_circles import fit_circle
from whirlwise.vision.fit.scene import Scene
from whirlwise.vision.geometry.camera import Points

PLANE = Scene(WHEEL).plane
RIM_MM = WHEEL["rim_radius"]
#: Half a pixel of the picture, by which edges of great contrast are shifted to the dark, in mm.
TOLERANCE_MM = 0.6


def covers(part: tuple[float, float]) -> tuple[Points, float]:
    """Middle and radius in the band plane of what hides behind a circle (radius, height) on the spindle."""
    radius_mm, height_mm = part
    tilted, _ = cv2.Rodrigues(np.array([WHEEL["tilt_x"], WHEEL["tilt_y"], 0.0]))
    origin = np.exp(WHEEL["log_depth"]) * np.array([WHEEL["hub_u"], WHEEL["hub_v"], 1.0])
    *foot, camera_height = -(tilted @ np.diag([1.0, -1.0, -1.0])).T @ origin
    growth = camera_height / (camera_height - height_mm)
    return np.asarray(foot) + growth * (spindle_mm() - foot), growth * radius_mm


@pytest.fixture(scope="module")
def parts() -> list[RoundPart]:
    return find_round_parts(wheel_with_card(), PLANE, spindle_mm() + np.array([6.0, -4.0]), RIM_MM)


@pytest.mark.parametrize("true", [FRONT_FLANGE, KNOB], ids=["flange", "knob"])
def test_every_part_is_among_the_clearest(true: tuple[float, float], parts: list[RoundPart]) -> None:
    middle_mm, radius_mm = covers(true)
    found = min(
        parts[:8], key=lambda part: abs(part.radius_mm - radius_mm) + np.hypot(*(part.centre_mm - middle_mm))
    )
    assert found.radius_mm == pytest.approx(radius_mm, abs=TOLERANCE_MM)
    assert found.centre_mm == pytest.approx(middle_mm, abs=TOLERANCE_MM)
    # Parts hide each other by a fifth at the most, and a short piece between two of them doesn't count.
    assert found.arc > 0.7


@pytest.mark.parametrize("true", [FRONT_FLANGE, KNOB], ids=["flange", "knob"])
def test_points_lie_on_the_part_in_the_picture(true: tuple[float, float], parts: list[RoundPart]) -> None:
    radius_mm, height_mm = true
    outline_px = seen_by_opencv(circle(spindle_mm(), radius_mm), height_mm, WHEEL)
    off_px = [
        np.median(np.linalg.norm(part.points_px[:, None] - outline_px, axis=2).min(axis=1))
        for part in parts[:8]
    ]
    # Outline points stand less than half a pixel apart.
    assert min(off_px) < 0.6


def test_the_clearest_come_first_and_none_twice(parts: list[RoundPart]) -> None:
    clarity = [part.clarity for part in parts]
    assert clarity == sorted(clarity, reverse=True)
    native = PLANE.px_per_mm((float(spindle_mm()[0]), float(spindle_mm()[1])))
    for k, part in enumerate(parts):
        for other in parts[:k]:
            apart_mm = np.hypot(*(part.centre_mm - other.centre_mm)) + abs(part.radius_mm - other.radius_mm)
            assert apart_mm * 1.15 * native >= 2.0


def test_points_strewn_evenly_over_the_tolerance_say_nothing() -> None:
    # Evenly over 0.8 px to either side: 0.8 / sqrt(3) of scatter.
    strewn = RoundPart(np.zeros(2), 20.0, np.zeros((0, 2)), 1.0, 0.8 / np.sqrt(3), 2.0)
    sharp = RoundPart(np.zeros(2), 20.0, np.zeros((0, 2)), 0.8, 0.0, 2.0)
    assert strewn.clarity == pytest.approx(0.0, abs=1e-12)
    assert sharp.clarity == pytest.approx(0.8)


def test_the_middle_of_a_vaguer_or_more_coarsely_seen_edge_is_known_less_well() -> None:
    def doubt_mm(arc: float, px_per_mm: float) -> float:
        return RoundPart(np.zeros(2), 20.0, np.zeros((0, 2)), arc, 0.2, px_per_mm).centre_doubt_mm

    assert doubt_mm(1.0, 2.0) < doubt_mm(0.7, 2.0) < doubt_mm(0.4, 2.0) < doubt_mm(0.4, 1.0)
    # What is seen best is still turned and mounted by hand.
    assert doubt_mm(1.0, 20.0) == pytest.approx(CENTRE_DOUBT_MM, rel=0.01)


def test_of_two_edges_side_by_side_one_is_found_and_not_their_middle() -> None:
    """A flange's front edge and its back one, 12 mm behind it, seen aslant: each is a circle of its own."""
    front, back = (30.0, 20.0), (30.0, 8.0)
    bgr = np.full((900, 1200, 3), 70, np.uint8)
    for part, light in ((back, 120), (front, 190)):
        outline_px = seen_by_opencv(circle(spindle_mm(), part[0]), part[1], WHEEL)
        cv2.fillPoly(bgr, [np.round(outline_px * 16).astype(np.int32)], (light,) * 3, cv2.LINE_AA, 4)
    blurred = np.asarray(cv2.GaussianBlur(bgr, (0, 0), 0.8), dtype=np.uint8)
    clearest = find_round_parts(blurred, PLANE, spindle_mm(), RIM_MM)[0]
    away_mm = [float(np.hypot(*(clearest.centre_mm - covers(part)[0]))) for part in (front, back)]
    assert min(away_mm) < 0.25 * max(away_mm)


def test_a_bare_wall_has_no_round_part() -> None:
    blank = np.full((900, 1200, 3), 150, np.uint8)
    assert find_round_parts(blank, PLANE, spindle_mm(), RIM_MM) == []


@pytest.mark.parametrize("seed", range(2))
def test_what_noise_shows_is_never_clear(seed: int) -> None:
    noise = np.random.default_rng(seed).integers(0, 256, (900, 1200, 3), dtype=np.uint8)
    parts = find_round_parts(noise, PLANE, spindle_mm(), RIM_MM)
    # In white noise small circles are everywhere. Real edges of the size of a flange have 0.45 and more.
    assert all(part.clarity < 0.45 for part in parts if part.radius_mm > 10.0)


def test_a_square_view_shows_the_plane_true_to_scale() -> None:
    view = square_view(wheel_with_card(), PLANE, spindle_mm(), 50.0, 1.5)
    count = view.lab.shape[0]
    corners = view.plane_from_view(np.array([[0.0, 0.0], [count - 1.0, count - 1.0]]))
    # x to the right, y up, the middle in the middle.
    half_mm = (count - 1) / 2 / 1.5
    assert corners == pytest.approx(spindle_mm() + half_mm * np.array([[-1, 1], [1, -1]]))
    assert count == pytest.approx(2 * 50.0 * 1.5, abs=1)


@pytest.mark.parametrize("seed", range(3))
def test_circle_fit_against_scipys_least_squares(seed: int) -> None:
    rng = np.random.default_rng(seed)
    points = (
        np.array([40.0, -25.0]) + 30.0 * unit(rng.uniform(0, 2 * np.pi, 60)) + rng.normal(0, 0.2, (60, 2))
    )

    def away(circle_: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(np.hypot(points[:, 0] - circle_[0], points[:, 1] - circle_[1]) - circle_[2])

    geometric = least_squares(away, [0.0, 0.0, 10.0]).x
    centre, radius = fit_circle(points)
    # Kasa's fit and the geometric one differ by the square of the noise over the radius: 0.001 px.
    assert [*centre, radius] == pytest.approx(geometric.tolist(), abs=0.005)


def test_circle_fit_as_published() -> None:
    # Gander, Golub, Strebel, BIT 34 (1994) 558-578: the six points (from memory); Kasa's fit recomputed.
    points = np.array([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7)], dtype=float)
    centre, radius = fit_circle(points)
    assert [*centre, radius] == pytest.approx([4.74233, 3.83512, 4.10876], abs=1e-5)


def test_a_part_seen_in_another_pose_is_the_same_edge(parts: list[RoundPart]) -> None:
    other = Scene({**WHEEL, "tilt_x": WHEEL["tilt_x"] + 0.02}).plane
    again = parts[0].seen_in(other).seen_in(PLANE)
    assert again.centre_mm == pytest.approx(parts[0].centre_mm, abs=0.05)
    assert again.radius_mm == pytest.approx(parts[0].radius_mm, abs=0.05)
    assert again.clarity == pytest.approx(parts[0].clarity, abs=0.05)


def test_what_an_earlier_look_showed_is_added_once(parts: list[RoundPart]) -> None:
    both = with_earlier(parts[1:], parts, PLANE)
    assert len(both) == len(parts)
    assert both[0].radius_mm == pytest.approx(parts[0].radius_mm, abs=0.05)
    assert with_earlier([], [], PLANE) == []
