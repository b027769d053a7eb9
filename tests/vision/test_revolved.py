"""Bodies of revolution: closed forms of tangent cones and of circles that rest on flanks."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from whirlwise.vision.geometry.revolved import (
    clearance_over_edge,
    hull_radii,
    resting_height,
    waist_place,
    waist_radius,
)


@given(st.floats(5.0, 40.0), st.floats(120.0, 600.0))
def test_a_silhouette_is_a_tangent_cone(radius: float, distance: float) -> None:
    # Euclid, Elements III.18: the tangent stands square on the radius, so sin(sight) = radius / distance.
    seen = np.tan(np.arcsin(radius / distance))
    assert waist_radius(seen, distance) == pytest.approx(radius, rel=1e-12)
    pinhole = distance * seen
    assert pinhole / radius == pytest.approx(1 / np.sqrt(1 - (radius / distance) ** 2), rel=1e-12)


def test_a_level_outline_is_touched_before_the_axis() -> None:
    # The tangent point lies radius^2 / distance nearer than the axis (the altitude of a right triangle).
    radius, distance, x = 30.0, 200.0, 12.0
    depth = distance - radius**2 / distance
    height = radius * np.sqrt(1 - (radius / distance) ** 2)
    assert waist_place(x / depth, height / depth, distance) == pytest.approx(x)


def test_a_cylinder_is_its_own_hull() -> None:
    radius, distance = 20.0, 250.0
    b = np.tan(np.arcsin(radius / distance))
    a = np.linspace(-0.1, 0.1, 201)
    x = np.linspace(-15, 15, 61)
    hull = hull_radii(a, np.full_like(a, b), distance, x)
    np.testing.assert_allclose(hull, radius, rtol=2e-5)


@given(st.floats(20.0, 50.0), st.floats(0.6, 2.4))
def test_a_cord_rests_in_a_v_groove_on_both_flanks(half_angle_deg: float, cord_radius: float) -> None:
    # Middle, contact and bottom make a right triangle: height = cord_radius / sin(half-angle).
    half_angle = np.radians(half_angle_deg)
    x = np.linspace(-5.0, 5.0, 401)
    radii = 18.0 + np.abs(x) / np.tan(half_angle)
    expected = 18.0 + cord_radius / np.sin(half_angle)
    assert resting_height(x, radii, cord_radius) == pytest.approx(expected, abs=0.02)


def test_a_cord_touches_the_bottom_of_a_wider_u_groove() -> None:
    x = np.linspace(-2.0, 2.0, 401)
    radii = 20.0 - np.sqrt(np.maximum(2.0**2 - x**2, 0.0))
    assert resting_height(x, radii, 1.2) == pytest.approx(18.0 + 1.2, abs=0.01)


def test_a_cord_wider_than_the_groove_rests_on_its_edges() -> None:
    # On the corners of a square slot of half-width w: height above them = sqrt(c^2 - w^2) (Pythagoras).
    x = np.linspace(-3.0, 3.0, 1201)
    radii = np.where(np.abs(x) < 1.0, 15.0, 18.0)
    assert resting_height(x, radii, 1.5) == pytest.approx(18.0 + np.sqrt(1.5**2 - 1.0**2), abs=0.01)


def test_a_flange_between_camera_and_bottom_hides_it() -> None:
    # Seen from straight above (x = 0) nothing hides; far aside the near flange does.
    assert clearance_over_edge((0.0, 15.0), (0.0, 20.0), 300.0) == float("inf")
    assert clearance_over_edge((150.0, 15.0), (148.0, 20.0), 300.0) < 0
    assert clearance_over_edge((40.0, 15.0), (20.0, 20.0), 300.0) > 0


def test_the_ray_over_a_far_flange_is_reckoned_by_hand() -> None:
    # Halfway to the bottom the ray is halfway up: heights average, by similar triangles.
    radius, distance = 30.0, 300.0
    sine = radius / distance
    bottom = np.array([radius * np.sqrt(1 - sine**2), radius * sine])
    halfway = 0.5 * (bottom + np.array([0.0, distance]))
    found = clearance_over_edge((60.0, radius), (30.0, 25.0), distance)
    assert found == pytest.approx(float(np.hypot(*halfway)) - 25.0)
