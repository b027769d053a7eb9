"""A card looked for squarely: among chance lines, alone, in a brick wall, and in noise."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_pictures import Bgr, Points, as_bgr, averaged
from tests.vision.drawn_scenes import unit

from whirlwise.vision.find.edges import lab_pixels
from whirlwise.vision.find.rectangles import Rectangle, find_rectangles
from whirlwise.vision.find.round_parts import SquareView

SIDE_PX = 200
#: ISO/IEC 7810, ID-1: 85.60 x 53.98 mm.
ASPECT = 85.60 / 53.98
LONG_PX = 72.0
#: Long sides that are looked for: a factor of 1.8, nearly as between small and large wheels.
RANGE_PX = (50.0, 90.0)
MIDDLE, TURN_RAD = np.array([107.3, 92.6]), 0.35
GROUND, FACE = 105.0, 175.0

Grey = NDArray[np.float64]


def view(bgr: Bgr) -> SquareView:
    return SquareView(lab_pixels(bgr), np.zeros(2), 1.0)


def on_card(places: Points, aspect: float = ASPECT) -> NDArray[np.bool_]:
    """Whether places (n, 2) lie on a turned card about MIDDLE."""
    along = np.abs((places - MIDDLE) @ unit(TURN_RAD))
    across = np.abs((places - MIDDLE) @ unit(TURN_RAD + np.pi / 2))
    return np.asarray((along < LONG_PX / 2) & (across < LONG_PX / aspect / 2))


def true_corners() -> Points:
    """Corners of the card, clockwise as seen, the first side a long one."""
    axes = np.array([unit(TURN_RAD), unit(TURN_RAD + np.pi / 2)])
    half = 0.5 * np.array([LONG_PX, LONG_PX / ASPECT])
    return np.asarray(np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half @ axes + MIDDLE)


def lines(seed: int, count: int = 10) -> tuple[Points, Points]:
    """Places and directions of chance lines, strewn over the view."""
    rng = np.random.default_rng(seed)
    return rng.uniform(0, SIDE_PX, (count, 2)), unit(rng.uniform(0, np.pi, count))


def ground(places: Points, seed: int) -> Grey:
    """Chance boards and sticks: dark lines of 4 px."""
    grey = np.full(len(places), GROUND)
    for place, along in zip(*lines(seed), strict=True):
        grey[np.abs((places - place) @ [-along[1], along[0]]) < 2.0] = 60.0
    return grey


def bricks(places: Points) -> Grey:
    """A wall of bricks of a card's shape in running bond, turned; light joints of 4 px."""
    long, short = LONG_PX, LONG_PX / ASPECT
    along, across = (places @ unit(TURN_RAD)), (places @ unit(TURN_RAD + np.pi / 2))
    row = np.floor(across / short)
    in_row, in_brick = np.mod(across, short), np.mod(along + 0.5 * long * np.mod(row, 2), long)
    return np.where((in_row < 4.0) | (in_brick < 4.0), FACE, GROUND)


def drawn(grey_at: Callable[[Points], Grey], seed: int = 0) -> Bgr:
    return as_bgr(averaged((SIDE_PX, SIDE_PX), grey_at), 0.8, 3.0, seed)


def card_alone(aspect: float = ASPECT) -> Bgr:
    return drawn(lambda places: np.where(on_card(places, aspect), FACE, GROUND))


def card_among_lines(seed: int) -> Bgr:
    return drawn(lambda places: np.where(on_card(places), FACE, ground(places, seed)), seed)


def found(bgr: Bgr) -> list[Rectangle]:
    return find_rectangles(view(bgr), ASPECT, RANGE_PX)


def off_px(rectangle: Rectangle, corners: Points) -> float:
    """The farthest that a corner lies from the true one; the first side may be either long one."""
    return min(
        float(np.linalg.norm(rectangle.corners_px - np.roll(corners, turn, axis=0), axis=1).max())
        for turn in (0, 2)
    )


@pytest.mark.parametrize("seed", range(2))
def test_a_card_among_chance_lines_is_found_first(seed: int) -> None:
    first, *others = found(card_among_lines(seed))
    # Sizes are tried in steps of 1.7 %, places in steps of 2 px; its sides are refined afterwards.
    assert off_px(first, true_corners()) < 3.0
    assert first.outlined > 0.9
    assert all(other.outlined < first.outlined - 0.1 for other in others)


def test_a_card_alone_is_all_that_is_found() -> None:
    (card,) = found(card_alone())
    assert off_px(card, true_corners()) < 3.0
    assert card.outlined > 0.95
    turned = card.corners_px - np.roll(card.corners_px, 1, axis=0)
    # Clockwise as seen, y pointing down: every corner turns to the right.
    turns = (
        turned[:, 0] * np.roll(turned, -1, axis=0)[:, 1] - turned[:, 1] * np.roll(turned, -1, axis=0)[:, 0]
    )
    assert turns.min() > 0


def test_a_brick_wall_is_worse_outlined_than_a_card() -> None:
    """Bricks of a card's shape and size: their joints run on beyond the corners."""
    (card,) = found(card_alone())
    walls = found(drawn(bricks))
    assert max(wall.outlined for wall in walls) < card.outlined - 0.05


def test_another_shape_is_worse_outlined() -> None:
    """A square of a card's length is no card: at the most three sides of it fit one."""
    assert all(other.outlined < 0.8 for other in found(card_alone(aspect=1.0)))


def test_chance_lines_alone_are_worse_outlined() -> None:
    assert all(chance.outlined < 0.8 for chance in found(drawn(lambda places: ground(places, 1), 1)))


@pytest.mark.parametrize("seed", range(3))
def test_pure_noise_has_no_rectangle(seed: int) -> None:
    noise = np.random.default_rng(seed).integers(0, 256, (SIDE_PX, SIDE_PX, 3), dtype=np.uint8)
    assert found(noise) == []


def test_a_blank_view_has_no_rectangle() -> None:
    assert found(np.full((SIDE_PX, SIDE_PX, 3), 128, np.uint8)) == []
