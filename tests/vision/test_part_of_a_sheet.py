"""What is cut off a larger thing by a line across it is not the thing itself, though it has its shape.

Half a sheet of A4 has the shape of a whole one (ISO 216), so a line of print across its middle outlines
another.
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


#: Corners on the wheel, clockwise as seen, a long side first: of an upright sheet, and of its upper half.
RIGHT, TOP = SHORT_MM / 2, LONG_MM / 2
WHOLE_MM = np.array([[RIGHT, TOP], [RIGHT, -TOP], [-RIGHT, -TOP], [-RIGHT, TOP]])
UPPER_MM = np.array([[-RIGHT, TOP], [RIGHT, TOP], [RIGHT, 0.0], [-RIGHT, 0.0]])


def drawn() -> Picture:
    """A sheet of paper with a line of print across its middle."""
    grey = np.full(SIZE, WALL)
    everywhere = np.linspace(0, 1, 40)
    outline, print_px = np.concatenate(along_px(WHOLE_MM, everywhere)), along_px(UPPER_MM, everywhere)[2]
    whole, line = (np.rint(places * 2**FRACTION).astype(int) for places in (outline, print_px))
    cv2.fillPoly(grey, [whole], PAPER, cv2.LINE_8, FRACTION)
    cv2.polylines(grey, [line], False, PRINT, PRINT_PX, cv2.LINE_8, FRACTION)
    return Picture("drawn.png", as_bgr(grey, blur_px=1.0), 2500.0, focal_known=True)


def chosen(corners_mm: Points) -> Choice:
    """What is chosen where a rectangle with these corners is all that was found."""
    picture, points_px = drawn(), rim_px(240)
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


def test_the_whole_sheet_is_one() -> None:
    choice = chosen(WHOLE_MM)
    assert [reference.kind for reference in choice.seen.references] == ["a4"]
    (radius,) = choice.fit.measured("rim_radius")
    assert radius.nominal_value == pytest.approx(TRUTH["rim_radius"], rel=0.004)
