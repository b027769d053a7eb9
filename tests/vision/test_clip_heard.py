"""A whole clip with a sound track: drawn pictures and drawn sound of one wheel, in one file, measured."""

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from tests.vision.drawn_clips import DrawnClip, write_clip
from tests.vision.drawn_sounds import SAMPLES_PER_S, Floats, noise

from whirlwise.calc.interval import interval_95
from whirlwise.vision.clip import measure_clip
from whirlwise.vision.clip_course import turning_course
from whirlwise.vision.clip_reading import ClipReading, SoundTurning
from whirlwise.vision.measured import NotMeasured

DRAWN = DrawnClip(frames=240)


def hum(drawn: DrawnClip) -> Floats:
    """A noise that swells once and twice with each turn of the flyer, as a flyer out of balance whirrs."""
    seconds = drawn.frames / drawn.per_s
    samples_s = np.arange(round(seconds * SAMPLES_PER_S)) / SAMPLES_PER_S
    turned = drawn.ratio * drawn.wheel_rad(samples_s)
    swell = np.exp(0.6 * np.cos(turned) + 0.35 * np.cos(2 * turned + 1))
    return np.asarray(noise(np.random.default_rng(3), seconds, 0.03) * swell)


def with_track(clip: Path, sound: Floats, path: Path) -> Path:
    """Copy a clip's pictures and put a sound beside them."""
    with av.open(str(clip)) as source, av.open(str(path), "w") as target:
        pictures = target.add_stream_from_template(source.streams.video[0])
        track = target.add_stream("aac", rate=SAMPLES_PER_S, layout="mono")
        assert isinstance(track, av.AudioStream)
        for packet in source.demux(source.streams.video[0]):
            if packet.dts is not None:
                packet.stream = pictures
                target.mux(packet)
        frame = av.AudioFrame.from_ndarray(sound.astype(np.float32)[None, :], format="fltp", layout="mono")
        frame.rate, frame.pts, frame.time_base = SAMPLES_PER_S, 0, Fraction(1, SAMPLES_PER_S)
        cutter = av.AudioResampler("fltp", "mono", SAMPLES_PER_S, frame_size=track.codec_context.frame_size)
        for piece in [*cutter.resample(frame), *cutter.resample(None)]:
            target.mux(track.encode(piece))
        target.mux(track.encode(None))
    return path


@pytest.fixture(scope="module")
def reading(tmp_path_factory: pytest.TempPathFactory) -> ClipReading:
    folder = tmp_path_factory.mktemp("heard")
    clip = write_clip(folder / "silent.mp4", DRAWN.pictures())
    return measure_clip(with_track(clip, hum(DRAWN), folder / "heard.mp4"))


def test_sound_tells_the_ratio_by_itself(reading: ClipReading) -> None:
    assert isinstance(reading.sound, SoundTurning)
    ratio = reading.sound.ratio
    assert not isinstance(ratio, NotMeasured)
    assert ratio.n == pytest.approx(DRAWN.ratio, rel=1e-3)
    assert interval_95(ratio).low < DRAWN.ratio < interval_95(ratio).high


def test_both_witnesses_make_one_ratio(reading: ClipReading) -> None:
    assert not isinstance(reading.ratio, NotMeasured)
    assert interval_95(reading.ratio).low < DRAWN.ratio < interval_95(reading.ratio).high
    assert not any("disagree" in remark for remark in reading.remarks)


def test_course_counts_the_turns_of_both(reading: ClipReading) -> None:
    course = turning_course(reading)
    assert course is not None
    assert course.flyer_turns[-1] / course.wheel_turns[-1] == pytest.approx(DRAWN.ratio, rel=2e-3)
    assert np.all(np.diff(course.flyer_turns) >= 0)
