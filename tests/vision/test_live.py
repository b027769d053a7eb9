"""A drawn wheel watched while it turns: what is told at every moment against the truth of that moment."""

import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats
from tests.vision.drawn_clips import DrawnClip, write_clip

from whirlwise.calc.interval import interval_95
from whirlwise.vision.clip import ClipSettings
from whirlwise.vision.errors import UnreadableFileError
from whirlwise.vision.live import KEPT_S, AtOnce, LiveReading, LiveWheel, plane_within, something_moves
from whirlwise.vision.live_aside import Aside, _deaf_to_interrupts
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.open.capture import Snapshot, play_clip, watch_camera
from whirlwise.vision.turning.polar import TurningPlane
from whirlwise.vision.turning.turning_count import TurningCount

Floats = NDArray[np.float64]
LONG = DrawnClip(frames=450)


class Never:
    """Measures no ratio."""

    idle = False

    def begin(self, frames: object, settings: object) -> None:
        raise AssertionError("asked though not idle")

    def outcome(self, wait_s: float = 0.0) -> None:
        return None


def watched(
    drawn: DrawnClip, course: Callable[[Floats], Floats] | None = None, *, ratio: bool = False
) -> tuple[list[LiveReading], LiveWheel]:
    """Look once a second."""
    wheel = LiveWheel(ClipSettings(), AtOnce() if ratio else Never())
    readings = []
    for i, picture in enumerate(drawn.pictures(course)):
        wheel.add(Snapshot(picture, i / drawn.per_s, 1))
        if i % drawn.per_s == drawn.per_s - 1:
            readings.append(wheel.look())
    return readings, wheel


@cache
def watched_long() -> tuple[list[LiveReading], LiveWheel]:
    return watched(LONG, ratio=True)


def angle_at(drawn: DrawnClip, time_s: float) -> float:
    return float(drawn.wheel_rad(np.array([time_s + drawn.exposure_s / 2]))[0])


def last_turn_per_min(drawn: DrawnClip, time_s: float) -> float:
    """Turns a minute over the last whole turn, from the drawn course itself."""
    before_s = np.linspace(0, time_s, 20_001)
    angles = drawn.wheel_rad(before_s + drawn.exposure_s / 2)
    since_s = float(np.interp(angle_at(drawn, time_s) - 2 * np.pi, angles, before_s))
    return 60 / (time_s - since_s)


def test_cadence_of_every_moment_lies_in_its_interval() -> None:
    readings, _ = watched_long()
    told = [(r, r.cadence_per_min) for r in readings if not isinstance(r.cadence_per_min, NotMeasured)]
    assert len(told) >= 10
    inside = 0
    for reading, cadence in told:
        truth = last_turn_per_min(LONG, reading.time_s)
        assert cadence.n == pytest.approx(truth, rel=5e-3)
        inside += interval_95(cadence).low < truth < interval_95(cadence).high
    assert stats.binom.cdf(inside, len(told), 0.95) > 0.01


def test_a_cadence_is_told_long_before_the_end() -> None:
    readings, _ = watched_long()
    first = next(r for r in readings if not isinstance(r.cadence_per_min, NotMeasured))
    assert first.time_s < 6.5


def test_turns_add_up_over_the_blocks() -> None:
    reading = watched_long()[0][-1]
    truth = (angle_at(LONG, reading.time_s) - angle_at(LONG, 0)) / (2 * np.pi)
    assert interval_95(reading.turns).low - 0.01 < truth < interval_95(reading.turns).high + 0.01
    assert not isinstance(reading.mean_per_min, NotMeasured)
    assert reading.mean_per_min.n == pytest.approx(60 * truth / reading.time_s, rel=2e-3)


def test_ratio_comes_as_soon_as_turns_allow() -> None:
    readings, _ = watched_long()
    known = [r for r in readings if not isinstance(r.ratio, NotMeasured)]
    assert known
    assert known[0].time_s < 12
    ratio = known[-1].ratio
    assert not isinstance(ratio, NotMeasured)
    assert ratio.n == pytest.approx(LONG.ratio, rel=2e-3)


