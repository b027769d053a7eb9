"""Round edges of a drawn wheel's rim, held against circles that ``cv2.projectPoints`` projects."""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_scenes import seen_by_opencv
from tests.vision.drawn_wheels import RIM_HALF_WIDTH_MM, RIM_INNER_MM, WHEEL, circle, wheel_with_card

from whirlwise.vision.find.edges import lab_pixels
from whirlwise.vision.find.rim import RimEdge, clearest_edge, edge_pointed_at, find_rim_edges, refine_edge
from whirlwise.vision.geometry.camera import Points
from whirlwise.vision.geometry.ellipse import Ellipse, fit_ellipse

FRONT = RIM_HALF_WIDTH_MM


def true_px(radius_mm: float, height_mm: float) -> Points:
    return seen_by_opencv(circle(np.zeros(2), radius_mm), height_mm, WHEEL)


def worst_px(ellipse: Ellipse, radius_mm: float, height_mm: float) -> float:
    """How far a true circle of the rim strays from an ellipse."""
    return float(np.abs(ellipse.distance_px(true_px(radius_mm, height_mm))).max())


def true_ellipse() -> Ellipse:
    ellipse = fit_ellipse(true_px(WHEEL["rim_radius"], FRONT))
    assert ellipse is not None
    return ellipse


@pytest.fixture(scope="module")
def edges() -> list[RimEdge]:
    return find_rim_edges(wheel_with_card())


def test_the_clearest_edge_is_the_rims_front_one(edges: list[RimEdge]) -> None:
    edge = clearest_edge(edges)
    assert worst_px(edge.ellipse, WHEEL["rim_radius"], FRONT) < 0.3
    assert edge.cover > 0.95
    assert edge.scatter_px < 0.3


def test_the_inner_edge_is_found_too(edges: list[RimEdge]) -> None:
    # Through the wheel one sees its back edge on one side: that far one, not the front, closes all round.
    assert min(worst_px(edge.ellipse, RIM_INNER_MM, -FRONT) for edge in edges) < 0.5


def test_the_outermost_comes_first(edges: list[RimEdge]) -> None:
    radii = [edge.ellipse.mean_radius_px for edge in edges]
    assert radii == sorted(radii, reverse=True)


@pytest.mark.parametrize("radius_mm", [WHEEL["rim_radius"], RIM_INNER_MM])
def test_of_several_edges_the_one_pointed_at_is_meant(edges: list[RimEdge], radius_mm: float) -> None:
    tap = true_px(radius_mm, FRONT)[[40]] + [2.0, -1.5]
    edge = edge_pointed_at(edges, tap)
    assert edge is not None
    # The front and the back edge lie within a tap of each other; the clearer one is meant.
    assert edge.cover > 0.95
    assert min(worst_px(edge.ellipse, radius_mm, height) for height in (-FRONT, FRONT)) < 0.5


def test_who_points_elsewhere_means_none_of_them(edges: list[RimEdge]) -> None:
    assert edge_pointed_at(edges, true_px(0.5 * RIM_INNER_MM, FRONT)[[40]]) is None


def test_points_scatter_about_their_ellipse_as_told(edges: list[RimEdge]) -> None:
    for edge in edges:
        off_px = edge.ellipse.distance_px(edge.points_px)
        # The ellipse was found in a picture of the same size: nothing is rescaled here.
        assert np.sqrt(np.mean(off_px**2)) == pytest.approx(edge.scatter_px, rel=1e-3)


@pytest.mark.parametrize(
    ("shift_px", "growth"), [((4.0, -3.0), 1.0), ((0.0, 0.0), 1.015), ((-3.0, 2.0), 0.99)]
)
def test_a_rough_ellipse_settles_on_the_edge(shift_px: tuple[float, float], growth: float) -> None:
    true = true_ellipse().grown(growth)
    rough = Ellipse(
        true.x_px + shift_px[0], true.y_px + shift_px[1], true.semi_a_px, true.semi_b_px, true.angle_rad
    )
    edge = refine_edge(lab_pixels(wheel_with_card()), rough, 9.0, np.random.default_rng(0))
    assert edge is not None
    assert worst_px(edge.ellipse, WHEEL["rim_radius"], FRONT) < 0.3


def test_where_nothing_is_round_no_ellipse_settles() -> None:
    corner = Ellipse(1040.0, 700.0, 120.0, 120.0, 0.0)
    blank = np.full((900, 1200, 3), 128, np.uint8)
    assert refine_edge(lab_pixels(blank), corner, 6.0, np.random.default_rng(0)) is None


def disc_before_a_wall(hidden_deg: float) -> NDArray[np.uint8]:
    """A disc of wood, and a wall that looks like it behind so much of its edge."""
    y, x = np.mgrid[0:700, 0:900].astype(np.float64)
    radius = np.hypot((x - 450) / 1.05, (y - 350) / 0.98)
    turn_deg = np.degrees(np.arctan2(y - 350, x - 450)) % 360
    grey = np.where((radius < 240) | (turn_deg < hidden_deg), 120.0, 175.0)
    # Spokes tell where the middle is, also where little of the rim shows.
    grey[(radius < 150) & (np.abs(np.sin(np.radians(3 * turn_deg))) < 0.12)] = 60.0
    soft = cv2.GaussianBlur(grey, (0, 0), 1.0) + np.random.default_rng(3).normal(0, 2.0, grey.shape)
    return np.repeat(np.clip(soft, 0, 255).astype(np.uint8)[..., None], 3, axis=2)


@pytest.mark.parametrize("hidden_deg", [60.0, 132.0])
def test_a_rim_before_a_wall_of_its_colour_is_found_by_the_rest(hidden_deg: float) -> None:
    found = find_rim_edges(disc_before_a_wall(hidden_deg))
    true = Ellipse(450, 350, 240 * 1.05, 240 * 0.98, 0.0)
    assert found
    assert np.abs(true.distance_px(found[0].ellipse.outline(90)[0])).max() < 1.5


def test_half_a_rim_is_none() -> None:
    assert find_rim_edges(disc_before_a_wall(180.0)) == []
