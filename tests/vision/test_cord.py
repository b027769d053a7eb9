"""The centre line of drawn cords: evenly lit, lit from one side, beside each other, hidden, in noise."""

from collections.abc import Callable
from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_pictures import Bgr, Points, as_bgr, averaged

from whirlwise.vision.find.cord import cord_pairs, cords_along
from whirlwise.vision.find.cord_lines import CordLine
from whirlwise.vision.find.cord_ridges import cord_beside
from whirlwise.vision.find.cord_strip import Strip
from whirlwise.vision.find.edges import Pixels, lab_pixels
from whirlwise.vision.find.runs import BandRun
from whirlwise.vision.measured import HALF_WIDTH_95

SIZE = (420, 150)
#: Usual cords of a wheel of this radius are 3.8 px thick in the picture.
RIM_RADIUS_PX = 400.0
#: The middle of a slanting cord, 4 px thick unless said otherwise: a place on it and its direction.
PLACE, SLANT_RAD = np.array([210.0, 74.4]), np.radians(7.0)
ALONG = np.array([np.cos(SLANT_RAD), np.sin(SLANT_RAD)])
ACROSS = np.array([-ALONG[1], ALONG[0]])
#: Light of wall and cord, as shares of white.
WALL, CORD, SHADE = 0.20, 0.60, 0.06
#: Aim: the centre line of every cord, at both its ends.
TOLERANCE_PX = 0.3

Light = NDArray[np.float64]
#: Light of a cord over the place across it, -1 to 1 from edge to edge.
Lit = Callable[[Light], Light]


def even(u: Light) -> Light:
    return np.full_like(u, CORD)


def from_one_side(u: Light) -> Light:
    """A matt cylinder lit at a slant (Lambert's law): one flank is light, one as bright as the wall."""
    angle = np.arcsin(np.clip(u, -1, 1))
    return np.asarray(WALL + (CORD - WALL) * np.clip(np.cos(angle + np.pi / 3), 0, None))


def half_as_the_wall(u: Light) -> Light:
    return np.where(u < 0, CORD, WALL)


def away_px(places: Points) -> tuple[Light, Light]:
    """How far places (n, 2) lie along the cord from its middle place, and across it."""
    return (places - PLACE) @ ALONG, (places - PLACE) @ ACROSS


def drawn(*cords: tuple[float, float, Lit], hidden: tuple[float, float] = (0.0, 0.0), seed: int = 1) -> Bgr:
    """Cords (offset, thickness, light) before a wall, a board before them from one distance to another."""

    def light_at(places: Points) -> Light:
        along, across = away_px(places)
        light = np.full(len(places), WALL)
        for offset_px, thickness_px, lit in cords:
            u = 2 * (across - offset_px) / thickness_px
            light = np.where(np.abs(u) < 1, lit(u), light)
        return np.where((along > hidden[0]) & (along < hidden[1]), SHADE, light)

    return stored(averaged(SIZE, light_at), seed)


def stored(light: Light, seed: int = 1) -> Bgr:
    """Light as a camera would store it."""
    blurred = np.asarray(cv2.GaussianBlur(light, (0, 0), 0.8))
    # IEC 61966-2-1 (sRGB): a lens blurs light, a file stores about its square root.
    values = np.where(blurred <= 0.0031308, 12.92 * blurred, 1.055 * blurred ** (1 / 2.4) - 0.055)
    return as_bgr(255 * values, noise=1.5, seed=seed)


def run(off_start_px: float = 1.5, off_end_px: float = -2.0) -> BandRun:
    """The run as the search would give it: a pixel or two beside the cord."""
    start = PLACE - 180 * ALONG + off_start_px * ACROSS
    end = PLACE + 180 * ALONG + off_end_px * ACROSS
    return BandRun(1, start, end, 0.97, 300.0)


def strip(lab: Pixels, along: BandRun, thickness_px: float | None = None) -> Strip:
    return Strip.along(lab, along, RIM_RADIUS_PX, thickness_px)


def found(bgr: Bgr, thickness_px: float | None = None) -> list[CordLine]:
    return cords_along([strip(lab_pixels(bgr), run(), thickness_px)])[0]


def offsets_px(cord: CordLine) -> tuple[float, float]:
    """How far the line through a cord's points lies across the true line through PLACE, at its ends."""
    along, across = away_px(cord.points_px)
    at = np.polynomial.Polynomial.fit(along, across, 1)
    return float(at(-180.0)), float(at(180.0))


def worst_px(cord: CordLine, offset_px: float = 0.0) -> float:
    return max(abs(at - offset_px) for at in offsets_px(cord))


@pytest.mark.parametrize("thickness_px", [3.0, 4.0, 5.5])
@pytest.mark.parametrize("told", [True, False], ids=["thickness told", "thickness unknown"])
def test_an_evenly_lit_cord(thickness_px: float, told: bool) -> None:
    (cord,) = found(drawn((0.0, thickness_px, even)), thickness_px if told else None)
    assert worst_px(cord) < TOLERANCE_PX
    assert cord.scatter_px < TOLERANCE_PX
    assert cord.seen == 1.0


