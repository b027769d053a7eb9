"""Ellipses against OpenCV's fits and moments, SciPy's optimisers and a published worked example."""

from collections.abc import Sequence

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.linalg import eig
from scipy.optimize import least_squares, minimize_scalar

from whirlwise.vision.geometry.ellipse import Ellipse, Points, fit_ellipse

#: A rim as a phone sees it.
RIM = Ellipse(812.3, 604.7, 301.0, 262.0, 0.4)

ellipses = st.builds(
    Ellipse,
    st.floats(500, 1500),
    st.floats(500, 1500),
    st.floats(100, 500),
    st.floats(100, 500),
    st.floats(-np.pi, np.pi),
)

# Gander, Golub, Strebel, "Least-squares fitting of circles and ellipses", BIT 34 (1994) 558-578; points and
# results from memory, the results reproduced below by another way.
EIGHT_POINTS = np.array([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7), (6, 2), (8, 4)], dtype=float)
GEOMETRIC = Ellipse(2.6996, 3.8160, 6.5187, 3.0319, 0.3596)
GEOMETRIC_NORM = 1.1719


def exact_distances_px(ellipse: Ellipse, points: Points) -> NDArray[np.float64]:
    """Distance of each point from the outline by search over the eccentric angle: slow and sure."""
    turns = np.linspace(0, 2 * np.pi, 721)
    cosine, sine = np.cos(ellipse.angle_rad), np.sin(ellipse.angle_rad)
    own = (points - ellipse.centre_px) @ np.array([[cosine, -sine], [sine, cosine]])

    def away(turn: float, x: float, y: float) -> float:
        return float(np.hypot(ellipse.semi_a_px * np.cos(turn) - x, ellipse.semi_b_px * np.sin(turn) - y))

    found = []
    for x, y in own.tolist():
        near = min(turns.tolist(), key=lambda turn: away(turn, x, y))
        best = minimize_scalar(
            away, bounds=(near - 0.01, near + 0.01), args=(x, y), method="bounded", options={"xatol": 1e-10}
        )
        found.append(float(best.fun))
    return np.array(found)


def geometric_fit(points: Points, start: Ellipse) -> tuple[Ellipse, float]:
    """Ellipse of least orthogonal distances by SciPy, foot points being unknowns too, and the norm left."""
    cosine, sine = np.cos(start.angle_rad), np.sin(start.angle_rad)
    own = (points - start.centre_px) @ np.array([[cosine, -sine], [sine, cosine]])
    turns = np.arctan2(own[:, 1] / start.semi_b_px, own[:, 0] / start.semi_a_px)

    def misfit(vector: NDArray[np.float64]) -> NDArray[np.float64]:
        x, y, a, b, angle = vector[:5]
        along, across = a * np.cos(vector[5:]), b * np.sin(vector[5:])
        foot_x = x + along * np.cos(angle) - across * np.sin(angle)
        foot_y = y + along * np.sin(angle) + across * np.cos(angle)
        return np.concatenate([points[:, 0] - foot_x, points[:, 1] - foot_y])

    shape = [start.x_px, start.y_px, start.semi_a_px, start.semi_b_px, start.angle_rad]
    found = least_squares(misfit, np.concatenate([shape, turns]), xtol=1e-12, ftol=1e-12)
    return Ellipse(*found.x[:5].tolist()), float(np.linalg.norm(found.fun))


def direct_fit(points: Points) -> Ellipse:
    """Fitzgibbon's fit as a generalised eigenproblem in double precision.

    Source: Fitzgibbon, Pilu, Fisher, IEEE PAMI 21 (1999) 476; least |D a|^2 with 4AC - B^2 = 1.
    """
    middle, spread = points.mean(axis=0), points.std()
    x, y = ((points - middle) / spread).T
    design = np.column_stack([x * x, x * y, y * y, x, y, np.ones_like(x)])
    constraint = np.zeros((6, 6))
    constraint[0, 2] = constraint[2, 0] = 2.0
    constraint[1, 1] = -1.0
    _, vectors = eig(design.T @ design, constraint)
    conics = [np.real(v) for v in vectors.T]
    (a, b, c, d, e, f) = next(v for v in conics if 4 * v[0] * v[2] - v[1] ** 2 > 1e-12)
    shape = np.array([[a, b / 2], [b / 2, c]])
    centre = np.linalg.solve(-2 * shape, [d, e])
    level = centre @ shape @ centre - f
    values, axes = np.linalg.eigh(shape / level)
    semi = spread / np.sqrt(values)
    (x_px, y_px), angle = centre * spread + middle, np.arctan2(axes[1, 0], axes[0, 0])
    return Ellipse(float(x_px), float(y_px), float(semi[0]), float(semi[1]), float(angle))


def from_opencv(box: tuple[Sequence[float], Sequence[float], float]) -> Ellipse:
    (x, y), (width, height), angle_deg = box
    return Ellipse(x, y, width / 2, height / 2, float(np.radians(angle_deg)))