def test_memory_stays_the_same() -> None:
    _, wheel = watched_long()
    assert wheel.pictures_kept <= KEPT_S * LONG.per_s + 1 < LONG.frames


def test_a_wheel_that_comes_to_rest() -> None:
    """Turning for five seconds, then still: the turns stay what they were."""

    def stops(t_s: Floats) -> Floats:
        return np.asarray(LONG.wheel_rad(np.minimum(t_s, 5.0)))

    readings, _ = watched(replace(LONG, frames=330), stops)
    truth = float(stops(np.array([11.0]))[0] - stops(np.array([0.0]))[0]) / (2 * np.pi)
    assert isinstance(readings[-1].cadence_per_min, NotMeasured)
    assert readings[-1].turns.n == pytest.approx(truth, abs=0.05)


def test_nothing_turns() -> None:
    readings, wheel = watched(replace(LONG, frames=160), lambda t_s: 0 * t_s)
    assert all(isinstance(r.cadence_per_min, NotMeasured) for r in readings)
    assert isinstance(wheel.finish(0.0).ratio, NotMeasured)


@pytest.mark.parametrize("flicker", [0.0, 15.0])
def test_noise_and_flicker_are_no_movement(flicker: float) -> None:
    """So that nobody waits for a wheel to be looked for where nothing moves."""
    rng = np.random.default_rng(4)
    wall = np.linspace(60, 160, 160)[None, :] + np.zeros((90, 1))
    still = [
        Snapshot(
            (wall + flicker * np.sin(2.0 * i) + rng.normal(0, 3, wall.shape)).astype(np.uint8), i / 30, 1
        )
        for i in range(60)
    ]
    assert not something_moves(still)
    turning = [Snapshot(p, i / 30, 1) for i, p in enumerate(replace(LONG, frames=60).pictures())]
    assert something_moves(turning)


def test_plane_of_an_outline() -> None:
    plane = TurningPlane((100.5, 80.25), 60.0, (-0.12, 0.2))
    found = plane_within(plane.outline_px())
    assert found.centre_px == pytest.approx(plane.centre_px)
    assert (found.radius_px, *found.squeeze) == pytest.approx((plane.radius_px, *plane.squeeze))


def test_way_is_counted_back_and_forth() -> None:
    """A sine of amplitude a turns 4 a in each period."""
    count = TurningCount(0.001)
    times_s = np.arange(0, 16, 1 / 30)
    angles = 5 * np.sin(2 * np.pi * times_s / 8)
    for begin in range(0, len(times_s) - 89, 30):
        block = slice(begin, begin + 120)
        # Every block counts its angle from its own first picture.
        count.add(times_s[block], angles[block] - angles[begin], 0.001)
    truth = np.abs(np.diff(angles)).sum() / (2 * np.pi)
    assert count.turns().n == pytest.approx(truth, rel=0.01)


def test_noise_at_rest_is_no_turning() -> None:
    count = TurningCount(0.001)
    noise = np.random.default_rng(1).normal(0, 0.002, 900)
    times_s = np.arange(900) / 30
    for begin in range(0, 780, 30):
        count.add(times_s[begin : begin + 120], noise[begin : begin + 120], 0.002)
    assert count.turns().n < 0.01
    assert isinstance(count.cadence_per_min(), NotMeasured)


def test_a_clip_is_played_with_its_own_times(tmp_path: Path) -> None:
    pictures = np.random.default_rng(1).integers(0, 255, (40, 64, 96)).astype(np.uint8)
    played = list(play_clip(write_clip(tmp_path / "a.mp4", pictures), at_once=True))
    assert [p.time_s for p in played] == pytest.approx(np.arange(40) / 30, abs=1e-3)
    assert played[0].gray.shape == (64, 96)


def test_a_clip_is_played_at_its_own_pace(tmp_path: Path) -> None:
    path = write_clip(tmp_path / "a.mp4", np.zeros((31, 32, 32), np.uint8))
    began = time.monotonic()
    assert len(list(play_clip(path))) == 31
    assert time.monotonic() - began > 0.9


