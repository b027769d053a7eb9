"""A rectangle of another size than it was taken for makes the band too thick or too thin."""

from dataclasses import replace

import numpy as np
import pytest
from tests.vision.drawn_pictures import picture_of
from tests.vision.drawn_scenes import TRUTH, run_px
from uncertainties import ufloat

from whirlwise.vision.find.cord_lines import CordLine
from whirlwise.vision.find.rim import RimEdge
from whirlwise.vision.fit.cord_check import as_thick_as_told
from whirlwise.vision.fit.joint import Fit
from whirlwise.vision.fit.reference_choice import Choice
from whirlwise.vision.fit.scene import Scene
from whirlwise.vision.fit.wheel_fit import WheelPicture
from whirlwise.vision.geometry.ellipse import Ellipse
from whirlwise.vision.references.found import FoundReference

RIM = RimEdge(Ellipse(20.0, 15.0, 10.0, 10.0, 0.0), np.zeros((0, 2)), 1.0, 0.3)
PICTURE = picture_of(np.zeros((30, 40, 3), np.uint8))
UNSCALED = WheelPicture(PICTURE, RIM, (), ufloat(0, 1), 280.0)
FIT = Fit(TRUTH, np.zeros((len(TRUTH), len(TRUTH))), 0.0, 1.0)
CARD = FoundReference("card", np.zeros((4, 2)), 85.60, 53.98, 0.001, 0.6, certain=False)
BAND_MM = ufloat(3.0, 0.1)


def cord(side: int, thickness_mm: float, seen: float = 1.0) -> CordLine:
    """A cord along one of the true runs."""
    points_px = run_px(side, 9)
    plane = Scene(TRUTH).plane
    x, y = plane.plane_from_pixels(points_px.mean(axis=0)[None])[0].tolist()
    thickness_px = thickness_mm * float(plane.px_per_mm((x, y)))
    return CordLine(points_px, 0.1, seen, 0.1, thickness_px)


def checked(thickness_mm: float, *, seen: float = 1.0, certain: bool = False) -> Choice:
    choice = Choice(replace(UNSCALED, references=(replace(CARD, certain=certain),)), FIT)
    cords = [cord(1, thickness_mm, seen)], [cord(-1, thickness_mm, seen)]
    return as_thick_as_told(choice, UNSCALED, FIT, cords, BAND_MM)


@pytest.mark.parametrize("thickness_mm", [2.2, 3.0, 3.9])
def test_a_cord_about_as_thick_as_told_says_nothing(thickness_mm: float) -> None:
    assert checked(thickness_mm).seen.references == (CARD,)


@pytest.mark.parametrize("thickness_mm", [1.8, 4.9])
def test_one_far_thicker_or_thinner_tells_that_the_card_is_none(thickness_mm: float) -> None:
    choice = checked(thickness_mm)
    assert choice.seen is UNSCALED
    assert choice.disagreement is not None
    assert choice.disagreement.reason == (
        f"By what was taken for the card the band is {thickness_mm:.1f} mm thick, but you measured 3.0 mm: "
        "it is something else, so no sizes are given."
    )


def test_a_cord_that_is_hardly_seen_says_nothing() -> None:
    assert checked(4.9, seen=0.5).disagreement is None


def test_what_can_be_nothing_else_is_believed() -> None:
    assert checked(4.9, certain=True).disagreement is None
