"""The sound track of a file as the course of its loudness in a few bands, with exact times.

What turns, knocks or ticks is heard in how loud the sound is from moment to moment, so the samples themselves
are not kept: they are decoded in pieces, brought to one channel and one rate, and only the power in a few
bands is kept, :data:`STEPS_PER_S` times a second. An hour of sound takes about 25 MB.

Times come from the file's time stamps; a gap in them is kept as a gap.
"""

import pathlib
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import av
import av.error
import av.stream
import numpy as np
from numpy.typing import NDArray

from ..errors import UnreadableFileError
from ..measured import NotMeasured
from .place import check_place, sentence, what_is_wrong

Floats = NDArray[np.float32]

#: Every sound is brought to this rate, because what lies above 24 kHz is not recorded by phones anyway.
SAMPLES_PER_S = 48_000
#: How often the loudness is kept: what happens up to 200 times a second shows.
STEPS_PER_S = 400
HOP = SAMPLES_PER_S // STEPS_PER_S
#: Samples that make one moment (10.7 ms under a Hann window, 4 ms of it at half height).
MOMENT = 512
#: Edges of the bands in Hz: hum, wood, rattle, and clicks with hiss. Below 70 Hz phones hear nothing.
BAND_EDGES_HZ = (70.0, 400.0, 1500.0, 6000.0, 16_000.0)
#: Time stamps of sound jitter by a block; a jump above this is a gap (or an overlap) of the recording.
LEAST_GAP_S = 0.1
#: A jump above this is a spoilt time stamp.
MOST_GAP_S = 600.0
#: A still picture that goes with a piece of music is stored as a video track of this kind.
COVER = av.stream.Disposition.attached_pic
#: Moments that are turned into band powers together.
BATCH = 1024
EXPECTED = "a sound file such as .wav, .m4a or .ogg, or a clip with sound"
NO_SOUND = NotMeasured(
    "The file has no sound track.", "Film with the microphone on: the sound is a second witness."
)
TOO_SHORT = NotMeasured("The sound is shorter than a second.", "Record ten seconds or more.")


@dataclass(frozen=True, slots=True)
class SoundBands:
    """How loud a sound is in a few bands.

    Attributes
    ----------
    start_s : float
        Time stamp of the first sample.
    pictures_start_s : float
        Time stamp of the first picture on the same clock, 0 where there are no pictures.
    seconds : float
        From the first sample to the last, as stored.
    times_s : (n,) array
        Time stamp of the middle of each moment.
    power : (n, bands) array
        Mean square of the samples in each band, 0 in a gap.
    """

    file: str
    start_s: float
    pictures_start_s: float
    seconds: float
    times_s: NDArray[np.float64]
    power: Floats


def is_only_heard(path: pathlib.Path) -> bool:
    """Whether a file holds sound and no moving pictures; a still cover is no moving picture.

    False also for what cannot be read: whoever reads it says why not.
    """
    try:
        check_place(path, EXPECTED)
        with av.open(str(path.absolute()), metadata_errors="replace") as container:
            pictures = [s for s in container.streams.video if not s.disposition & COVER]
            return bool(container.streams.audio) and not pictures
    except (av.error.FFmpegError, OSError):
        return False


def read_sound(path: pathlib.Path) -> SoundBands | NotMeasured:
    """Read the loudness of the first sound track of a file.

    Raises
    ------
    UnreadableFileError
        If the file is missing, empty, neither sound nor video, or cannot be decoded.
    """
    check_place(path, EXPECTED)
    try:
        with av.open(str(path.absolute()), metadata_errors="replace") as container:
            if not container.streams.audio:
                return NO_SOUND
            stream = container.streams.audio[0]
            if stream.codec_context is None:
                raise UnreadableFileError(sentence(path, "sound in an encoding unknown here", EXPECTED))
            track = _Track()
            pictures_start_s = _start_s(container)
            power = list(_band_powers(track.samples(container, stream)))
    except (av.error.FFmpegError, OSError) as error:
        if isinstance(error, UnreadableFileError):
            raise
        raise UnreadableFileError(sentence(path, what_is_wrong(error), EXPECTED)) from error
    if track.count < SAMPLES_PER_S:
        return TOO_SHORT
    start_s = float(track.start)
    whole = np.concatenate(power)
    middles = (np.arange(len(whole)) * HOP + MOMENT / 2) / SAMPLES_PER_S
    seconds = track.count / SAMPLES_PER_S
    return SoundBands(path.name, start_s, pictures_start_s, seconds, start_s + middles, whole)


