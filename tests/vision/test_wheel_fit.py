"""The joint fit in its order, on edge points that ``cv2.projectPoints`` projects.

Rim alone, then with a card (ISO/IEC 7810, ID-1), then with the band's runs and a click on the whirl.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.vision.drawn_pictures import picture_of
from tests.vision.drawn_scenes import (
    CARD_MM,
    Noise,
    card_px,
    card_sides_px,
    rim_px,
    run_px,
    seen_by_opencv,
)
from tests.vision.drawn_wheels import SIZE, WHEEL, meeting_mm, run_ends_mm, spindle_mm
from uncertainties import UFloat, ufloat

from whirlwise.vision.find.cord_lines import CordLine
from whirlwise.vision.find.rim import RimEdge
from whirlwise.vision.find.runs import BandRun, RunPair
from whirlwise.vision.fit.band_fit import WheelFit, fit_bands
from whirlwise.vision.fit.joint import Fit
from whirlwise.vision.fit.wheel_fit import (
    BandSeen,
    LoopSeen,
    WheelPicture,
    band_starts,
    fit_rim,
    rim_poses,
)
from whirlwise.vision.fit.wheel_scene import UNSCALED_RIM_RADIUS_MM
from whirlwise.vision.geometry.circle_pose import CirclePose
from whirlwise.vision.geometry.ellipse import fit_ellipse
from whirlwise.vision.measured import HALF_WIDTH_95
from whirlwise.vision.references import FoundReference

#: A blank picture: what is seen is handed over, and no round parts are to be found.
PICTURE = replace(picture_of(np.full((SIZE[1], SIZE[0], 3), 150, np.uint8)), focal_px=936.0)
SCATTER_PX = 0.3
TILT_RAD = math.hypot(WHEEL["tilt_x"], WHEEL["tilt_y"])


def noise(seed: int) -> Noise:
    return Noise(np.random.default_rng(seed), SCATTER_PX)


def rim(seed: int) -> RimEdge:
    points = noise(seed).on(rim_px(180, WHEEL))
    ellipse = fit_ellipse(points)
    assert ellipse is not None
    return RimEdge(ellipse, points, 1.0, SCATTER_PX)


def card(seed: int) -> FoundReference:
    sides = tuple(noise(100 + seed).on(side) for side in card_sides_px(8, WHEEL))
    return FoundReference("card", card_px(WHEEL), *CARD_MM, 0.001, SCATTER_PX, sides_px=sides)


def unscaled(seed: int) -> WheelPicture:
    return WheelPicture(PICTURE, rim(seed), (), ufloat(4.0, 1.0), UNSCALED_RIM_RADIUS_MM)


def scaled(seed: int, guess: float = 1.0) -> WheelPicture:
    return replace(unscaled(seed), references=(card(seed),), rim_radius_mm=guess * WHEEL["rim_radius"])


def tilt_error(pose: CirclePose) -> float:
    return math.dist(pose.tilt_rotation, (WHEEL["tilt_x"], WHEEL["tilt_y"]))


def true_pose(seen: WheelPicture) -> CirclePose:
    """The one of both poses that leans as the wheel does."""
    return min(rim_poses(PICTURE, seen.rim), key=tilt_error)


def away(number: UFloat, truth: float) -> float:
    """How far a number is from the truth, in its deviations."""
    return float(abs(number.nominal_value - truth) / number.std_dev)


def band(whirl_px: tuple[float, float] | None, scatter: Noise) -> BandSeen:
    """Both runs and their cords as the finders give them, seen to where they meet the whirl."""
    runs, cords = [], []
    for plane_side in (-1, 1):
        start, end = seen_by_opencv(run_ends_mm(plane_side, WHEEL), 0.0, WHEEL)
        runs.append(BandRun(-plane_side, 0.4 * end + 0.6 * start, end, 0.97, 300.0))
        cords.append(CordLine(scatter.on(run_px(plane_side, 12, WHEEL)), SCATTER_PX, 1.0))
    (meeting,) = seen_by_opencv(meeting_mm()[None], 0.0, WHEEL)
    rim_radius_px = rim(1).ellipse.mean_radius_px
    pair = RunPair((runs[0], runs[1]), meeting, 300.0, rim_radius_px)
    return BandSeen(pair, (LoopSeen((cords[0], cords[1])),), whirl_px, 2.8)


def test_one_of_both_poses_is_the_true_one() -> None:
    poses = rim_poses(PICTURE, rim(0))
    tilts = [math.hypot(*pose.tilt_rotation) for pose in poses]
    assert min(abs(tilt - TILT_RAD) for tilt in tilts) < math.radians(2.0)


@pytest.mark.parametrize("seed", range(3))
def test_the_rim_alone_tells_the_tilt(seed: int) -> None:
    seen = unscaled(seed)
    fit = fit_rim(seen, true_pose(seen))
    tilt_x, tilt_y, radius = fit.measured("tilt_x", "tilt_y", "rim_radius")
    # Three wheels and two angles: beyond 3.3 deviations once in 170 such trials.
    assert away(tilt_x, WHEEL["tilt_x"]) < 3.3
    assert away(tilt_y, WHEEL["tilt_y"]) < 3.3
    # Any size would do, so the agreed one stays.
    assert radius.nominal_value == pytest.approx(UNSCALED_RIM_RADIUS_MM, rel=1e-3)


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("guess", [0.9, 1.1])
def test_a_card_tells_the_size_whatever_was_guessed(seed: int, guess: float) -> None:
    seen = scaled(seed, guess)
    fit = fit_rim(seen, true_pose(seen))
    (radius,) = fit.measured("rim_radius")
    assert away(radius, WHEEL["rim_radius"]) < 3.3
    # A card of 90 px, 0.3 px edges; the offset of 1 mm and the rim's height of 4 mm at 900 mm: about 0.6 %.
    assert 0.002 < radius.std_dev / radius.nominal_value < 0.01


def test_the_wrong_pose_does_not_suit_the_card() -> None:
    seen = scaled(0)
    right, wrong = sorted(rim_poses(PICTURE, seen.rim), key=tilt_error)
    assert fit_rim(seen, right).cost < fit_rim(seen, wrong).cost


@pytest.fixture(scope="module")
def rim_fit() -> tuple[WheelPicture, CirclePose, Fit]:
    seen = scaled(7)
    pose = true_pose(seen)
    return seen, pose, fit_rim(seen, pose)


def whirl_click(off_px: tuple[float, float]) -> tuple[float, float]:
    (whirl_px,) = seen_by_opencv(spindle_mm()[None], 0.0, WHEEL)
    return float(whirl_px[0]) + off_px[0], float(whirl_px[1]) + off_px[1]


def fitted(rim_fit: tuple[WheelPicture, CirclePose, Fit], seen_band: BandSeen) -> WheelFit:
    (result,) = fit_bands(rim_fit[0], [band_starts(*rim_fit, seen_band)])
    return result


@pytest.mark.parametrize("off_px", [(0.0, 0.0), (6.0, -5.0), (-7.0, 6.0)])
def test_runs_tell_the_pitch_circle_and_a_click_the_whirl(
    rim_fit: tuple[WheelPicture, CirclePose, Fit], off_px: tuple[float, float]
) -> None:
    result = fitted(rim_fit, band(whirl_click(off_px), noise(11)))
    assert result.place is None
    pitch, whirl, distance = result.fit.measured("pitch_radius", "loop1_radius", "spindle_distance")
    assert away(pitch, WHEEL["pitch_radius"]) < 3.3
    # A click lies within half the whirl's radius of its middle, along the bisector too: that is its doubt.
    for number, name in ((whirl, "loop1_radius"), (distance, "spindle_distance")):
        assert away(number, WHEEL[name]) < HALF_WIDTH_95
    assert whirl.std_dev > 0.1 * whirl.nominal_value


def test_pitch_and_rim_share_the_scale(rim_fit: tuple[WheelPicture, CirclePose, Fit]) -> None:
    result = fitted(rim_fit, band(whirl_click((0.0, 0.0)), noise(12)))
    rim_radius, pitch = result.fit.measured("rim_radius", "pitch_radius")
    share = pitch / rim_radius
    assert away(share, WHEEL["pitch_radius"] / WHEEL["rim_radius"]) < 3.3
    assert share.std_dev / share.nominal_value < pitch.std_dev / pitch.nominal_value + 1e-3


def test_without_a_click_the_whirl_stays_vague(rim_fit: tuple[WheelPicture, CirclePose, Fit]) -> None:
    result = fitted(rim_fit, band(None, noise(13)))
    assert result.place is None
    (whirl,) = result.fit.measured("loop1_radius")
    assert whirl.std_dev > 0.25 * whirl.nominal_value
    assert away(whirl, WHEEL["loop1_radius"]) < HALF_WIDTH_95


def test_runs_that_close_on_nothing_are_no_band(rim_fit: tuple[WheelPicture, CirclePose, Fit]) -> None:
    (beyond,) = seen_by_opencv(1.05 * meeting_mm()[None], 0.0, WHEEL)
    nowhere = band((float(beyond[0]), float(beyond[1])), noise(14))
    assert fit_bands(rim_fit[0], [band_starts(*rim_fit, nowhere)]) == []
