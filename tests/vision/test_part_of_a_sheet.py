"""What is cut off a larger thing by lines across it is not the thing itself, though it has its shape.

Half a sheet of A4 has the shape of a whole one (ISO 216), so a line of print across its middle outlines
another; and so has a quarter between that line and one down its middle. Nearly the whole of it has that shape
as well, from the margin at which all lines of a letter begin to the last of them.
"""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_pictures import as_bgr
from tests.vision.drawn_scenes import TRUTH, rim_px, seen_by_opencv
from uncertainties import ufloat

from whirlwise.vision.find.rim import RimEdge
from whirlwise.vision.fit.reference_choice import Choice, chosen_references
from whirlwise.vision.fit.wheel_fit import WheelPicture, fit_rim, rim_poses
from whirlwise.vision.geometry.camera import Points
from whirlwise.vision.geometry.ellipse import fit_ellipse
from whirlwise.vision.open.picture import Picture
from whirlwise.vision.references import FoundReference, ReferenceRequest

HEIGHT_MM = 4.0
LONG_MM, SHORT_MM = 297.0, 210.0
SIZE = (2391, 3209)
WALL, PAPER, PRINT = 110.0, 220.0, 60.0
#: How thick a line of print is drawn, and to how many fractions of a pixel (a power of 2).
PRINT_PX, FRACTION = 5, 4


def along_px(corners_mm: Points, shares: NDArray[np.float64]) -> tuple[Points, ...]:
    """Places at shares of each side of a rectangle (4, 2) on the wheel, seen through a bent lens."""
    ends = zip(corners_mm, np.roll(corners_mm, -1, axis=0), strict=True)
    return tuple(seen_by_opencv(one + shares[:, None] * (other - one), HEIGHT_MM) for one, other in ends)


#: Corners on the wheel, clockwise as seen, a long side first: of an upright sheet, of its upper half, of the
#: left one of its upper quarters, and of nine tenths of it from its upper right corner.
RIGHT, TOP = SHORT_MM / 2, LONG_MM / 2
WHOLE_MM = np.array([[RIGHT, TOP], [RIGHT, -TOP], [-RIGHT, -TOP], [-RIGHT, TOP]])
UPPER_MM = np.array([[-RIGHT, TOP], [RIGHT, TOP], [RIGHT, 0.0], [-RIGHT, 0.0]])
QUARTER_MM = np.array([[0.0, TOP], [0.0, 0.0], [-RIGHT, 0.0], [-RIGHT, TOP]])
MOST_MM = WHOLE_MM[0] + 0.9 * (WHOLE_MM - WHOLE_MM[0])


def drawn(printed_mm: Points) -> Picture:
    """A sheet of paper with print along those sides of a rectangle (4, 2) that lie within it."""
    grey = np.full(SIZE, WALL)
    everywhere = np.linspace(0, 1, 40)
    outline = np.concatenate(along_px(WHOLE_MM, everywhere))
    ends_mm = np.roll(printed_mm, -1, axis=0)
    within = (np.abs(0.5 * (printed_mm + ends_mm)) < np.array([RIGHT, TOP])).all(axis=1)
    sides_px = [along_px(printed_mm, everywhere)[k] for k in np.flatnonzero(within)]
    whole, *lines = (np.rint(places * 2**FRACTION).astype(int) for places in (outline, *sides_px))
    cv2.fillPoly(grey, [whole], PAPER, cv2.LINE_8, FRACTION)
    cv2.polylines(grey, lines, False, PRINT, PRINT_PX, cv2.LINE_8, FRACTION)
    return Picture("drawn.png", as_bgr(grey, blur_px=1.0), 2500.0, focal_known=True)


def chosen(corners_mm: Points) -> Choice:
    """What is chosen where a rectangle with these corners, printed or not, is all that was found."""
    picture, points_px = drawn(UPPER_MM if corners_mm is WHOLE_MM else corners_mm), rim_px(240)
    ellipse = fit_ellipse(points_px)
    assert ellipse is not None
    seen = WheelPicture(picture, RimEdge(ellipse, points_px, 1.0, 0.3), (), ufloat(HEIGHT_MM, 1.0), 280.0)
    pose = min(rim_poses(picture, seen.rim), key=lambda p: abs(p.tilt_rotation[1] - TRUTH["tilt_y"]))
    corners_px = seen_by_opencv(corners_mm, HEIGHT_MM)
    sides_px = along_px(corners_mm, np.linspace(0.1, 0.9, 9))
    found = FoundReference("a4", corners_px, LONG_MM, SHORT_MM, 0.0035, 0.6, certain=False, sides_px=sides_px)
    return chosen_references(seen, pose, fit_rim(seen, pose), [found], [ReferenceRequest("a4")])


def test_half_a_sheet_is_none_even_where_the_whole_one_was_not_found() -> None:
    # It would make the wheel 41 % too large.
    assert chosen(UPPER_MM).seen.references == ()


def test_a_quarter_in_a_corner_of_the_sheet_is_none() -> None:
    # It would make the wheel twice as large.
    assert chosen(QUARTER_MM).seen.references == ()


def test_most_of_a_sheet_is_none() -> None:
    # It would make the wheel 11 % too large.
    assert chosen(MOST_MM).seen.references == ()


def test_the_whole_sheet_is_one() -> None:
    choice = chosen(WHOLE_MM)
    assert [reference.kind for reference in choice.seen.references] == ["a4"]
    (radius,) = choice.fit.measured("rim_radius")
    assert radius.nominal_value == pytest.approx(TRUTH["rim_radius"], rel=0.004)