def apart_px(one: Ellipse, other: Ellipse) -> float:
    """Largest distance between two outlines."""
    outline, _ = one.outline(90)
    return float(np.abs(other.distance_px(outline)).max())


def noisy_rim(scatter_px: float, seed: int, arc_rad: float = 2 * np.pi, count: int = 400) -> Points:
    turn = np.linspace(0, arc_rad, count, endpoint=False)
    along = np.column_stack([RIM.semi_a_px * np.cos(turn), RIM.semi_b_px * np.sin(turn)])
    cosine, sine = np.cos(RIM.angle_rad), np.sin(RIM.angle_rad)
    points = along @ np.array([[cosine, sine], [-sine, cosine]]) + [RIM.x_px, RIM.y_px]
    return np.asarray(points + np.random.default_rng(seed).normal(0, scatter_px, points.shape))


@given(ellipses)
def test_drawn_ellipses_come_back(ellipse: Ellipse) -> None:
    found = fit_ellipse(ellipse.outline(60)[0])
    assert found is not None
    # OpenCV's fit works in single precision: 1e-4 px in a picture of 2000.
    assert apart_px(ellipse, found) < 5e-3


@pytest.mark.parametrize("arc_deg", [360, 150, 100])
def test_fit_is_fitzgibbons(arc_deg: float) -> None:
    # On a short noisy arc the kinds of fits differ by whole pixels.
    points = noisy_rim(0.7, seed=3, arc_rad=float(np.radians(arc_deg)), count=150)
    found = fit_ellipse(points)
    assert found is not None
    assert apart_px(direct_fit(points), found) < 0.02


@pytest.mark.parametrize("seed", range(3))
def test_fit_agrees_with_other_fits(seed: int) -> None:
    points = noisy_rim(0.3, seed)
    found = fit_ellipse(points)
    assert found is not None
    for_opencv = points.astype(np.float32)[:, None]
    others = [
        from_opencv(cv2.fitEllipse(for_opencv)),
        from_opencv(cv2.fitEllipseAMS(for_opencv)),
        geometric_fit(points, RIM)[0],
    ]
    # All round the rim the fits differ by far less than noise moves them: 0.3 px / sqrt(400) = 0.015 px.
    assert [apart_px(found, other) for other in others] == pytest.approx([0, 0, 0], abs=0.015)


def test_how_well_a_whole_rim_is_told() -> None:
    # 400 points with 0.3 px of noise, semi-axis 300 px: 0.05 px on the semi-axis at 95 % (computed).
    errors_px = []
    for seed in range(300):
        found = fit_ellipse(noisy_rim(0.3, seed))
        assert found is not None
        errors_px.append(abs(max(found.semi_a_px, found.semi_b_px) - RIM.semi_a_px))
    assert np.quantile(errors_px, 0.95) == pytest.approx(0.05, abs=0.01)


def test_geometric_fit_as_published() -> None:
    found, norm = geometric_fit(EIGHT_POINTS, GEOMETRIC)
    shape = [found.x_px, found.y_px, found.semi_a_px, found.semi_b_px, found.angle_rad]
    assert shape == pytest.approx([2.6996, 3.8160, 6.5187, 3.0319, 0.3596], abs=1e-4)
    assert norm == pytest.approx(GEOMETRIC_NORM, abs=5e-5)


def test_direct_fit_of_the_published_points() -> None:
    found = fit_ellipse(EIGHT_POINTS)
    assert found is not None
    assert apart_px(direct_fit(EIGHT_POINTS), found) < 1e-4
    # No ellipse comes nearer to the points than the published one; a direct fit is no geometric one.
    assert np.linalg.norm(exact_distances_px(GEOMETRIC, EIGHT_POINTS)) == pytest.approx(
        GEOMETRIC_NORM, abs=5e-5
    )
    assert np.linalg.norm(exact_distances_px(found, EIGHT_POINTS)) > GEOMETRIC_NORM


@pytest.mark.parametrize(
    "points",
    [
        np.empty((0, 2)),
        RIM.outline(4)[0],
        np.full((9, 2), 7.0),
        np.full((9, 2), np.nan),
    ],
    ids=["none", "four", "one place", "not numbers"],
)
def test_too_few_points_give_no_ellipse(points: Points) -> None:
    assert fit_ellipse(points) is None


@settings(max_examples=300, derandomize=True)
@given(
    st.integers(12, 60), st.floats(0, np.pi), st.sampled_from([0.0, 0.001, 0.01, 0.1]), st.integers(0, 2**16)
)
def test_points_on_a_straight_line_give_no_ellipse(
    count: int, direction_rad: float, noise_px: float, seed: int
) -> None:
    rng = np.random.default_rng(seed)
    along = rng.uniform(0, 4000, 2) + rng.uniform(0, 1000, (count, 1)) * [
        np.cos(direction_rad),
        np.sin(direction_rad),
    ]
    assert fit_ellipse(along + rng.normal(0, noise_px, (count, 2))) is None


