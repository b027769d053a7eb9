"""Sides of drawn cards: rounded corners, a printed border, tape over a side, noise.

The card is ID-1 of ISO/IEC 7810 (85.60 x 53.98 mm, corners rounded by 3.18 mm), seen in perspective.
"""

from dataclasses import dataclass
from functools import partial

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_pictures import Bgr, Points, as_bgr, averaged
from tests.vision.drawn_scenes import CARD_MM

from whirlwise.vision.find.edges import lab_pixels
from whirlwise.vision.find.outlines import (
    Outline,
    likeliest_outline,
    outline_cover,
    refined_outline,
)
from whirlwise.vision.geometry.ellipse import Ellipse
from whirlwise.vision.geometry.rectangle import shape_misfit

SIZE = (340, 260)
ROUNDED_MM = 3.18
GROUND, FACE, PRINT, TAPE = 110.0, 175.0, 60.0, 140.0
#: Corners of a tilted card in the picture, clockwise as seen, the first side a long one.
CORNERS_PX = np.array([[72.4, 88.7], [262.9, 61.3], [275.2, 186.4], [88.6, 203.9]])
#: Corners of the card in its own plane, in the same order.
CORNERS_MM = 0.5 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * CARD_MM
TO_CARD = cv2.getPerspectiveTransform(CORNERS_PX.astype(np.float32), CORNERS_MM.astype(np.float32))
TOLERANCE_PX = 0.5
#: Of a card whose plane is known but for noise.
USUAL_MISFIT = 0.003


@dataclass(frozen=True)
class Card:
    """How a card is drawn.

    ``border_mm`` is how far inside the edge the printed part begins, and ``taped_mm`` the stretch of the
    upper side that a strip of tape hides.
    """

    border_mm: float | None = None
    taped_mm: tuple[float, float] | None = None
    blur_px: float = 0.8
    noise: float = 0.0

    def grey_at(self, places: Points) -> NDArray[np.float64]:
        x, y = on_card(places).T
        edge_mm = -rounded_box(x, y)
        grey = np.where(edge_mm > 0, FACE, GROUND)
        if self.border_mm is not None:
            grey[edge_mm > self.border_mm] = PRINT
        if self.taped_mm is not None:
            grey[(x > self.taped_mm[0]) & (x < self.taped_mm[1]) & (y < -10) & (y > -45)] = TAPE
        return grey

    def drawn(self, seed: int = 0) -> Bgr:
        return as_bgr(averaged(SIZE, self.grey_at), self.blur_px, self.noise, seed)


def on_card(places_px: Points) -> Points:
    """Pixels (n, 2) in the card's plane, in mm from its middle."""
    homogeneous = np.column_stack([places_px, np.ones(len(places_px))]) @ TO_CARD.T
    return np.asarray(homogeneous[:, :2] / homogeneous[:, 2:])


