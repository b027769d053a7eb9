"""An edge beyond the one that was taken for the rim, on rings that OpenCV draws."""

import cv2
import numpy as np
import pytest
from tests.vision.drawn_pictures import Bgr

from whirlwise.vision.find.edges import lab_pixels
from whirlwise.vision.find.rim import RimEdge, refine_edge
from whirlwise.vision.find.rim_beyond import edge_seen_beyond, with_edges_beyond
from whirlwise.vision.geometry.ellipse import Ellipse

MIDDLE, INNER_PX, OUTER_PX = (450, 340), 240, 276
WOOD, WALL, LIKE_WOOD = (60, 90, 140), (170, 165, 160), (66, 96, 144)


def ring(
    *, seen_from_deg: float = 0.0, seen_to_deg: float = 0.0, noise: float = 4.0, outer_px: int = OUTER_PX
) -> Bgr:
    """A rim before a wall of its own colour; in one sector the wall is grey, so that its outer edge shows."""
    picture = np.full((680, 900, 3), LIKE_WOOD, np.uint8)
    sector = (MIDDLE, (900, 900), 0.0, seen_from_deg, seen_to_deg, WALL)
    cv2.ellipse(picture, *sector, -1, cv2.LINE_AA)
    cv2.circle(picture, MIDDLE, outer_px, WOOD, -1, cv2.LINE_AA)
    cv2.circle(picture, MIDDLE, INNER_PX, WALL, -1, cv2.LINE_AA)
    blurred = cv2.GaussianBlur(picture.astype(float), (0, 0), 0.8)
    grained = blurred + noise * np.random.default_rng(1).normal(size=picture.shape)
    return np.asarray(np.clip(grained, 0, 255), dtype=np.uint8)


def inner_edge(bgr: Bgr) -> RimEdge:
    rough = Ellipse(*MIDDLE, INNER_PX, INNER_PX, 0.0)
    edge = refine_edge(lab_pixels(bgr, 1.0), rough, 6.0, np.random.default_rng(0))
    assert edge is not None
    assert edge.ellipse.mean_radius_px == pytest.approx(INNER_PX, abs=1.0)
    return edge


def test_arcs_of_the_outer_edge_are_seen() -> None:
    bgr = ring(seen_from_deg=20.0, seen_to_deg=160.0)
    assert edge_seen_beyond(bgr, inner_edge(bgr))


@pytest.mark.parametrize("noise", [2.0, 4.0, 12.0])
def test_grain_is_no_edge(noise: float) -> None:
    bgr = ring(noise=noise, outer_px=INNER_PX)
    assert not edge_seen_beyond(bgr, inner_edge(bgr))


#: A wheel tilted by 32 degrees: its back inner edge, and its front outer one, which is nearer to the camera
#: and so seen aside along the shorter axes.
TILTED_INNER = Ellipse(450.0, 340.0, 240.0, 204.0, 0.0)
TILTED_OUTER = Ellipse(450.0, 320.0, 290.0, 246.5, 0.0)


def tilted_ring(*, seen_from_deg: float, seen_to_deg: float, noise: float = 4.0) -> Bgr:
    """Such a rim seen aslant; its outer edge shows in one sector, elsewhere the wall is like it."""
    picture = np.full((680, 900, 3), LIKE_WOOD, np.uint8)
    middle = (450, 320)
    cv2.ellipse(picture, middle, (900, 900), 0.0, seen_from_deg, seen_to_deg, WALL, -1, cv2.LINE_AA)
    for edge, colour in ((TILTED_OUTER, WOOD), (TILTED_INNER, WALL)):
        axes = (round(edge.semi_a_px), round(edge.semi_b_px))
        cv2.ellipse(
            picture, (round(edge.x_px), round(edge.y_px)), axes, 0.0, 0.0, 360.0, colour, -1, cv2.LINE_AA
        )
    blurred = cv2.GaussianBlur(picture.astype(float), (0, 0), 0.8)
    grained = blurred + noise * np.random.default_rng(1).normal(size=picture.shape)
    return np.asarray(np.clip(grained, 0, 255), dtype=np.uint8)


def refined(bgr: Bgr, rough: Ellipse) -> RimEdge:
    edge = refine_edge(lab_pixels(bgr, 1.0), rough, 6.0, np.random.default_rng(0))
    assert edge is not None
    return edge


def test_arcs_that_are_seen_aside_tell_that_the_rim_goes_on() -> None:
    bgr = tilted_ring(seen_from_deg=20.0, seen_to_deg=170.0, noise=8.0)
    inner = refined(bgr, TILTED_INNER)
    assert edge_seen_beyond(bgr, inner)
    # Too little of it shows to be measured.
    assert with_edges_beyond(bgr, [inner]) == [inner]


def test_an_outer_edge_of_which_most_shows_is_found_aside() -> None:
    bgr = tilted_ring(seen_from_deg=-60.0, seen_to_deg=200.0)
    outer, inner = with_edges_beyond(bgr, [refined(bgr, TILTED_INNER)])
    assert inner.ellipse.mean_radius_px == pytest.approx(TILTED_INNER.mean_radius_px, abs=1.0)
    assert outer.ellipse.mean_radius_px == pytest.approx(TILTED_OUTER.mean_radius_px, abs=1.0)
    assert outer.ellipse.y_px == pytest.approx(TILTED_OUTER.y_px, abs=1.0)


def test_nothing_is_found_beyond_the_outermost_edge() -> None:
    bgr = tilted_ring(seen_from_deg=0.0, seen_to_deg=360.0)
    outer = refined(bgr, TILTED_OUTER)
    assert with_edges_beyond(bgr, [outer]) == [outer]
    assert with_edges_beyond(bgr, []) == []
