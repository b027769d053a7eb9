"""Reading clip files: exact times, display rotation, capture rates, lost pictures, unreadable files."""

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.vision.drawn_clips import write_clip

from whirlwise.vision.clip_reading import FrameRate
from whirlwise.vision.errors import UnreadableFileError
from whirlwise.vision.open.clip import ClipFrames, read_clip

GRAY = np.random.default_rng(3).integers(0, 255, (20, 48, 64), np.uint8)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "clip.mp4"


def test_times_are_exact_fractions(path: Path) -> None:
    gaps = [Fraction(1, 30), Fraction(1, 24), Fraction(1, 50)] * 7
    times = [sum(gaps[:i], Fraction(0)) for i in range(20)]
    assert read_clip(write_clip(path, GRAY, times=times)).times == tuple(times)


def test_times_agree_with_the_packets(path: Path) -> None:
    """The reader must agree with the bare container: packet time stamps, sorted, times the time base."""
    times = [Fraction(i * i + 40 * i, 1200) for i in range(20)]
    write_clip(path, GRAY, times=times)
    with av.open(str(path)) as container:
        stamps = sorted(
            packet.pts * packet.time_base
            for packet in container.demux(video=0)
            if packet.pts is not None and packet.time_base is not None
        )
    assert read_clip(path).times == tuple(stamp - stamps[0] for stamp in stamps)


def test_missing_pictures_are_counted(path: Path) -> None:
    times = [Fraction(i, 30) for i in range(23) if i not in (5, 11, 12)]
    frames = read_clip(write_clip(path, GRAY, times=times))
    assert frames.lost_frames == 3
    assert len(frames.times) == 20


def test_even_clip_has_lost_nothing(path: Path) -> None:
    assert read_clip(write_clip(path, GRAY)).lost_frames == 0


def test_slow_motion_tag_gives_real_time(path: Path) -> None:
    frames = read_clip(write_clip(path, GRAY, tags={"com.android.capture.fps": "120.000000"}))
    assert frames.times[1] == Fraction(1, 120)
    assert frames.frame_rate.capture_per_s == 120
    assert "com.android.capture.fps" in frames.frame_rate.source
    assert frames.stored_s == pytest.approx(19 / 30)


def test_user_overrules_the_tag(path: Path) -> None:
    write_clip(path, GRAY, tags={"com.android.capture.fps": "120.000000"})
    frames = read_clip(path, captured_at_per_s=240)
    assert frames.times[1] == Fraction(1, 240)
    assert frames.frame_rate.source == "given by the user"


def test_slow_play_tag_leaves_times_alone(path: Path) -> None:
    frames = read_clip(
        write_clip(path, GRAY, tags={"com.apple.quicktime.full-frame-rate-playback-intent": "0"})
    )
    assert frames.times[1] == Fraction(1, 30)


@pytest.mark.parametrize(("shrink", "limit_px"), [(1, 64), (2, 32)])
def test_wide_pictures_are_made_smaller(
    path: Path, monkeypatch: pytest.MonkeyPatch, shrink: int, limit_px: int
) -> None:
    monkeypatch.setattr("whirlwise.vision.open.clip.WIDTH_LIMIT_PX", limit_px)
    frames = read_clip(write_clip(path, GRAY))
    assert frames.shrink == shrink
    assert frames.gray.shape == (20, 48 // shrink, 64 // shrink)


@given(st.floats(-50, 2000), st.floats(-50, 2000), st.integers(1, 6))
def test_points_go_there_and_back(x: float, y: float, shrink: int) -> None:
    frames = ClipFrames("", GRAY, (), shrink, 0.0, 0, FrameRate(30.0, "as drawn"))
    assert frames.to_upright(frames.to_gray((x, y))) == pytest.approx((x, y), abs=1e-9)


def test_empty_file(path: Path) -> None:
    path.touch()
    with pytest.raises(UnreadableFileError) as error:
        read_clip(path)
    assert str(error.value) == (
        "clip.mp4: got an empty file, expected a whole video clip such as .mp4 or .mov; "
        "record it again, or copy it again from the camera."
    )


def test_no_such_file(path: Path) -> None:
    with pytest.raises(UnreadableFileError, match="got a name that no file has"):
        read_clip(path)


def test_text_named_as_a_clip(path: Path) -> None:
    path.write_text("spinning is fun\n" * 99)
    with pytest.raises(UnreadableFileError, match="cannot be decoded"):
        read_clip(path)


def test_clip_without_its_index(path: Path) -> None:
    whole = write_clip(path, GRAY).read_bytes()
    path.write_bytes(whole[: len(whole) * 2 // 3])
    with pytest.raises(UnreadableFileError, match="cut off"):
        read_clip(path)


def test_sound_alone_is_no_clip(tmp_path: Path) -> None:
    path = tmp_path / "sound.wav"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("pcm_s16le", rate=8000)
        frame = av.AudioFrame.from_ndarray(np.zeros((1, 800), np.int16), format="s16", layout="mono")
        frame.sample_rate = 8000
        container.mux(stream.encode(frame))
        container.mux(stream.encode())
    with pytest.raises(UnreadableFileError, match="a file without pictures"):
        read_clip(path)