@pytest.mark.parametrize("thickness_px", [3.0, 4.0])
def test_a_cord_darker_than_the_wall(thickness_px: float) -> None:
    cord, *others = found(drawn((0.0, thickness_px, lambda u: np.full_like(u, SHADE))))
    assert worst_px(cord) < TOLERANCE_PX
    assert cord.seen == 1.0
    # Grain beside it may look like the path of a second one, in which nothing is seen.
    assert [other.seen for other in others if other.seen > 0] == []


@pytest.mark.parametrize(("off_start_px", "off_end_px"), [(0.0, 0.0), (-3.0, 3.0), (4.0, 4.0)])
def test_where_the_run_was_guessed_does_not_matter(off_start_px: float, off_end_px: float) -> None:
    lab = lab_pixels(drawn((0.0, 4.0, even)))
    ((cord,),) = cords_along([strip(lab, run(off_start_px, off_end_px))])
    assert worst_px(cord) < TOLERANCE_PX


def test_points_lie_along_the_whole_run() -> None:
    (cord,) = found(drawn((0.0, 4.0, even)))
    along, _ = away_px(cord.points_px)
    assert np.all(np.diff(along) > 0)
    assert along[0] < -0.9 * 180
    assert along[-1] > 0.9 * 180


@pytest.mark.parametrize("mirrored", [False, True], ids=["from above", "from below"])
@pytest.mark.parametrize("thickness_px", [4.0, 5.5])
def test_a_cord_lit_from_one_side(thickness_px: float, mirrored: bool) -> None:
    """Its brightest line lies 0.3 of its thickness off its middle, a quarter of it looks like the wall."""
    sense = -1.0 if mirrored else 1.0
    (cord,) = found(drawn((0.0, thickness_px, lambda u: from_one_side(sense * u))), thickness_px)
    assert worst_px(cord) < TOLERANCE_PX


@pytest.mark.parametrize("sense", [1.0, -1.0])
@pytest.mark.parametrize("thickness_px", [4.0, 5.5])
def test_half_a_cord_of_told_thickness_is_not_taken_for_the_whole(thickness_px: float, sense: float) -> None:
    (cord,) = found(drawn((0.0, thickness_px, lambda u: half_as_the_wall(sense * u))), thickness_px)
    # The middle of what differs from the wall lies a quarter of the thickness off. A grey picture does not
    # tell on which side of it the unseen half lies, so either side will do if the other lies in the doubt.
    assert worst_px(cord) < HALF_WIDTH_95 * cord.doubt_px + TOLERANCE_PX


def beside(offset_px: float) -> BandRun:
    """A run that keeps a distance from the usual one."""
    usual = run()
    return replace(
        usual, start_px=usual.start_px + offset_px * ACROSS, end_px=usual.end_px + offset_px * ACROSS
    )


@pytest.mark.parametrize("sense", [1.0, -1.0])
def test_the_other_run_tells_that_half_a_cord_is_not_the_whole(sense: float) -> None:
    """Both runs are of one band: what is half as thick on one of them is not all of it."""
    apart_px, thickness_px = 35.0, 5.5
    bgr = drawn(
        (-apart_px, thickness_px, even), (apart_px, thickness_px, lambda u: half_as_the_wall(sense * u))
    )
    lab = lab_pixels(bgr)
    ((alone,),) = cords_along([strip(lab, beside(apart_px))])
    (whole,), (half,) = cords_along([strip(lab, beside(off_px)) for off_px in (-apart_px, apart_px)])
    assert worst_px(whole, -apart_px) < TOLERANCE_PX
    assert worst_px(half, apart_px) < HALF_WIDTH_95 * half.doubt_px
    # Alone it is sure of the wrong place.
    assert worst_px(alone, apart_px) > HALF_WIDTH_95 * alone.doubt_px + TOLERANCE_PX


@pytest.mark.parametrize("thickness_px", [4.0, 5.5])
def test_a_cord_that_differs_from_the_wall_all_across_leaves_no_doubt(thickness_px: float) -> None:
    (cord,) = found(drawn((0.0, thickness_px, even)))
    assert cord.doubt_px < TOLERANCE_PX


@pytest.mark.parametrize("sense", [1.0, -1.0])
def test_colour_tells_the_half_that_is_as_light_as_the_wall(sense: float) -> None:
    """The same cord, yellow before a grey wall: it has one colour from edge to edge, however it is lit."""
    grey = drawn((0.0, 5.5, lambda u: half_as_the_wall(sense * u)))
    covered = drawn((0.0, 5.5, even)).astype(float)
    share = np.clip((covered - covered.min()) / (covered.max() - covered.min()), 0.0, 1.0)
    yellow = grey * (1 - share * np.array([0.45, 0.0, 0.0]))
    (cord,) = found(np.rint(yellow).astype(np.uint8), 5.5)
    # The middle of the lighter half alone lies 1.4 px off.
    assert worst_px(cord) < 0.1 * 5.5


