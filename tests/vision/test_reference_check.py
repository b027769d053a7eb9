"""Which of several believed references is taken: rivals that make another size of the wheel leave it open."""

from contextlib import nullcontext
from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_pictures import picture_of
from uncertainties import ufloat

from whirlwise.vision.find.rim import RimEdge
from whirlwise.vision.fit import reference_check
from whirlwise.vision.fit.joint import Fit
from whirlwise.vision.fit.reference_check import ScaledRim, believed, enough_speaks_for, merit_of, surest
from whirlwise.vision.fit.wheel_fit import WheelPicture, rim_poses
from whirlwise.vision.geometry.ellipse import Ellipse
from whirlwise.vision.references.found import FoundReference

PICTURE = picture_of(np.zeros((30, 40, 3), np.uint8))
RIM = RimEdge(Ellipse(20.0, 15.0, 10.0, 10.0, 0.0), np.zeros((0, 2)), 1.0, 0.3)
NO_FIT = Fit({}, np.zeros((0, 0)), 0.0, 1.0)


def scaled(rim_radius_mm: float, merit: float) -> ScaledRim:
    return ScaledRim(WheelPicture(PICTURE, RIM, (), ufloat(0, 1), rim_radius_mm), NO_FIT, merit)


CARD, SAME_CARD = scaled(281.0, 0.90), scaled(283.0, 0.88)
BRICK, CLEAR_BRICK = scaled(340.0, 0.76), scaled(340.0, 0.86)


def test_nothing_believed_is_nothing_sure() -> None:
    assert surest([]) is None


def test_the_only_one_is_the_surest() -> None:
    assert surest([BRICK]) is BRICK


@pytest.mark.parametrize("order", list(permutations([CARD, SAME_CARD, BRICK])))
def test_the_one_with_most_merit_whatever_the_order(order: tuple[ScaledRim, ...]) -> None:
    # The other one of the same size speaks for it, the brick is far behind.
    assert surest(order) is CARD


@pytest.mark.parametrize("order", list(permutations([CARD, SAME_CARD, CLEAR_BRICK])))
def test_a_rival_of_another_size_leaves_it_open(order: tuple[ScaledRim, ...]) -> None:
    assert surest(order) is None


def test_a_rival_of_another_size_counts_even_if_one_of_the_same_size_is_better() -> None:
    assert surest([CARD, scaled(284.0, 0.89), scaled(200.0, 0.85)]) is None


@pytest.mark.parametrize("factor", [0.97, 1.03])
def test_nearly_the_same_size_is_no_rival(factor: float) -> None:
    # One thing found twice, from either pose of the rim: within 4 %.
    assert surest([CARD, scaled(281.0 * factor, 0.90)]) is CARD


@pytest.mark.parametrize("factor", [0.95, 1.05, 2.0])
def test_equally_good_ones_of_other_sizes_leave_it_open(factor: float) -> None:
    assert surest([CARD, scaled(281.0 * factor, 0.90)]) is None


#: Corners of a sheet of A4 (ISO 216: half of it has the shape of the whole), clockwise, a long side first.
SHEET_PX = np.array([[300.0, 100.0], [300.0, 397.0], [90.0, 397.0], [90.0, 100.0]])
#: Its upper half, as if a line of print ran across its middle; and a half sheet that begins beside it.
UPPER_PX = np.array([[90.0, 100.0], [300.0, 100.0], [300.0, 248.5], [90.0, 248.5]])
BESIDE_PX = UPPER_PX + np.array([40.0, 0.0])


def sheet(corners_px: NDArray[np.float64], rim_radius_mm: float, merit: float) -> ScaledRim:
    found = FoundReference("a4", corners_px, 297.0, 210.0, 0.0035, 0.6, certain=False)
    one = scaled(rim_radius_mm, merit)
    return replace(one, seen=replace(one.seen, references=(found,)))


def test_half_a_sheet_above_a_line_of_print_is_no_rival_of_the_whole() -> None:
    whole, half = sheet(SHEET_PX, 250.0, 0.99), sheet(UPPER_PX, 353.6, 0.93)
    assert surest([whole, half]) is whole
    assert surest([half, whole]) is whole


