"""A scene's geometry against OpenCV's projection, SciPy's convex hull and plain trigonometry."""

from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull
from tests.vision.drawn_scenes import TRUTH, seen_by_opencv, unit

from whirlwise.vision.fit.scene import Scene

SCENE = Scene(TRUTH)


def changed(**values: float) -> Mapping[str, float]:
    return {**TRUTH, **values}


@pytest.mark.parametrize("height_mm", [-20.0, 0.0, 35.0])
def test_camera_and_plane_come_from_the_values(height_mm: float) -> None:
    points_mm = np.random.default_rng(4).uniform(-400, 400, (30, 2))
    seen_px = SCENE.plane.pixels_from_plane(points_mm, height_mm)
    np.testing.assert_allclose(seen_px, seen_by_opencv(points_mm, height_mm), atol=1e-8)


def test_the_hub_is_the_origin() -> None:
    (hub_px,) = SCENE.plane.pixels_from_plane(np.zeros((1, 2)))
    ray_squared = TRUTH["hub_u"] ** 2 + TRUTH["hub_v"] ** 2
    bent = 2500.0 * (1 + TRUTH["k1"] * ray_squared)
    assert hub_px == pytest.approx([1604.0 + bent * TRUTH["hub_u"], 1195.0 + bent * TRUTH["hub_v"]])


def test_the_spindle_leans_from_where_it_meets_the_band_plane() -> None:
    foot = 452.0 * unit(0.9)
    assert SCENE.spindle_mm == pytest.approx(foot)
    assert SCENE.spindle_at(0.0) == pytest.approx(foot)
    # 50 mm nearer to the camera, leaning by 0.004 and -0.006 rad.
    assert SCENE.spindle_at(50.0) == pytest.approx(foot + np.array([0.2, -0.3]))


def test_an_oval_rim_has_two_long_and_two_short_radii() -> None:
    oval = Scene(changed(oval_cos=0.002, oval_sin=0.0))
    quarters = 100.0 * unit(np.arange(4) * np.pi / 2)
    assert oval.rim_radius_at(quarters) == pytest.approx([281.562, 280.438, 281.562, 280.438])
    slanting = Scene(changed(oval_cos=0.0, oval_sin=0.002))
    assert slanting.rim_radius_at(unit(np.array([[np.pi / 4, 3 * np.pi / 4]]))[0]) == pytest.approx(
        [281.562, 280.438]
    )


@given(st.floats(100, 350), st.floats(8, 60), st.floats(420, 800), st.floats(-np.pi, np.pi))
def test_runs_are_the_hull_of_both_pulleys(pitch: float, whirl: float, distance: float, angle: float) -> None:
    scene = Scene(changed(pitch_radius=pitch, spindle_distance=distance, spindle_angle=angle))
    turn = np.linspace(0, 2 * np.pi, 2000, endpoint=False)
    pulleys = np.vstack([pitch * unit(turn), scene.spindle_mm + whirl * unit(turn)])
    # The two long sides of the hull of both circles are the runs of an open band.
    equations = ConvexHull(pulleys).equations
    for side in (1, -1):
        normal = scene.run_normal(side, whirl)
        assert np.linalg.norm(normal) == pytest.approx(1.0)
        touches = np.abs(equations[:, 2] + pitch) < 1e-3
        nearest = np.linalg.norm(equations[touches][:, :2] - normal, axis=1).min()
        # Points every 0.18 degree: the hull's own normals are that coarse.
        assert nearest < np.radians(0.2)
        assert (pulleys @ normal).max() == pytest.approx(pitch, rel=1e-5)
        assert scene.spindle_mm @ normal + whirl == pytest.approx(pitch)
        # +1 is the side that lies anticlockwise of the line from hub to whirl.
        spindle = scene.spindle_mm
        assert np.sign(spindle[0] * normal[1] - spindle[1] * normal[0]) == side