@pytest.mark.parametrize("content", [None, b"no clip"])
def test_what_is_no_clip(tmp_path: Path, content: bytes | None) -> None:
    path = tmp_path / "a.mp4"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(UnreadableFileError, match=r"a\.mp4: "):
        play_clip(path)


class DrawnCamera:
    """A camera that sends large colour pictures a hundred times a second."""

    def __init__(self, pictures: int, opened: bool = True) -> None:
        self.left, self.opened, self.released = pictures, opened, False

    def isOpened(self) -> bool:  # noqa: N802
        return self.opened

    def read(self) -> tuple[bool, NDArray[np.uint8] | None]:
        time.sleep(0.01)
        self.left -= 1
        return (True, np.full((540, 960, 3), 90, np.uint8)) if self.left >= 0 else (False, None)

    def get(self, what: int) -> float:
        return 0.0

    def release(self) -> None:
        self.released = True


def test_a_camera_stamps_pictures_as_they_arrive() -> None:
    """Also while somebody reckons: 0.3 s without taking any changes no time and loses none."""
    camera = DrawnCamera(1000)
    coming = watch_camera(0, lambda number: camera)
    first = next(coming)
    time.sleep(0.3)
    times_s = np.array([next(coming).time_s for _ in range(40)])
    assert first.gray.shape == (270, 480)
    assert first.shrink == 2
    assert np.diff(times_s).max() < 0.15
    assert 0.005 < np.median(np.diff(times_s)) < 0.05
    coming.close()
    time.sleep(0.05)
    assert camera.released


def test_no_camera_is_a_sentence() -> None:
    with pytest.raises(UnreadableFileError) as error:
        watch_camera(3, lambda number: DrawnCamera(0, opened=False))
    assert str(error.value) == (
        "No camera 3 was found on this computer. Plug one in, let this program use it, or name a clip "
        "instead."
    )


def test_a_camera_that_goes_away(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("whirlwise.vision.open.capture.PATIENCE_S", 0.2)
    with pytest.raises(UnreadableFileError, match="Camera 0 stopped sending pictures"):
        list(watch_camera(0, lambda number: DrawnCamera(3)))


def test_a_process_beside_measures_the_same() -> None:
    """The pictures of a still wall: a short measurement, but through the whole of the way."""
    from whirlwise.vision.live import _frames

    picture = np.full((60, 90), 100, np.uint8)
    aside = Aside()
    assert aside.idle
    aside.begin(_frames([Snapshot(picture, i / 30, 1) for i in range(30)]), ClipSettings())
    assert not aside.idle
    reading = aside.outcome(60.0)
    assert reading is not None
    assert isinstance(reading.wheel, NotMeasured)
    assert aside.idle
    assert aside.outcome() is None


def test_ctrl_c_reaches_this_program_alone() -> None:
    """A process that is begun while Ctrl-C is ignored ignores it too; here it is heard as before."""
    before = signal.getsignal(signal.SIGINT)
    with _deaf_to_interrupts():
        deaf = subprocess.run(
            [sys.executable, "-c", "import signal; print(signal.getsignal(signal.SIGINT))"],
            capture_output=True,
            text=True,
            check=True,
        )
    assert deaf.stdout.strip() == str(signal.SIG_IGN)
    assert signal.getsignal(signal.SIGINT) == before


def test_colours_are_seen_as_their_luma(tmp_path: Path) -> None:
    """OpenCV decodes colours; gray pictures come back as the same gray, within the codec's loss."""
    gray = np.tile(np.linspace(20, 230, 96).astype(np.uint8), (64, 1))
    played = next(iter(play_clip(write_clip(tmp_path / "a.mp4", np.stack([gray] * 3)), at_once=True)))
    assert np.abs(cv2.blur(played.gray, (5, 5)).astype(int) - cv2.blur(gray, (5, 5))).max() < 6