def rounded_box(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distance in mm from the outline of the card, outside positive."""
    over_x, over_y = (np.abs(v) - side / 2 + ROUNDED_MM for v, side in zip((x, y), CARD_MM, strict=True))
    outside = np.hypot(np.maximum(over_x, 0), np.maximum(over_y, 0))
    return np.asarray(outside + np.minimum(np.maximum(over_x, over_y), 0) - ROUNDED_MM)


def misfit(corners_px: Points) -> NDArray[np.float64]:
    return shape_misfit(on_card(corners_px.reshape(-1, 2)).reshape(corners_px.shape), *CARD_MM)


def rough(seed: int, off_px: float = 1.5) -> Points:
    """Corners as a search in a small view gives them."""
    return CORNERS_PX + np.random.default_rng(seed).uniform(-off_px, off_px, (4, 2))


def likeliest(bgr: Bgr, corners_px: Points) -> Outline:
    outline = likeliest_outline(lab_pixels(bgr), corners_px, misfit, USUAL_MISFIT)
    assert outline is not None
    return outline


def worst_px(outline: Outline) -> float:
    return float(np.linalg.norm(outline.corners_px - CORNERS_PX, axis=1).max())


PLAIN = Card()
TAPED = Card(taped_mm=(-12.0, 12.0))


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(
    "finder", [refined_outline, partial(likeliest_outline, misfit=misfit, usual_misfit=USUAL_MISFIT)]
)
def test_corners_that_are_rounded_off_lie_where_the_sides_cross(finder: object, seed: int) -> None:
    assert callable(finder)
    outline = finder(lab_pixels(PLAIN.drawn()), rough(seed))
    assert outline is not None
    # 2.1 px of each corner are rounded away in the direction of its diagonal.
    assert worst_px(outline) < TOLERANCE_PX


@pytest.mark.parametrize("seed", range(4))
def test_noise_and_blur(seed: int) -> None:
    card = Card(blur_px=1.2, noise=8.0)
    assert worst_px(likeliest(card.drawn(seed), rough(seed))) < TOLERANCE_PX


@pytest.mark.parametrize("seed", range(3))
def test_tape_over_one_side(seed: int) -> None:
    """A strip hides 28 % of one side, and its own two edges cross it."""
    assert worst_px(likeliest(TAPED.drawn(), rough(seed))) < TOLERANCE_PX


def test_the_side_is_preferred_to_a_printed_border() -> None:
    """A border that is as full and by far the clearer one, 3.5 px inside: both are in reach."""
    bgr = Card(border_mm=1.6).drawn()
    guesses_px = [rough(seed, 0.5) for seed in range(4)]
    assert max(worst_px(likeliest(bgr, guess_px)) for guess_px in guesses_px) < TOLERANCE_PX
    fullest = [refined_outline(lab_pixels(bgr), guess_px) for guess_px in guesses_px]
    assert max(worst_px(outline) for outline in fullest if outline is not None) > 2.0


@pytest.mark.parametrize("seed", range(3))
def test_paper_on_a_board_is_told_from_the_board_by_its_colour(seed: int) -> None:
    """A board stands out on two sides by as much as makes, with the paper's other two, the same shape.

    The rough place lies between board and paper, so that all edges are in reach.
    """
    out_mm = 0.05 * np.array(CARD_MM)

    def grey_at(places: Points) -> NDArray[np.float64]:
        x, y = on_card(places).T
        on_paper = (np.abs(x) < CARD_MM[0] / 2) & (np.abs(y) < CARD_MM[1] / 2)
        within = (x < CARD_MM[0] / 2) & (y < CARD_MM[1] / 2)
        on_board = within & (x > -CARD_MM[0] / 2 - out_mm[0]) & (y > -CARD_MM[1] / 2 - out_mm[1])
        return np.where(on_paper, FACE, np.where(on_board, TAPE, GROUND))

    lab = lab_pixels(as_bgr(averaged(SIZE, grey_at), 0.8, 6.0, seed))
    between_px = CORNERS_PX + np.array([[-4.0, -3.0], [0.0, -3.0], [0.0, 0.0], [-4.0, 0.0]])
    outline = likeliest_outline(lab, between_px, misfit, 0.01, reach_px=8.0, plain=True)
    assert outline is not None
    assert worst_px(outline) < TOLERANCE_PX


def test_points_lie_on_the_side_that_bears_them() -> None:
    sides = likeliest(PLAIN.drawn(), rough(1)).sides_px
    assert len(sides) == 4
    for k, points in enumerate(sides):
        start, end = CORNERS_PX[k], CORNERS_PX[(k + 1) % 4]
        along = (end - start) / np.linalg.norm(end - start)
        share = (points - start) @ along / np.linalg.norm(end - start)
        assert np.abs((points - start) @ [-along[1], along[0]]).max() < 0.3
        assert len(points) >= 3
        assert share.min() > 0
        assert share.max() < 1


def test_a_card_is_outlined_and_a_bare_ground_is_not() -> None:
    assert outline_cover(lab_pixels(PLAIN.drawn()), CORNERS_PX) > 0.95
    # A tape of 24 mm hides 0.07 of the outline; the corners are not asked for.
    taped = outline_cover(lab_pixels(TAPED.drawn()), CORNERS_PX)
    assert 0.85 < taped < 0.97
    assert outline_cover(lab_pixels(as_bgr(np.full(SIZE[::-1], GROUND))), CORNERS_PX) == 0.0


def test_half_a_card_is_half_outlined() -> None:
    """A board over the right half of the card ends at its middle."""
    bgr = PLAIN.drawn()
    bgr[:, 172:] = int(GROUND)
    # Half of both long sides and one short one of four: half of all; every side counts alike.
    assert outline_cover(lab_pixels(bgr), CORNERS_PX) == pytest.approx(0.5, abs=0.05)


def test_a_side_that_does_not_show_is_no_outline() -> None:
    bgr = PLAIN.drawn()
    bgr[:, 230:] = int(GROUND)
    assert refined_outline(lab_pixels(bgr), CORNERS_PX) is None
    assert likeliest_outline(lab_pixels(bgr), CORNERS_PX, misfit, USUAL_MISFIT) is None


def test_a_blank_picture_has_no_outline() -> None:
    blank = lab_pixels(np.full((SIZE[1], SIZE[0], 3), 128, np.uint8))
    assert refined_outline(blank, CORNERS_PX) is None
    assert likeliest_outline(blank, CORNERS_PX, misfit, USUAL_MISFIT) is None


#: The edge of a rim, along which a chance rectangle's last side lies, and that rectangle, clockwise.
RIM = Ellipse(-350.0, 130.0, 530.0, 530.0, 0.0)
BESIDE_RIM_PX = np.array([[79.0, 60.0], [178.0, 60.0], [178.0, 200.0], [79.0, 200.0]])


def beside_rim() -> Bgr:
    """A patch in the wood of a rim, which with an arc of its edge makes a card's outline."""
    picture = np.full((SIZE[1], SIZE[0], 3), 200, np.uint8)
    cv2.circle(picture, (-350, 130), 530, (70, 110, 150), -1, cv2.LINE_AA)
    patch = np.zeros(picture.shape[:2], np.uint8)
    cv2.fillConvexPoly(patch, BESIDE_RIM_PX.astype(np.int32), 255)
    picture[(patch > 0) & (picture[..., 0] < 100)] = (50, 80, 110)
    return np.asarray(cv2.GaussianBlur(picture, (0, 0), 0.8), dtype=np.uint8)


def test_an_edge_of_the_rim_is_none_of_a_card() -> None:
    lab = lab_pixels(beside_rim())
    seen = outline_cover(lab, BESIDE_RIM_PX)
    # By itself the arc passes for a straight side in part.
    assert seen > 0.85
    assert outline_cover(lab, BESIDE_RIM_PX, RIM) == pytest.approx(0.75, abs=0.02)


def test_sides_that_cross_the_rim_are_seen_all_the_same() -> None:
    lab = lab_pixels(beside_rim())
    across = Ellipse(30.0, 130.0, 100.0, 100.0, 0.0)
    assert outline_cover(lab, BESIDE_RIM_PX, across) == outline_cover(lab, BESIDE_RIM_PX)
