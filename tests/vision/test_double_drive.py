"""Two loops of one band, on cords that ``cv2.projectPoints`` projects in planes one groove apart."""

import numpy as np
import pytest
from tests.vision.drawn_scenes import run_px, seen_by_opencv
from tests.vision.drawn_wheels import WHEEL, meeting_mm, spindle_mm
from tests.vision.test_wheel_fit import (
    SCATTER_PX,
    away,
    band,
    noise,
    scaled,
    true_pose,
    whirl_click,
)

from whirlwise.vision.find.cord import Pair
from whirlwise.vision.find.cord_lines import CordLine
from whirlwise.vision.fit.band_fit import WheelFit
from whirlwise.vision.fit.double_drive import double_drive_starts, fit_double_drive
from whirlwise.vision.fit.wheel_fit import band_starts, fit_rim

#: The bobbin's whirl is the smaller one. The second groove in the wheel lies 8 to 11 mm further on, the
#: bobbin's whirl a little more, for a step of the flyer's stands between (common practice, no source).
BOBBIN_RADIUS_MM, GAP_MM, WHIRL_GAP_MM = 0.8 * WHEEL["loop1_radius"], 9.0, 17.0


def cord(side: int, radius_mm: float, before: int, seed: int) -> CordLine:
    heights = {"loop1_height": before * GAP_MM, "loop1_whirl_height": before * WHIRL_GAP_MM}
    truth = {**WHEEL, "loop1_radius": radius_mm, **heights}
    return CordLine(noise(seed).on(run_px(side, 12, truth)), SCATTER_PX, 1.0)


def ways(
    before: int,
    swapped: tuple[bool, bool],
    bobbin_mm: float = BOBBIN_RADIUS_MM,
    click: tuple[float, float] | None = None,
) -> tuple[list[WheelFit], tuple[Pair, Pair]]:
    """The fits, and for each run the flyer's cord and the bobbin's."""
    seen = scaled(3)
    pose = true_pose(seen)
    one, other = (
        (cord(side, WHEEL["loop1_radius"], 0, 20 + k), cord(side, bobbin_mm, before, 30 + k))
        for k, side in enumerate((-1, 1))
    )
    given = (one[::-1] if swapped[0] else one, other[::-1] if swapped[1] else other)
    single = band(click or whirl_click((0.0, 0.0)), noise(11))
    alone = next(band_starts(seen, pose, fit_rim(seen, pose), single))
    starts = double_drive_starts(seen, pose, alone, [given])
    return fit_double_drive(seen, starts), (one, other)


@pytest.mark.parametrize(("before", "swapped"), [(1, (True, False)), (-1, (False, False))])
def test_cords_come_together_as_they_run(before: int, swapped: tuple[bool, bool]) -> None:
    fits, (one, other) = ways(before, swapped)
    flyer, bobbin = fits[0].band.loops
    assert flyer.cords[0] is one[0]
    assert flyer.cords[1] is other[0]
    assert bobbin.side == before
    larger, smaller, wheel = fits[0].fit.measured("loop1_radius", "loop2_radius", "pitch_radius")
    assert away(larger - smaller, WHEEL["loop1_radius"] - BOBBIN_RADIUS_MM) < 3.3
    assert away(smaller / wheel, BOBBIN_RADIUS_MM / WHEEL["pitch_radius"]) < 3.3


def test_a_click_too_far_out_does_not_make_the_bobbins_whirl_too_small_to_be_one() -> None:
    # By this click the flyer's whirl is a quarter too small, and the other one loses as much: of 0.58 of it
    # only 0.44 are left.
    between_mm = 0.75 * spindle_mm() + 0.25 * meeting_mm()
    (click_px,) = seen_by_opencv(between_mm[None], 0.0, WHEEL)
    fits, _ = ways(-1, (False, False), 0.58 * WHEEL["loop1_radius"], (float(click_px[0]), float(click_px[1])))
    larger, smaller = fits[0].fit.measured("loop1_radius", "loop2_radius")
    assert away(larger - smaller, 0.42 * WHEEL["loop1_radius"]) < 3.3


def test_two_cords_of_chance_are_no_second_loop() -> None:
    """A line that closes on no whirl, such as a seam of the wall, is not taken for a cord."""
    seen = scaled(3)
    pose = true_pose(seen)
    single = band(whirl_click((0.0, 0.0)), noise(11))
    (loop,) = single.loops
    points = loop.cords[0].points_px
    along = (points[-1] - points[0]) / np.linalg.norm(points[-1] - points[0])
    across_px = np.linspace(25.0, -25.0, len(points))[:, None] * [-along[1], along[0]]
    seam = CordLine(points + across_px, SCATTER_PX, 1.0)
    cords = ((loop.cords[0], seam), (loop.cords[1], loop.cords[1]))
    alone = next(band_starts(seen, pose, fit_rim(seen, pose), single))
    assert double_drive_starts(seen, pose, alone, [cords]) == []
