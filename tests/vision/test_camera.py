"""The pinhole camera against OpenCV's."""

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from whirlwise.vision.geometry.camera import Camera, Points

#: A 4:3 picture of 4000 x 3000 pixels; its corners lie 40 degrees off the axis.
FOCAL_PX, CENTRE_PX = 3000.0, (1999.5, 1499.5)
MATRIX = np.array([[FOCAL_PX, 0, CENTRE_PX[0]], [0, FOCAL_PX, CENTRE_PX[1]], [0, 0, 1.0]])
WHOLE_PICTURE = np.stack(np.meshgrid(np.linspace(0, 3999, 9), np.linspace(0, 2999, 7)), axis=-1).reshape(
    -1, 2
)

#: One and three standard deviations of what is left of a phone's distortion.
MILD, STRONG = 0.02, 0.06


def opencv_pixels(rays: Points, k1: float) -> Points:
    space = np.column_stack([rays, np.ones(len(rays))])
    pixels, _ = cv2.projectPoints(space, np.zeros(3), np.zeros(3), MATRIX, np.array([k1, 0.0, 0.0, 0.0]))
    return np.asarray(pixels, dtype=float).reshape(-1, 2)


@pytest.mark.parametrize("k1", [0.0, MILD, -MILD, STRONG, -STRONG])
def test_rays_are_seen_where_opencv_sees_them(k1: float) -> None:
    rays = (WHOLE_PICTURE - CENTRE_PX) / FOCAL_PX
    seen_px = Camera(FOCAL_PX, CENTRE_PX, k1).pixels_from_rays(rays)
    np.testing.assert_allclose(seen_px, opencv_pixels(rays, k1), atol=1e-9)


@pytest.mark.parametrize(
    # A straight edge can be placed to 0.01 px at best: the corrected picture's corners stay within that.
    ("k1", "within_px"),
    [(0.0, 1e-9), (MILD, 1e-4), (-MILD, 1e-4), (STRONG, 0.01), (-STRONG, 0.01)],
)
def test_distortion_is_taken_out_as_opencv_does(k1: float, within_px: float) -> None:
    rays = Camera(FOCAL_PX, CENTRE_PX, k1).rays_from_pixels(WHOLE_PICTURE)
    pixels = np.ascontiguousarray(WHOLE_PICTURE)[:, None]
    until = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 200, 1e-15)
    plain = np.eye(3)
    expected = cv2.undistortPoints(pixels, MATRIX, np.array([k1, 0, 0, 0]), R=plain, P=plain, criteria=until)
    np.testing.assert_allclose(rays, expected.reshape(-1, 2), atol=within_px / FOCAL_PX)


@given(
    st.floats(500, 6000),
    st.floats(-MILD, MILD),
    st.floats(-0.7, 0.7),
    st.floats(-0.5, 0.5),
)
def test_rays_come_back(focal_px: float, k1: float, u: float, v: float) -> None:
    camera = Camera(focal_px, (0.5 * focal_px, 0.4 * focal_px), k1)
    rays = np.array([[u, v]])
    np.testing.assert_allclose(camera.rays_from_pixels(camera.pixels_from_rays(rays)), rays, atol=1e-7)


def test_a_focal_length_beside_the_middle_is_45_degrees() -> None:
    (ray,) = Camera(800.0, (320.0, 240.0)).rays_from_pixels(np.array([[1120.0, 240.0]]))
    assert np.degrees(np.arctan(ray)) == pytest.approx([45.0, 0.0])
