"""Corners of drawn things, seen aslant: a bank card's against those of bricks and boards.

ISO/IEC 7810, ID-1: 85.60 x 53.98 mm, corners rounded by 3.18 mm +/- 0.30 mm.
"""

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_pictures import Points, as_bgr, averaged
from tests.vision.drawn_scenes import CARD_MM

from whirlwise.vision.find.corner_rounding import corner_rounding
from whirlwise.vision.find.edges import lab_pixels
from whirlwise.vision.geometry.camera import Camera
from whirlwise.vision.geometry.plane import BandPlane

SIZE = (340, 260)
ROUNDED_MM = 3.18
THING, GROUND = 170.0, 110.0
CORNERS_MM = 0.5 * np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]]) * CARD_MM


def plane(px_per_mm: float) -> BandPlane:
    """A plane aslant by 24 degrees before a small camera."""
    camera = Camera(600.0, (SIZE[0] / 2, SIZE[1] / 2), 0.0)
    return BandPlane.from_tilt(camera, (0.2, -0.36), (0.0, 0.0), 600.0 / px_per_mm)


def rounding(
    radius_mm: float, px_per_mm: float = 2.4, noise: float = 8.0, ground: float = GROUND
) -> float | None:
    """That of a drawn thing with corners of a radius, held against a card's."""
    before = plane(px_per_mm)

    def grey_at(places: Points) -> NDArray[np.float64]:
        over = np.abs(before.plane_from_pixels(places)) - 0.5 * np.array(CARD_MM) + radius_mm
        outside = np.linalg.norm(np.maximum(over, 0), axis=1) + np.minimum(over.max(axis=1), 0)
        return np.where(outside < radius_mm, THING, ground)

    lab = lab_pixels(as_bgr(averaged(SIZE, grey_at), 0.8, noise, 1))
    return corner_rounding(lab, before, before.pixels_from_plane(CORNERS_MM), ROUNDED_MM / CARD_MM[0])


@pytest.mark.parametrize("radius_mm", [2.88, 3.18, 3.48])
def test_a_card_within_the_standard_is_rounded(radius_mm: float) -> None:
    """Blur mixes up to a fifth of the thing's own colour into the few pixels at the tip."""
    found = rounding(radius_mm)
    assert found is not None
    assert 0.8 < found < 1.1


def test_a_sharp_corner_is_not() -> None:
    found = rounding(0.0)
    assert found is not None
    assert -0.1 < found < 0.25


def test_the_more_the_larger_the_radius() -> None:
    found = [rounding(radius_mm, noise=2.0) for radius_mm in (0.0, 1.0, 2.0, 3.0)]
    assert all(one is not None for one in found)
    assert sorted(found, key=float) == found  # type: ignore[arg-type]


@pytest.mark.parametrize(("px_per_mm", "ground"), [(1.0, GROUND), (2.4, THING + 1.0)])
def test_small_or_faint_corners_tell_nothing(px_per_mm: float, ground: float) -> None:
    assert rounding(3.18, px_per_mm, noise=1.0, ground=ground) is None


def test_one_covered_corner_does_not_hide_that_the_others_are_round() -> None:
    """Tape over one corner makes it look sharp or like nothing."""
    before = plane(2.4)

    def grey_at(places: Points) -> NDArray[np.float64]:
        at_mm = before.plane_from_pixels(places)
        over = np.abs(at_mm) - 0.5 * np.array(CARD_MM) + ROUNDED_MM
        outside = np.linalg.norm(np.maximum(over, 0), axis=1) + np.minimum(over.max(axis=1), 0)
        grey = np.where(outside < ROUNDED_MM, THING, GROUND)
        return np.where(np.abs(at_mm - CORNERS_MM[0]).max(axis=1) < 9.0, 215.0, grey)

    lab = lab_pixels(as_bgr(averaged(SIZE, grey_at), 0.8, 6.0, 2))
    seen = corner_rounding(lab, before, before.pixels_from_plane(CORNERS_MM), ROUNDED_MM / CARD_MM[0])
    assert seen is not None
    assert seen > 0.7
