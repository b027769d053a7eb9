"""On which side of an edge the rim's wood lies, on wheels that OpenCV draws before wall and floor."""

import cv2
import numpy as np
import pytest
from tests.vision.drawn_pictures import Bgr

from whirlwise.vision.find.rim import RimEdge
from whirlwise.vision.find.rim_colour import wood_outside
from whirlwise.vision.geometry.ellipse import Ellipse

MIDDLE, INNER_PX, OUTER_PX = (450, 340), 220, 270
WOOD, WALL, FLOOR = (60, 90, 140), (150, 170, 150), (70, 80, 160)


def wheel(floor: tuple[int, int, int] = FLOOR, noise: float = 4.0) -> Bgr:
    """A rim with spokes, its lower half before the floor."""
    picture = np.full((680, 900, 3), WALL, np.uint8)
    picture[MIDDLE[1] + 40 :] = floor
    cv2.circle(picture, MIDDLE, (INNER_PX + OUTER_PX) // 2, WOOD, OUTER_PX - INNER_PX, cv2.LINE_AA)
    for turn in np.arange(0.0, 2 * np.pi, np.pi / 6):
        end = np.rint(np.array(MIDDLE) + INNER_PX * np.array([np.cos(turn), np.sin(turn)])).astype(int)
        cv2.line(picture, MIDDLE, (int(end[0]), int(end[1])), WOOD, 14, cv2.LINE_AA)
    blurred = cv2.GaussianBlur(picture.astype(float), (0, 0), 0.8)
    grained = blurred + noise * np.random.default_rng(1).normal(size=picture.shape)
    return np.asarray(np.clip(grained, 0, 255), dtype=np.uint8)


def edge(radius_px: float) -> RimEdge:
    return RimEdge(Ellipse(*MIDDLE, radius_px, radius_px, 0.0), np.zeros((0, 2)), 1.0, 0.3)


@pytest.mark.parametrize("noise", [2.0, 10.0])
def test_outside_the_inner_edge_lies_wood(noise: float) -> None:
    assert wood_outside(wheel(noise=noise), edge(INNER_PX))


@pytest.mark.parametrize("noise", [2.0, 10.0])
def test_outside_the_outer_edge_lies_none(noise: float) -> None:
    assert not wood_outside(wheel(noise=noise), edge(OUTER_PX))


def test_before_a_plain_wall_either_side_is_even() -> None:
    assert not wood_outside(wheel(floor=WALL), edge(OUTER_PX))


def test_an_edge_of_which_the_outside_is_not_in_the_picture_tells_nothing() -> None:
    assert not wood_outside(wheel()[70:610, 180:720], edge(OUTER_PX))
