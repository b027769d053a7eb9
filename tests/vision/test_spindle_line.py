"""The line about which a drawn spindle is mirrored passes where OpenCV's projection puts its axis."""

from dataclasses import replace

import numpy as np
import pytest
from tests.vision.drawn_pictures import picture_of
from tests.vision.drawn_scenes import seen_by_opencv, unit
from tests.vision.drawn_wheels import SIZE, WHEEL, spindle_mm, wheel_with_card

from whirlwise.vision.find.spindle_line import SpindleLine, spindle_line
from whirlwise.vision.fit.axis_seen import AxisSeen
from whirlwise.vision.fit.scene import Scene
from whirlwise.vision.geometry.camera import Points
from whirlwise.vision.open.picture import Picture

SCENE = Scene(WHEEL)
HEIGHTS_MM = (-30.0, 0.0, 40.0)


def axis_px() -> Points:
    """Places (3, 2) of the axis."""
    seen = [seen_by_opencv(SCENE.spindle_at(z)[None], z, WHEEL) for z in HEIGHTS_MM]
    return np.concatenate(seen)


def away_px(line: Points, places_px: Points) -> Points:
    """How far (n,) places (n, 2) lie from a line through two points (2, 2)."""
    along = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    return np.asarray((places_px - line[0]) @ np.array([-along[1], along[0]]))


def found_in(
    picture: Picture, moved_mm: float, lean_rad: float = 0.0, reach_px: float = 8.0
) -> SpindleLine | None:
    """The line that is found from a scene whose spindle is moved along the line hub - whirl, and leans."""
    scene = Scene(
        {
            **WHEEL,
            "spindle_distance": WHEEL["spindle_distance"] + moved_mm,
            "lean_x": WHEEL["lean_x"] + lean_rad,
        }
    )
    view = scene.view_along_spindle
    assert view is not None
    return spindle_line(picture, view, scene.plane.px_per_mm(tuple(spindle_mm())), reach_px)


@pytest.mark.parametrize(("moved_mm", "lean_rad"), [(0.0, 0.0), (3.0, 0.0), (-3.0, 0.004)])
def test_a_spindle_is_mirrored_about_its_axis(moved_mm: float, lean_rad: float) -> None:
    line = found_in(picture_of(wheel_with_card()), moved_mm, lean_rad)
    assert line is not None
    assert line.clear or moved_mm
    # Two standard deviations of what the fit takes for its doubt.
    assert np.abs(away_px(line.points_px, axis_px())).max() < 1.0


def test_an_axis_beyond_reach_is_not_told() -> None:
    picture = picture_of(wheel_with_card())
    far = found_in(picture, 12.0, reach_px=3.0)
    assert far is None or not far.clear


@pytest.mark.parametrize("seed", range(4))
def test_about_no_line_noise_is_clearly_mirrored(seed: int) -> None:
    noise = np.random.default_rng(seed).integers(0, 256, (SIZE[1], SIZE[0], 3), dtype=np.uint8)
    line = found_in(picture_of(noise), 0.0)
    assert line is None or not line.clear


def test_a_blank_picture_is_mirrored_about_no_line() -> None:
    line = found_in(picture_of(np.full((SIZE[1], SIZE[0], 3), 150, np.uint8)), 0.0)
    assert line is None or not line.clear


def test_a_whirl_outside_the_picture_shows_no_line() -> None:
    whole = wheel_with_card()
    (x_px, _) = axis_px()[1]
    cut = replace(picture_of(whole), bgr=np.ascontiguousarray(whole[:, : int(x_px) - 300]))
    assert found_in(cut, 0.0) is None


@pytest.mark.parametrize("off_px", [0.0, 0.7, -1.4])
def test_a_line_beside_the_axis_is_off_by_its_distance(off_px: float) -> None:
    ends = axis_px()[[0, 2]]
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    seen = AxisSeen(ends + off_px * np.array([-along[1], along[0]]), 0.7)
    np.testing.assert_allclose(seen.residuals(SCENE), off_px / 0.7, atol=1e-2)


def test_a_spindle_that_moves_along_the_line_of_sight_to_it_looks_the_same() -> None:
    foot = SCENE.plane.camera_foot_mm
    place = 1.02 * (spindle_mm() - foot) + foot
    moved = Scene(
        {
            **WHEEL,
            "lean_x": 0.0,
            "lean_y": 0.0,
            "spindle_distance": float(np.hypot(*place)),
            "spindle_angle": float(np.arctan2(place[1], place[0])),
        }
    )
    upright = Scene({**WHEEL, "lean_x": 0.0, "lean_y": 0.0})
    ends = np.concatenate([seen_by_opencv(spindle_mm()[None], z, WHEEL) for z in (-30.0, 40.0)])
    seen = AxisSeen(ends, 0.7)
    np.testing.assert_allclose(seen.residuals(moved), seen.residuals(upright), atol=1e-6)


def test_the_view_along_the_spindle_has_it_in_its_middle() -> None:
    view = SCENE.view_along_spindle
    assert view is not None
    seen = view.view_from_pixels(axis_px())
    np.testing.assert_allclose(seen[:, 1], 0.0, atol=1e-6)
    assert seen[1] == pytest.approx([0.0, 0.0], abs=1e-6)


def test_there_is_no_view_along_a_spindle_that_points_at_the_camera() -> None:
    foot = SCENE.plane.camera_foot_mm
    values = {**WHEEL, "lean_x": 0.0, "lean_y": 0.0}
    values["spindle_distance"], values["spindle_angle"] = np.hypot(*foot), np.arctan2(foot[1], foot[0])
    assert foot == pytest.approx(values["spindle_distance"] * unit(values["spindle_angle"]))
    assert Scene(values).view_along_spindle is None
