"""The band plane and planes parallel to it: round trips, OpenCV's projection, and similar triangles."""

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from whirlwise.vision.geometry.camera import Camera, Points
from whirlwise.vision.geometry.plane import BandPlane

CAMERA = Camera(2500.0, (1600.0, 1200.0), 0.01)
PINHOLE = Camera(2500.0, (1600.0, 1200.0))

tilts_rad = st.tuples(st.floats(-0.7, 0.7), st.floats(-0.7, 0.7))
hubs = st.tuples(st.floats(-0.2, 0.2), st.floats(-0.2, 0.2))
places_mm = st.tuples(st.floats(-400, 400), st.floats(-400, 400))
heights_mm = st.floats(-80, 80)


def points_about_the_hub() -> Points:
    return np.random.default_rng(8).uniform(-400, 400, (40, 2))


@given(tilts_rad, hubs, st.floats(700, 3000), places_mm, heights_mm)
def test_points_of_the_plane_come_back(
    tilt: tuple[float, float],
    hub: tuple[float, float],
    depth_mm: float,
    place: tuple[float, float],
    height_mm: float,
) -> None:
    plane = BandPlane.from_tilt(PINHOLE, tilt, hub, depth_mm)
    back = plane.plane_from_pixels(plane.pixels_from_plane(np.array([place]), height_mm), height_mm)
    np.testing.assert_allclose(back, [place], atol=1e-6)


@given(tilts_rad, hubs, st.tuples(st.floats(0, 3199), st.floats(0, 2399)), heights_mm)
def test_pixels_come_back_through_a_mild_distortion(
    tilt: tuple[float, float], hub: tuple[float, float], pixel: tuple[float, float], height_mm: float
) -> None:
    plane = BandPlane.from_tilt(CAMERA, tilt, hub, 1500.0)
    back = plane.pixels_from_plane(plane.plane_from_pixels(np.array([pixel]), height_mm), height_mm)
    np.testing.assert_allclose(back, [pixel], atol=1e-4)


@pytest.mark.parametrize("height_mm", [0.0, 17.0, -30.0])
@pytest.mark.parametrize("tilt", [(0.0, 0.0), (0.3, -0.5), (-0.6, 0.2)])
def test_points_are_seen_where_opencv_sees_them(tilt: tuple[float, float], height_mm: float) -> None:
    plane = BandPlane.from_tilt(CAMERA, tilt, (0.05, -0.08), 1500.0)
    points_mm = points_about_the_hub()
    space = np.column_stack([points_mm, np.full(len(points_mm), height_mm)])
    tilted, _ = cv2.Rodrigues(np.array([*tilt, 0.0]))
    axes, _ = cv2.Rodrigues(tilted @ np.diag([1.0, -1.0, -1.0]))
    matrix = np.array([[2500.0, 0, 1600], [0, 2500.0, 1200], [0, 0, 1]])
    distortion = np.array([0.01, 0.0, 0.0, 0.0])
    expected, _ = cv2.projectPoints(space, axes, 1500.0 * np.array([0.05, -0.08, 1.0]), matrix, distortion)
    seen_px = plane.pixels_from_plane(points_mm, height_mm)
    np.testing.assert_allclose(seen_px, np.asarray(expected).reshape(-1, 2), atol=1e-8)


@pytest.mark.parametrize("tilt", [(0.0, 0.0), (0.3, -0.5)])
def test_a_grid_is_seen_where_its_points_are_seen_one_by_one(tilt: tuple[float, float]) -> None:
    plane = BandPlane.from_tilt(CAMERA, tilt, (0.05, -0.08), 1500.0)
    x_mm, y_mm = np.linspace(-200.0, 300.0, 11), np.linspace(250.0, -250.0, 9)
    points = np.stack(np.meshgrid(x_mm, y_mm), axis=-1).reshape(-1, 2)
    seen = np.stack(plane.pixels_of_grid(x_mm, y_mm), axis=-1).reshape(-1, 2)
    np.testing.assert_allclose(seen, plane.pixels_from_plane(points), atol=1e-3)


