"""Reading clip files: exact times, display rotation, capture rates, lost pictures, unreadable files."""

import os
from fractions import Fraction
from pathlib import Path

import av
import cv2
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
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
    # What the tag said is kept, so that the contradiction can be told.
    assert frames.frame_rate.tagged_per_s == 120


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


EXPECTED = "expected a whole video clip such as .mp4 or .mov"


def error_of(path: Path) -> str:
    with pytest.raises(UnreadableFileError) as error:
        read_clip(path)
    return str(error.value)


def test_empty_file(path: Path) -> None:
    path.touch()
    assert error_of(path) == (
        f"{path}: got an empty file, {EXPECTED}; record it again, or copy it again from the camera."
    )


def test_no_such_file(path: Path) -> None:
    assert (
        error_of(path) == f"{path}: got a name that no file has, {EXPECTED}; check the name and the folder."
    )


def test_a_name_longer_than_any_file_has(tmp_path: Path) -> None:
    path = tmp_path / f"{'wheel' * 60}.mp4"
    assert error_of(path) == (
        f"{path}: got no file (File name too long), {EXPECTED}; check the name and the folder."
    )


def test_folder(tmp_path: Path) -> None:
    assert error_of(tmp_path) == f"{tmp_path}: got a folder, {EXPECTED}; name one clip in it."


@pytest.mark.skipif(not Path("/dev/null").exists(), reason="this system has no /dev/null")
def test_device() -> None:
    assert error_of(Path("/dev/null")) == (
        f"/dev/null: got a device, {EXPECTED}; check the name and the folder."
    )


def test_a_name_with_a_colon_is_no_address(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_clip(tmp_path / "take:2.mp4", GRAY)
    monkeypatch.chdir(tmp_path)
    assert len(read_clip(Path("take:2.mp4")).times) == 20


def test_tags_in_an_old_encoding_do_no_harm(path: Path) -> None:
    write_clip(path, GRAY, tags={"comment": "spun at Koeln"})
    path.write_bytes(path.read_bytes().replace(b"Koeln", "Kö_ln".encode("latin-1")))
    assert len(read_clip(path).times) == 20


def test_text_named_as_a_clip(path: Path) -> None:
    path.write_text("spinning is fun\n" * 99)
    with pytest.raises(UnreadableFileError, match="cannot be decoded"):
        read_clip(path)


def test_clip_without_its_index(path: Path) -> None:
    whole = write_clip(path, GRAY).read_bytes()
    path.write_bytes(whole[: len(whole) * 2 // 3])
    with pytest.raises(UnreadableFileError, match="cut off"):
        read_clip(path)


def test_an_unknown_encoding(path: Path) -> None:
    whole = write_clip(path, GRAY).read_bytes()
    assert b"avc1" in whole
    path.write_bytes(whole.replace(b"avc1", b"spun"))
    assert "got pictures in an encoding that is not known here" in error_of(path)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.lists(st.tuples(st.floats(0, 1), st.integers(0, 255)), min_size=1, max_size=8))
def test_a_damaged_index_gives_a_clip_or_a_sentence(path: Path, damage: list[tuple[float, int]]) -> None:
    spoilt = bytearray(write_clip(path, GRAY).read_bytes())
    start = spoilt.find(b"moov")
    for share, byte in damage:
        spoilt[start + int(share * (len(spoilt) - 1 - start))] = byte
    path.write_bytes(spoilt)
    said, pictures = "", 0
    try:
        pictures = len(read_clip(path).gray)
    except UnreadableFileError as error:
        said = str(error)
    assert EXPECTED in said or pictures >= 2


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


CODECS = {
    "mp4 h264": (".mp4", "libx264", "yuv420p", {"crf": "10"}),
    "mov hevc": (".mov", "libx265", "yuv420p", {"crf": "10", "x265-params": "log-level=none"}),
    "mp4 hevc 10 bit": (".mp4", "libx265", "yuv420p10le", {"crf": "10", "x265-params": "log-level=none"}),
    "webm vp9": (".webm", "libvpx-vp9", "yuv420p", {"crf": "10", "b": "0", "cpu-used": "8"}),
    "mkv h264": (".mkv", "libx264", "yuv420p", {"crf": "10"}),
    "mkv av1": (".mkv", "libsvtav1", "yuv420p", {"crf": "10", "preset": "12"}),
}


@pytest.mark.parametrize("name", CODECS)
def test_every_container_and_codec(tmp_path: Path, name: str) -> None:
    """Pictures come back, and their times agree with those of another reader (OpenCV)."""
    ending, codec, pix_fmt, options = CODECS[name]
    y, x = np.mgrid[:72, :96]
    smooth = np.stack([128 + 80 * np.sin((x + 3 * i) / 9) * np.cos(y / 7) for i in range(12)]).astype(
        np.uint8
    )
    path = tmp_path / f"clip{ending}"
    frames = read_clip(write_clip(path, smooth, codec=codec, pix_fmt=pix_fmt, options=options))
    assert len(frames.times) == 12
    for seen, drawn in zip(frames.gray, smooth, strict=True):
        assert np.corrcoef(seen.ravel(), drawn.ravel())[0, 1] > 0.99
    other = cv2.VideoCapture(str(path))
    stamps_s = []
    while other.read()[0]:
        stamps_s.append(other.get(cv2.CAP_PROP_POS_MSEC) / 1000)
    other.release()
    if stamps_s:
        assert np.subtract(stamps_s, stamps_s[0]) == pytest.approx(frames.times_s, abs=1.1e-3)


@pytest.mark.skipif(not hasattr(os, "sched_getscheduler"), reason="urgency as Linux has it")
def test_writing_a_clip_leaves_this_process_no_more_urgent(path: Path) -> None:
    before = os.sched_getscheduler(0)
    write_clip(path.with_suffix(".mkv"), GRAY, codec="libsvtav1", options={"preset": "12"})
    assert os.sched_getscheduler(0) == before


def test_a_single_picture_is_no_clip(path: Path) -> None:
    with pytest.raises(UnreadableFileError) as error:
        read_clip(write_clip(path, GRAY[:1]))
    assert str(error.value) == (
        f"{path}: got a single picture, expected a whole video clip such as .mp4 or .mov; film the wheel "
        "while it turns, or have the picture itself measured ('whirlwise photo')."
    )