@given(ellipses, st.floats(20, 360), st.floats(0, 2 * np.pi))
def test_a_short_arc_is_still_an_ellipse(ellipse: Ellipse, arc_deg: float, start_rad: float) -> None:
    outline = ellipse.outline(720)[0]
    arc = np.roll(outline, round(start_rad * 720 / (2 * np.pi)), axis=0)[: round(2 * arc_deg)]
    assert fit_ellipse(arc) is not None


@given(ellipses, st.floats(-0.01, 0.01))
def test_distance_is_right_near_the_outline(ellipse: Ellipse, share: float) -> None:
    distance_px = share * min(ellipse.semi_a_px, ellipse.semi_b_px)
    outline, normals = ellipse.outline(24)
    found = ellipse.distance_px(outline + distance_px * normals)
    # First order: what is left is of the order of distance^2 times the sharpest curvature a / b^2.
    long, short = sorted([ellipse.semi_a_px, ellipse.semi_b_px], reverse=True)
    np.testing.assert_allclose(found, distance_px, atol=distance_px**2 * long / short**2 + 1e-9)


def test_distance_against_a_search() -> None:
    points = RIM.outline(30)[0] + np.random.default_rng(2).uniform(-3, 3, (30, 2))
    np.testing.assert_allclose(np.abs(RIM.distance_px(points)), exact_distances_px(RIM, points), atol=0.03)
    assert RIM.distance_px(RIM.centre_px[None])[0] < 0
    assert RIM.distance_px(np.array([[0.0, 0.0]]))[0] > 0


@given(ellipses)
def test_normals_stand_square_on_the_outline(ellipse: Ellipse) -> None:
    outline, normals = ellipse.outline(720)
    tangents = np.roll(outline, -1, axis=0) - np.roll(outline, 1, axis=0)
    tangents /= np.linalg.norm(tangents, axis=1, keepdims=True)
    # A chord over two steps of the outline is parallel to the tangent between up to third order.
    np.testing.assert_allclose(np.sum(tangents * normals, axis=1), 0, atol=5e-4)
    assert (np.sum((outline - ellipse.centre_px) * normals, axis=1) > 0).all()


@given(ellipses, st.floats(0, 2 * np.pi))
def test_nothing_of_the_outline_lies_beyond_the_support(ellipse: Ellipse, direction: float) -> None:
    normal = np.array([[np.cos(direction), np.sin(direction)]])
    (outermost,), (reach_px,) = ellipse.support(normal)
    along = (ellipse.outline(3600)[0] - ellipse.centre_px) @ normal[0]
    # The outline is sampled every 0.1 degree, so its best sample may stay short by a millionth.
    assert reach_px == pytest.approx(along.max(), rel=2e-6)
    assert (outermost - ellipse.centre_px) @ normal[0] == pytest.approx(reach_px)
    assert abs(ellipse.distance_px(outermost[None])[0]) < 1e-6


def moments_of(picture: NDArray[np.uint8]) -> Ellipse:
    """The even ellipse with the picture's moments: in it the variance along a semi-axis a is a^2 / 4."""
    m = cv2.moments(picture)
    variance = np.array([[m["mu20"], m["mu11"]], [m["mu11"], m["mu02"]]]) / m["m00"]
    (short, long), axes = np.linalg.eigh(variance)
    angle = float(np.arctan2(axes[1, 1], axes[0, 1]))
    return Ellipse(
        m["m10"] / m["m00"], m["m01"] / m["m00"], 2 * float(np.sqrt(long)), 2 * float(np.sqrt(short)), angle
    )


@pytest.mark.parametrize("scale", [0.5, 0.25])
def test_rescaling_follows_opencvs_resize(scale: float) -> None:
    rows, columns = np.mgrid[:480, :640]
    drawn = Ellipse(301.2, 222.9, 150.0, 90.0, 0.3)
    places = np.column_stack([columns.ravel(), rows.ravel()]).astype(float)
    grey = 255 * np.clip(0.5 - drawn.distance_px(places), 0, 1).reshape(480, 640)
    small = np.asarray(
        cv2.resize(grey.astype(np.uint8), None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    )
    expected = moments_of(small.astype(np.uint8))
    found = drawn.rescaled(scale)
    assert found.centre_px == pytest.approx(expected.centre_px, abs=0.01)
    assert apart_px(found, expected) < 0.05


@given(ellipses, st.floats(0.1, 4))
def test_rescaling_comes_back(ellipse: Ellipse, scale: float) -> None:
    back = ellipse.rescaled(scale).rescaled(1 / scale)
    assert back.centre_px == pytest.approx(ellipse.centre_px)
    assert back.mean_radius_px == pytest.approx(ellipse.mean_radius_px)


@given(ellipses, st.floats(0.5, 2))
def test_growing_keeps_centre_and_shape(ellipse: Ellipse, factor: float) -> None:
    grown = ellipse.grown(factor)
    outline, larger = ellipse.outline(12)[0], grown.outline(12)[0]
    np.testing.assert_allclose(larger - ellipse.centre_px, factor * (outline - ellipse.centre_px), atol=1e-9)
    assert grown.mean_radius_px == pytest.approx(factor * ellipse.mean_radius_px)