def crossing(nearer: Lit, further: Lit) -> Bgr:
    """Two cords that cross at a small angle, the nearer one straight along the run."""

    def light_at(places: Points) -> Light:
        along, across = away_px(places)
        light = np.full(len(places), WALL)
        for middle_px, lit in ((0.03 * along, further), (0.0 * along, nearer)):
            u = (across - middle_px) / 2.0
            light = np.where(np.abs(u) < 1, lit(u), light)
        return light

    return stored(averaged(SIZE, light_at))


def test_two_cords_that_cross_are_told_apart_all_along() -> None:
    def shaded(u: Light) -> Light:
        return np.asarray(CORD * (0.8 + 0.3 * u))

    def dimmer(u: Light) -> Light:
        return 0.8 * shaded(u)

    lab = lab_pixels(crossing(shaded, dimmer))
    ((one, other), (again, _)), *_ = cord_pairs([strip(lab, run())] * 2)
    assert worst_px(one) < TOLERANCE_PX
    assert worst_px(again) < TOLERANCE_PX
    assert offsets_px(other) == pytest.approx((-0.03 * 180, 0.03 * 180), abs=TOLERANCE_PX)


@pytest.mark.parametrize("apart_px", [8.0, 10.0, 12.0])
@pytest.mark.parametrize("told_px", [4.0, None], ids=["thickness told", "thickness unknown"])
def test_two_cords_beside_each_other(apart_px: float, told_px: float | None) -> None:
    cords = found(drawn((-apart_px / 2, 4.0, even), (apart_px / 2, 4.0, even)), told_px)
    assert len(cords) == 2
    for cord, offset_px in zip(sorted(cords, key=offsets_px), (-apart_px / 2, apart_px / 2), strict=True):
        assert worst_px(cord, offset_px) < TOLERANCE_PX
        assert cord.seen == 1.0


def test_the_clearer_of_two_cords_comes_first() -> None:
    def faint(u: Light) -> Light:
        return np.full_like(u, 0.5 * (WALL + CORD))

    first, *_ = found(drawn((-5.0, 4.0, faint), (5.0, 4.0, even)), 4.0)
    assert worst_px(first, 5.0) < TOLERANCE_PX


@pytest.mark.parametrize("hidden", [(-180.0, -60.0), (-60.0, 60.0), (60.0, 180.0)])
def test_a_cord_hidden_over_a_third_of_its_length_is_seen_over_two_thirds(
    hidden: tuple[float, float],
) -> None:
    (cord,) = found(drawn((0.0, 4.0, even), hidden=hidden))
    # Twelve groups of stations: one at the board's edge may go either way.
    assert cord.seen == pytest.approx(2 / 3, abs=1 / 12 + 1e-9)


@pytest.mark.parametrize("seed", range(3))
def test_a_bare_wall_shows_no_cord(seed: int) -> None:
    assert [cord.seen for cord in found(drawn(seed=seed)) if cord.seen > 0] == []


def test_a_blank_picture_shows_no_cord() -> None:
    assert [cord.seen for cord in found(np.full((150, 420, 3), 128, np.uint8)) if cord.seen > 0] == []


@pytest.mark.parametrize("seed", range(3))
def test_pure_noise_shows_no_cord(seed: int) -> None:
    noise = np.random.default_rng(seed).integers(0, 256, (150, 420, 3), dtype=np.uint8)
    assert all(cord.seen < 0.5 for cord in found(noise))


@pytest.mark.parametrize("offset_px", [14.0, -20.0])
def test_a_second_cord_further_beside_is_found(offset_px: float) -> None:
    """Beyond where both would be looked for together: the strip reaches 14 px to either side."""
    lab = lab_pixels(drawn((0.0, 4.0, even), (offset_px, 4.0, even)))
    second = cord_beside(lab, run(), RIM_RADIUS_PX)
    assert second is not None
    # Roughly: there it is fitted like the first one.
    assert away_px(np.array([second.start_px, second.end_px]))[1] == pytest.approx(offset_px, abs=2.0)


@pytest.mark.parametrize("seed", range(4))
def test_beside_a_lone_cord_there_is_none(seed: int) -> None:
    assert cord_beside(lab_pixels(drawn((0.0, 4.0, even), seed=seed)), run(), RIM_RADIUS_PX) is None


def test_what_is_far_fainter_is_no_second_cord() -> None:
    def faint(u: Light) -> Light:
        return np.full_like(u, WALL + 0.1 * (CORD - WALL))

    lab = lab_pixels(drawn((0.0, 4.0, even), (16.0, 4.0, faint)))
    assert cord_beside(lab, run(), RIM_RADIUS_PX) is None
