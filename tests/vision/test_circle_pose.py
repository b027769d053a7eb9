"""Both poses of a circle that is seen as an ellipse, against circles projected by OpenCV."""

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from whirlwise.vision.geometry.camera import Camera
from whirlwise.vision.geometry.circle_pose import CirclePose, circle_poses
from whirlwise.vision.geometry.ellipse import Ellipse, fit_ellipse
from whirlwise.vision.geometry.plane import BandPlane

CAMERA = Camera(2500.0, (1600.0, 1200.0))
MATRIX = np.array([[2500.0, 0, 1600], [0, 2500.0, 1200], [0, 0, 1]])
RADIUS_MM = 280.0

Vector = NDArray[np.float64]


def outline_by_opencv(normal: Vector, centre: Vector) -> NDArray[np.float64]:
    """Pixels (n, 2) of a circle of radius 1 about ``centre``, square to ``normal``, in the camera frame."""
    side = np.cross(normal, [0.0, 1.0, 0.3])
    side /= np.linalg.norm(side)
    other = np.cross(normal, side)
    turn = np.linspace(0, 2 * np.pi, 180, endpoint=False)[:, None]
    space = centre + np.cos(turn) * side + np.sin(turn) * other
    pixels, _ = cv2.projectPoints(space, np.zeros(3), np.zeros(3), MATRIX, np.zeros(4))
    return np.asarray(pixels, dtype=float).reshape(-1, 2)


def ellipse_of(normal: Vector, centre: Vector) -> Ellipse:
    ellipse = fit_ellipse(outline_by_opencv(normal, centre))
    assert ellipse is not None
    return ellipse


def pose_of(tilt_rad: float, turned_rad: float, hub: tuple[float, float], depth: float) -> CirclePose:
    sine = np.sin(tilt_rad)
    normal = np.array([sine * np.cos(turned_rad), sine * np.sin(turned_rad), -np.cos(tilt_rad)])
    return CirclePose(normal, depth * np.array([*hub, 1.0]))


tilted = st.builds(
    pose_of,
    st.floats(0.1, 1.1),
    st.floats(0, 2 * np.pi),
    st.tuples(st.floats(-0.3, 0.3), st.floats(-0.25, 0.25)),
    st.floats(4, 9),
)


@given(tilted)
def test_one_pose_is_the_truth(truth: CirclePose) -> None:
    poses = circle_poses(ellipse_of(truth.normal, truth.centre), CAMERA)
    off_rad = [float(np.arccos(min(float(pose.normal @ truth.normal), 1.0))) for pose in poses]
    best = poses[int(np.argmin(off_rad))]
    # The fitted ellipse is good to 1e-3 px of 300, which an angle of 0.1 rad turns into 1e-4 rad.
    assert min(off_rad) < 2e-4
    np.testing.assert_allclose(best.centre, truth.centre, atol=2e-4 * float(truth.centre[2]))


@given(tilted)
def test_both_poses_are_seen_as_the_same_ellipse(truth: CirclePose) -> None:
    ellipse = ellipse_of(truth.normal, truth.centre)
    one, other = circle_poses(ellipse, CAMERA)
    for pose in (one, other):
        assert np.linalg.norm(pose.normal) == pytest.approx(1.0)
        assert np.abs(ellipse.distance_px(outline_by_opencv(pose.normal, pose.centre))).max() < 0.01


def test_the_two_poses_differ() -> None:
    truth = pose_of(0.4, 1.0, (0.1, 0.05), 5.0)
    one, other = circle_poses(ellipse_of(truth.normal, truth.centre), CAMERA)
    # Seen from nearly straight ahead the other plane is tilted the other way by about as much.
    between_rad = float(np.arccos(float(one.normal @ other.normal)))
    assert between_rad == pytest.approx(0.8, abs=0.25)


@pytest.mark.parametrize("hub", [(0.0, 0.0), (0.2, -0.1)])
def test_a_circle_facing_the_camera(hub: tuple[float, float]) -> None:
    truth = pose_of(0.0, 0.0, hub, 5.0)
    poses = circle_poses(ellipse_of(truth.normal, truth.centre), CAMERA)
    # Here the tilt is the root of the axes' difference: 1e-3 px of 500 leave 2e-3 rad.
    best = min(poses, key=lambda pose: float(np.linalg.norm(pose.normal - truth.normal)))
    np.testing.assert_allclose(best.normal, truth.normal, atol=3e-3)
    np.testing.assert_allclose(best.centre, truth.centre, rtol=1e-3, atol=5e-3)


@given(tilted)
def test_tilt_rotation_sets_up_the_same_plane(truth: CirclePose) -> None:
    u, v, depth = truth.centre[0] / truth.centre[2], truth.centre[1] / truth.centre[2], truth.centre[2]
    plane = BandPlane.from_tilt(CAMERA, truth.tilt_rotation, (float(u), float(v)), float(depth) * RADIUS_MM)
    np.testing.assert_allclose(plane.axes[:, 2], truth.normal, atol=1e-12)
    outline_px = plane.circle_px((0.0, 0.0), RADIUS_MM)
    assert np.abs(ellipse_of(truth.normal, truth.centre).distance_px(outline_px)).max() < 0.01


@pytest.mark.parametrize("tilt_deg", [5, 10, 20, 30])
def test_the_centre_of_a_circle_is_not_the_centre_of_its_ellipse(tilt_deg: float) -> None:
    tilt, depth = np.radians(tilt_deg), 1400.0
    plane = BandPlane.from_tilt(CAMERA, (0.0, float(tilt)), (0.0, 0.0), depth)
    ellipse = fit_ellipse(plane.circle_px((0.0, 0.0), RADIUS_MM))
    assert ellipse is not None
    (centre_px,) = plane.pixels_from_plane(np.zeros((1, 2)))
    # The circle's nearest and farthest point lie r sin(tilt) before and behind the centre, r cos(tilt) to its
    # sides; half the sum of their pictures is the middle of the ellipse (computed).
    far, side = RADIUS_MM * np.sin(tilt), RADIUS_MM * np.cos(tilt)
    expected_px = CAMERA.focal_px * side * far / (depth**2 - far**2)
    assert np.linalg.norm(ellipse.centre_px - centre_px) == pytest.approx(expected_px, abs=2e-3)
    assert expected_px > 8
    assert abs(ellipse.centre_px[1] - centre_px[1]) < 2e-3