def test_up_in_the_plane_is_up_in_the_picture() -> None:
    plane = BandPlane.from_tilt(PINHOLE, (0.0, 0.0), (0.0, 0.0), 1000.0)
    (seen_px,) = plane.pixels_from_plane(np.array([[100.0, 40.0]]))
    assert seen_px == pytest.approx([1600 + 250, 1200 - 100])


@given(tilts_rad, hubs, st.floats(700, 3000), places_mm)
def test_the_camera_stands_over_its_foot(
    tilt: tuple[float, float], hub: tuple[float, float], depth_mm: float, place: tuple[float, float]
) -> None:
    plane = BandPlane.from_tilt(PINHOLE, tilt, hub, depth_mm)
    # Pythagoras: the way to any point of the plane goes over the foot.
    space = plane.origin_mm + plane.axes[:, :2] @ place
    over_foot = np.hypot(plane.camera_height_mm, np.linalg.norm(np.array(place) - plane.camera_foot_mm))
    assert over_foot == pytest.approx(np.linalg.norm(space))
    assert plane.camera_height_mm > 0


@given(tilts_rad)
def test_tilt_is_the_angle_that_it_was_turned_by(tilt: tuple[float, float]) -> None:
    plane = BandPlane.from_tilt(PINHOLE, tilt, (0.1, 0.0), 1000.0)
    # The arc cosine is good to the root of the rounding error near zero.
    assert plane.tilt_rad == pytest.approx(np.hypot(*tilt), abs=3e-8)


@pytest.mark.parametrize("height_mm", [10.0, 40.0, -25.0])
def test_what_stands_nearer_looks_larger(height_mm: float) -> None:
    plane = BandPlane.from_tilt(PINHOLE, (0.0, 0.0), (0.0, 0.0), 1200.0)
    sheet_mm = np.array([[0.0, 0.0], [85.6, 0.0]])
    seen_as_mm = plane.plane_from_pixels(plane.pixels_from_plane(sheet_mm, height_mm))
    # Similar triangles: Z / (Z - h). 10 mm at 1.2 m are 0.83 % (computed).
    assert np.ptp(seen_as_mm[:, 0]) / 85.6 == pytest.approx(1200 / (1200 - height_mm), rel=1e-9)


@given(tilts_rad, places_mm, st.floats(5, 300), heights_mm)
def test_a_parallel_plane_is_an_enlargement_about_the_cameras_foot(
    tilt: tuple[float, float], centre: tuple[float, float], radius_mm: float, height_mm: float
) -> None:
    plane = BandPlane.from_tilt(PINHOLE, tilt, (0.05, 0.02), 1500.0)
    shadow_mm = plane.plane_from_pixels(plane.circle_px(centre, radius_mm, height_mm))
    factor = plane.camera_height_mm / (plane.camera_height_mm - height_mm)
    middle = plane.camera_foot_mm + factor * (np.array(centre) - plane.camera_foot_mm)
    distances_mm = np.linalg.norm(shadow_mm - middle, axis=1)
    np.testing.assert_allclose(distances_mm, factor * radius_mm, rtol=1e-9, atol=1e-9)


@given(tilts_rad, places_mm)
def test_pixels_a_millimetre_along_the_picture(tilt: tuple[float, float], place: tuple[float, float]) -> None:
    plane = BandPlane.from_tilt(PINHOLE, tilt, (0.05, 0.02), 1500.0)
    # The plane's direction that is parallel to the picture, so that the depth stays.
    level = np.array([plane.axes[2, 1], -plane.axes[2, 0]])
    level = level / np.hypot(*level) if np.hypot(*level) > 1e-9 else np.array([1.0, 0.0])
    start_px, end_px = plane.pixels_from_plane(np.array([place, np.array(place) + level]))
    assert np.linalg.norm(end_px - start_px) == pytest.approx(plane.px_per_mm(place), rel=1e-6)
    (one,) = plane.px_per_mm_at(np.array([place]))
    assert one == plane.px_per_mm(place)