def test_the_whole_is_a_rival_of_its_half_where_the_half_is_clearer() -> None:
    assert surest([sheet(SHEET_PX, 250.0, 0.93), sheet(UPPER_PX, 353.6, 0.99)]) is None


#: A card (ISO/IEC 7810: 85.60 x 53.98 mm), and its corner between a stripe across it and tape over its edge.
CARD_PX = np.array([[300.0, 100.0], [557.0, 100.0], [557.0, 262.0], [300.0, 262.0]])
CORNER_PX = np.array([[300.0, 100.0], [460.0, 100.0], [460.0, 201.0], [300.0, 201.0]])


def card(corners_px: NDArray[np.float64], rim_radius_mm: float, merit: float, rounding: float) -> ScaledRim:
    found = FoundReference(
        "card", corners_px, 85.6, 53.98, 0.001, 0.4, certain=False, rounded_mm=3.18, rounding=rounding
    )
    one = scaled(rim_radius_mm, merit)
    return replace(one, seen=replace(one.seen, references=(found,)))


@pytest.mark.parametrize("order", [[0, 1], [1, 0]])
@pytest.mark.parametrize(("merit", "rounding", "of_corner"), [(0.95, 0.88, 0.98), (0.83, 0.79, 1.05)])
def test_a_corner_of_a_card_is_no_rival_of_the_card_even_if_it_is_clearer(
    merit: float, rounding: float, of_corner: float, order: list[int]
) -> None:
    ones = [card(CARD_PX, 225.0, merit, rounding), card(CORNER_PX, 361.0, of_corner, 1.0)]
    assert surest([ones[k] for k in order]) is ones[0]


@pytest.mark.parametrize(
    ("rounding", "shift_px"),
    [(0.5, 0.0), (0.88, 30.0)],
    ids=["larger one without rounded corners", "smaller one not flush"],
)
def test_a_card_within_something_else_of_its_shape_leaves_it_open(rounding: float, shift_px: float) -> None:
    ones = [card(CARD_PX, 225.0, 0.95, rounding), card(CORNER_PX + shift_px, 361.0, 0.98, 1.0)]
    assert surest(ones) is None


def test_a_sheet_that_reaches_beyond_the_best_one_is_a_rival() -> None:
    assert surest([sheet(SHEET_PX, 250.0, 0.99), sheet(BESIDE_PX, 353.6, 0.93)]) is None


@pytest.mark.parametrize(
    ("outlined", "rounding", "stretch", "believed"),
    [
        # As they are in drawn rooms with known truth: cards taped over, then chance lines that happen to end
        # in rounded corners, and a part of a card that has its sides but not its corners.
        (0.77, 0.77, 1.0, True),
        (0.84, 0.88, 2.0, True),
        (0.64, 0.87, 2.8, False),
        (0.74, 0.95, 1.0, False),
        (0.92, 0.45, 1.0, False),
    ],
)
def test_a_card_needs_both_its_sides_and_its_corners(
    outlined: float, rounding: float, stretch: float, believed: bool
) -> None:
    found = FoundReference(
        "card",
        CARD_PX,
        85.6,
        53.98,
        0.001,
        0.4,
        outlined,
        certain=False,
        rounded_mm=3.18,
        rounding=rounding,
    )
    assert enough_speaks_for(found, merit_of(found, stretch)) is believed


@pytest.mark.parametrize(("rounding", "fitted"), [(0.9, True), (0.4, True), (0.2, False)])
def test_what_does_not_look_like_a_card_at_all_is_not_fitted(
    rounding: float, fitted: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    class FittedError(Exception):
        pass

    def refuse(*_: object) -> None:
        raise FittedError

    monkeypatch.setattr(reference_check, "_fitted", refuse)
    (found,) = card(CARD_PX, 225.0, 0.0, rounding).seen.references
    seen, pose = scaled(225.0, 0.0).seen, rim_poses(PICTURE, RIM)[0]
    with pytest.raises(FittedError) if fitted else nullcontext():
        assert believed(seen, pose, NO_FIT, found) is None
