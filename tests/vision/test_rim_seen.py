"""The rim's rounded edge against a ring drawn by OpenCV, whose outline is where sight only touches it."""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_scenes import TRUTH, rim_px, seen_by_opencv, unit

from whirlwise.vision.fit.joint import Fit, fit_jointly
from whirlwise.vision.fit.rim_seen import RimSeen, seen_outwards
from whirlwise.vision.fit.scene import Scene
from whirlwise.vision.fit.unknowns import Unknown, UnknownTable

#: A round wheel near the camera, which stands before it: sight leans away from the axle all round.
NEAR = {**TRUTH, "oval_cos": 0.0, "oval_sin": 0.0, "log_depth": float(np.log(700.0)), "rim_rounding": 5.0}


def ring_px(truth: dict[str, float]) -> NDArray[np.float64]:
    """The outline (n, 2) of a ring as thick as the rim's edge is rounded, which lies in that edge."""
    turn, across = (each.ravel() for each in np.mgrid[0 : 2 * np.pi : 1440j, 0 : 2 * np.pi : 240j])
    rounding_mm = truth["rim_rounding"]
    reach_mm = truth["rim_radius"] - rounding_mm + rounding_mm * np.cos(across)
    height_mm = truth["rim_height"] + rounding_mm * np.sin(across)
    seen = seen_by_opencv(reach_mm[:, None] * unit(turn), height_mm, truth)
    hull = cv2.convexHull(seen.astype(np.float32)).reshape(-1, 2).astype(np.float64)
    return np.asarray(hull[:: len(hull) // 120])


def test_a_rounded_edge_is_seen_where_sight_touches_it() -> None:
    points_px, scene = ring_px(NEAR), Scene(NEAR)
    outwards = seen_outwards(scene, points_px)
    assert outwards.min() > 0.005
    rounded = RimSeen(points_px, 1.0, outwards).residuals(scene)
    assert np.abs(rounded).max() < 0.05
    # Taken for sharp it lies up to two pixels off.
    assert np.abs(RimSeen(points_px, 1.0).residuals(scene)).max() > 1.5


def test_sight_that_leans_towards_the_axle_sees_where_the_rounding_begins() -> None:
    # Some 600 mm before the wheel and 350 mm beside its axle, farther out than the rim.
    beside = {**NEAR, "hub_u": 0.0, "hub_v": 0.0, "tilt_x": 0.0, "tilt_y": -0.52}
    scene = Scene(beside)
    assert np.hypot(*scene.plane.camera_foot_mm) > beside["rim_radius"]
    points_px = rim_px(360, beside)
    towards = scene.plane.plane_from_pixels(points_px) @ scene.plane.camera_foot_mm > 0
    outwards = seen_outwards(scene, points_px)
    assert (outwards[towards] == 0).any()
    assert (outwards[~towards] > 0.01).all()


def fitted(points_px: NDArray[np.float64], outwards: NDArray[np.float64] | float) -> Fit:
    """The near wheel's tilt, middle and radius, all else being known."""
    free = {"tilt_x": 0.02, "tilt_y": 0.02, "hub_u": 0.01, "hub_v": 0.01, "rim_radius": 5.0}
    table = UnknownTable(
        [
            *(Unknown(name, NEAR[name] + 0.1 * scale, scale) for name, scale in free.items()),
            *(Unknown(name, value, 1.0, (value, 1e-6)) for name, value in NEAR.items() if name not in free),
        ]
    )
    return fit_jointly(table, [RimSeen(points_px, 0.5, outwards)])


def test_the_rims_size_and_tilt_are_those_of_the_ring() -> None:
    points_px = ring_px(NEAR)
    fit = fitted(points_px, seen_outwards(Scene(NEAR), points_px))
    assert fit.values["rim_radius"] == pytest.approx(NEAR["rim_radius"], abs=0.01)
    for tilt in ("tilt_x", "tilt_y"):
        assert fit.values[tilt] == pytest.approx(NEAR[tilt], abs=1e-4)
    # Taken for sharp it comes out a quarter of a millimetre too large.
    assert fitted(points_px, 0.0).values["rim_radius"] > NEAR["rim_radius"] + 0.25
