"""The rim's front edge, told from its back one on drawn rims with known pose (pinhole projection)."""

import math

import cv2
import numpy as np
import pytest

from whirlwise.vision.find.rim import RimEdge
from whirlwise.vision.fit.rim_sides import front_of, settled_on_front
from whirlwise.vision.geometry.camera import Camera
from whirlwise.vision.geometry.ellipse import Ellipse, fit_ellipse
from whirlwise.vision.geometry.plane import BandPlane
from whirlwise.vision.open.picture import Picture

WIDTH_PX, HEIGHT_PX, FOCAL_PX = 900, 800, 1100.0
RADIUS_MM, RIM_MM, DISTANCE_MM = 250.0, 28.0, 1000.0
WALL, FRONT, BACK = (205, 210, 214), (72, 98, 130), (40, 60, 84)
#: A floor of nearly the rim's colour, and a face that the light falls on.
FLOOR, FACE = (60, 85, 115), (95, 125, 160)


def plane(tilt_deg: float) -> BandPlane:
    camera = Camera(FOCAL_PX, ((WIDTH_PX - 1) / 2, (HEIGHT_PX - 1) / 2))
    return BandPlane.from_tilt(
        camera, (0.3 * math.radians(tilt_deg), math.radians(tilt_deg)), (0, 0), DISTANCE_MM
    )


def drawn_rim(seen: BandPlane, face: float = 0.0) -> Picture:
    """Two discs of one radius, the back one behind the front one, blurred and grained like a photo.

    ``face`` is how far a light face reaches, as a share of the radius; then there is a dark floor as well.
    """
    bgr = np.full((4 * HEIGHT_PX, 4 * WIDTH_PX, 3), WALL, np.uint8)
    discs = [(RADIUS_MM, -RIM_MM, BACK), (RADIUS_MM, 0.0, FRONT)]
    if face:
        bgr[2 * HEIGHT_PX :] = FLOOR
        discs.append((face * RADIUS_MM, 0.0, FACE))
    for radius_mm, height_mm, colour in discs:
        outline = (seen.circle_px((0.0, 0.0), radius_mm, height_mm) + 0.5) * 4 - 0.5
        cv2.fillPoly(bgr, [np.round(outline * 16).astype(np.int32)], colour, cv2.LINE_AA, 4)
    small = cv2.resize(bgr, (WIDTH_PX, HEIGHT_PX), interpolation=cv2.INTER_AREA).astype(float)
    grain = np.random.default_rng(2).normal(0.0, 2.0, small.shape)
    pixels = np.clip(cv2.GaussianBlur(small, (0, 0), 0.8) + grain, 0, 255).astype(np.uint8)
    return Picture("rim.png", pixels, FOCAL_PX, True)


def silhouette(seen: BandPlane) -> RimEdge:
    """The ellipse through the clearest outline: front edge on one side, back edge on the other."""
    front = seen.circle_px((0.0, 0.0), RADIUS_MM, 0.0)
    back = seen.circle_px((0.0, 0.0), RADIUS_MM, -RIM_MM)
    hull = cv2.convexHull(np.vstack([front, back]).astype(np.float32))[:, 0].astype(float)
    ellipse = fit_ellipse(hull)
    assert ellipse is not None
    return RimEdge(ellipse, hull, 0.9, 1.0)


def largest_gap_px(found: Ellipse, seen: BandPlane) -> float:
    return float(np.abs(found.distance_px(seen.circle_px((0.0, 0.0), RADIUS_MM, 0.0))).max())


@pytest.mark.parametrize("tilt_deg", [25.0, 32.0])
def test_the_front_edge_is_found_from_a_mixed_outline(tilt_deg: float) -> None:
    seen = plane(tilt_deg)
    mixed = silhouette(seen)
    settled = settled_on_front(drawn_rim(seen), mixed)
    assert largest_gap_px(mixed.ellipse, seen) > 5.0
    assert largest_gap_px(settled.ellipse, seen) < 0.1 * largest_gap_px(mixed.ellipse, seen)


@pytest.mark.parametrize("face", [0.96, 0.97])
def test_a_face_in_the_light_is_not_taken_for_the_wheels_outline(face: float) -> None:
    # Below, the face's edge is far clearer than the rim's own before the dark floor.
    seen = plane(32.0)
    mixed = silhouette(seen)
    settled = settled_on_front(drawn_rim(seen, face), mixed)
    assert largest_gap_px(settled.ellipse, seen) < 0.15 * largest_gap_px(mixed.ellipse, seen)


def inner_ring(seen: BandPlane) -> RimEdge:
    """A ring turned into the rim's face: even, and seen all round."""
    ring = seen.circle_px((0.0, 0.0), 0.9 * RADIUS_MM, 0.0)
    ellipse = fit_ellipse(ring)
    assert ellipse is not None
    return RimEdge(ellipse, ring, 1.0, 0.3)


def test_a_sharp_outermost_edge_is_taken_rather_than_a_ring_on_the_face() -> None:
    seen = plane(25.0)
    found = front_of(drawn_rim(seen), inner_ring(seen), silhouette(seen))
    assert largest_gap_px(found.ellipse, seen) < 1.0


def test_where_nothing_sharp_lies_further_out_the_ring_stays() -> None:
    seen = plane(25.0)
    blank = Picture("blank.png", np.full((HEIGHT_PX, WIDTH_PX, 3), 128, np.uint8), FOCAL_PX, True)
    ring = inner_ring(seen)
    assert front_of(blank, ring, silhouette(seen)) is ring


def test_without_edges_the_outline_stays_as_it_was() -> None:
    blank = Picture("blank.png", np.full((HEIGHT_PX, WIDTH_PX, 3), 128, np.uint8), FOCAL_PX, True)
    mixed = silhouette(plane(15.0))
    assert settled_on_front(blank, mixed) is mixed