def _start_s(container: "av.container.InputContainer") -> float:
    """Time stamp of the first picture, as the file states it."""
    pictures = [stream for stream in container.streams.video if not stream.disposition & COVER]
    if not pictures or pictures[0].start_time is None or pictures[0].time_base is None:
        return 0.0
    return float(pictures[0].start_time * pictures[0].time_base)


class _Track:
    """Reads a stream as one channel at one rate; knows afterwards when it began and how long it was."""

    def __init__(self) -> None:
        self.start = Fraction(0)
        self.count = 0

    def samples(self, container: "av.container.InputContainer", stream: "av.AudioStream") -> Iterator[Floats]:
        """Pieces of the sound in order, gaps filled with silence."""
        resampler = _resampler()
        kind = None
        begun = False
        given = 0.0
        for frame in _frames(container, stream):
            stamp = None if frame.pts is None or frame.time_base is None else frame.pts * frame.time_base
            if not begun:
                self.start, begun = stamp or Fraction(0), True
            missing_s = 0.0 if stamp is None else float(stamp - self.start) - given
            if LEAST_GAP_S < missing_s < MOST_GAP_S:
                yield from (self._counted(piece) for piece in _silence(missing_s))
                given += missing_s
            given += frame.samples / frame.sample_rate
            # A broadcast may change its channels on the way.
            if kind != (kind := (frame.format.name, frame.layout.name, frame.sample_rate)):
                resampler = _resampler()
            frame.pts = None
            yield from (self._counted(_mono(piece)) for piece in resampler.resample(frame))
        if begun:
            yield from (self._counted(_mono(piece)) for piece in resampler.resample(None))

    def _counted(self, piece: Floats) -> Floats:
        self.count += len(piece)
        return piece


def _silence(seconds: float) -> Iterator[Floats]:
    """Pieces of silence."""
    left = round(seconds * SAMPLES_PER_S)
    while left > 0:
        yield np.zeros(min(left, SAMPLES_PER_S), np.float32)
        left -= SAMPLES_PER_S


def _frames(container: "av.container.InputContainer", stream: "av.AudioStream") -> Iterator["av.AudioFrame"]:
    """Every block that can be decoded; damaged ones are passed over and show as gaps."""
    for packet in container.demux(stream):
        try:
            yield from packet.decode()
        except av.error.InvalidDataError:
            continue


def _resampler() -> av.AudioResampler:
    return av.AudioResampler(format="flt", layout="mono", rate=SAMPLES_PER_S)


def _mono(frame: "av.AudioFrame") -> Floats:
    return np.asarray(frame.to_ndarray(), dtype=np.float32).ravel()


def _band_powers(pieces: Iterator[Floats]) -> Iterator[Floats]:
    """(m, bands) power of moments that follow each other by :data:`HOP` samples."""
    kept: list[Floats] = []
    count = 0
    for piece in pieces:
        kept.append(piece)
        count += len(piece)
        if count < MOMENT + BATCH * HOP:
            continue
        samples = np.concatenate(kept)
        while len(samples) >= MOMENT + BATCH * HOP:
            yield _powers(samples[: MOMENT + (BATCH - 1) * HOP])
            samples = samples[BATCH * HOP :]
        kept, count = [samples], len(samples)
    if count >= MOMENT:
        yield _powers(np.concatenate(kept))


def _powers(samples: Floats) -> Floats:
    moments = np.lib.stride_tricks.sliding_window_view(samples, MOMENT)[::HOP]
    window = np.hanning(MOMENT).astype(np.float32)
    spectrum = np.fft.rfft(moments * window, axis=1)
    power = np.abs(spectrum) ** 2 * (2 / (MOMENT * np.sum(window**2)))
    edges = np.searchsorted(np.fft.rfftfreq(MOMENT, 1 / SAMPLES_PER_S), BAND_EDGES_HZ)
    return np.stack([power[:, a:b].sum(axis=1) for a, b in pairwise(edges)], axis=1).astype(np.float32)
