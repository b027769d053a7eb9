"""What is said of clips in which no wheel can be told: each time what was wrong, and how to film again."""

from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_clips import DrawnClip, write_clip

from whirlwise.vision import clip_wheel
from whirlwise.vision.clip import ClipSettings, measure_clip
from whirlwise.vision.clip_reading import ClipReading, WheelTurning
from whirlwise.vision.clip_wheel import FoundWheel
from whirlwise.vision.find.turning import activity
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.open.clip import read_clip
from whirlwise.vision.turning.polar import TurningPlane
from whirlwise.vision.turning.wheel_angle import AngleCourse

DRAWN = DrawnClip(
    size_px=(224, 128),
    frames=80,
    hub_px=(144.0, 66.0),
    radius_px=50.0,
    flyer_px=(48.0, 50.0),
    flyer_radius_px=23.0,
)


def reading_of(drawn: DrawnClip, path: Path, pictures: NDArray[np.uint8] | None = None) -> ClipReading:
    shown = drawn.pictures() if pictures is None else pictures
    # Without loss: what an encoder leaves out may differ from run to run.
    lossless = {"qp": "0", "preset": "ultrafast"}
    return measure_clip(write_clip(path / "clip.mp4", shown, per_s=drawn.per_s, options=lossless))


def said(drawn: DrawnClip, path: Path, pictures: NDArray[np.uint8] | None = None) -> str:
    reading = reading_of(drawn, path, pictures)
    assert isinstance(reading.wheel, NotMeasured)
    assert reading.flyer == reading.rhythm == reading.sound == reading.ratio == reading.wheel
    return str(reading.wheel)


@pytest.mark.parametrize("pictures", [2, 3, 7])
def test_a_handful_of_pictures(pictures: int, tmp_path: Path) -> None:
    assert said(replace(DRAWN, frames=pictures), tmp_path) == (
        f"The clip holds only {pictures} pictures, too few to show a turn of the wheel. "
        "Film ten turns; that takes ten seconds or more."
    )


def test_a_wheel_at_rest(tmp_path: Path) -> None:
    still = DRAWN.pictures(lambda t_s: 0 * t_s)
    assert said(DRAWN, tmp_path, still) == "Nothing moves in this clip. Film the wheel while it turns."


def test_too_few_pictures_a_second(tmp_path: Path) -> None:
    assert said(replace(DRAWN, per_s=4, turns_per_s=1.7), tmp_path) == (
        "Only 4 pictures a second were taken, so the wheel turns too far from one to the next to be "
        "followed. Film at 24 pictures a second or more, in good light: in the dark some cameras take fewer."
    )


def test_spokes_that_seem_to_creep(tmp_path: Path) -> None:
    """Like spokes that move by a little more than their spacing: the wheel seems to begin a turn, no more."""
    drawn = replace(DRAWN, per_s=5, spokes=6, unlike=0.0, noise=1.0, exposure_s=0.002, flyer=False)
    per_picture = 2 * np.pi / drawn.spokes + 0.046
    even = drawn.pictures(lambda t_s: per_picture * drawn.per_s * t_s)
    assert 0.25 < 0.046 * drawn.frames / (2 * np.pi) < 1
    assert said(drawn, tmp_path, even).startswith("Only 5 pictures a second were taken")


def test_a_wheel_that_hardly_shows(tmp_path: Path) -> None:
    assert said(replace(DRAWN, hub_px=(240.0, 66.0), flyer=False, frames=120), tmp_path) == (
        "What turns lies partly outside the picture, and too little of it is seen to be followed. "
        "Take the whole wheel into the picture, with its axle."
    )


def test_a_wheel_with_two_like_spokes(tmp_path: Path) -> None:
    """It may be a flyer; whoever points at its axle knows better."""
    drawn = replace(DRAWN, spokes=2, unlike=0.0, flyer=False)
    assert said(drawn, tmp_path).startswith("What turns here has two arms as a flyer has")
    wheel = measure_clip(tmp_path / "clip.mp4", ClipSettings(hub_px=(146.0, 64.0))).wheel
    assert isinstance(wheel, WheelTurning)
    turned = np.ptp(drawn.wheel_rad(drawn.times_s())) / (2 * np.pi)
    assert abs(wheel.turns.n - turned) < 3 * wheel.turns.s


def test_spokes_that_pass_by_the_edge_of_the_picture(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Of a disc that lies partly outside more is asked: spokes that go by may look like a smaller wheel."""
    course = AngleCourse(np.linspace(0, 20, 80), 0.08, 0.0, rms_rad=0.02, times_elsewhere=10.0)
    for centre_px, turns in (((144.0, 66.0), True), ((222.0, 66.0), False)):
        plane = TurningPlane(centre_px, 20.0)
        followed = partial(_followed_as, FoundWheel(plane, course))
        monkeypatch.setattr(clip_wheel, "_followed", followed)
        monkeypatch.setattr(clip_wheel, "_looked_for_again", lambda *_: [])
        frames = read_clip(write_clip(tmp_path / "clip.mp4", DRAWN.pictures()))
        found = clip_wheel.find_wheel(frames, activity(frames.gray))
        assert isinstance(found, FoundWheel) is turns


def _followed_as(wheel: FoundWheel, *_: object) -> list[FoundWheel]:
    return [wheel]


def test_a_flyer_beside_a_wheel_that_makes_no_whole_turn(tmp_path: Path) -> None:
    """The flyer makes several turns, and is not to be taken for the wheel."""
    drawn = replace(DRAWN, turns_per_s=0.2)
    turned = np.ptp(drawn.wheel_rad(drawn.times_s())) / (2 * np.pi)
    assert 0.25 < turned < 1 < turned * drawn.ratio
    assert said(drawn, tmp_path) == (
        "The wheel makes less than one turn in this clip. Film ten turns; that takes ten seconds or more."
    )
