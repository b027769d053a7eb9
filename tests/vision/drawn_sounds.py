"""Sounds with known truth: knocks over a steady noise, and the hum and rattle of what turns."""

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SAMPLES_PER_S = 24_000


def noise(rng: np.random.Generator, seconds: float, loudness: float = 0.005) -> Floats:
    """Steady noise, its mean square the square of ``loudness`` (full scale is 1)."""
    return rng.normal(0, loudness, round(seconds * SAMPLES_PER_S))


def knocks(rng: np.random.Generator, seconds: float, times_s: Floats, loudness: Floats | float) -> Floats:
    """Knocks: bursts of noise that begin at once and die away within some hundredths of a second."""
    sound = np.zeros(round(seconds * SAMPLES_PER_S))
    for time_s, loud in zip(times_s, np.broadcast_to(loudness, len(times_s)), strict=True):
        first = round(time_s * SAMPLES_PER_S)
        part = sound[first : first + round(0.15 * SAMPLES_PER_S)]
        part += loud * rng.normal(0, 1, len(part)) * np.exp(-np.arange(len(part)) / (0.02 * SAMPLES_PER_S))
    return sound


def write_sound(path: Path, sound: Floats, *, codec: str = "pcm_s16le", gap_s: float = 0.0) -> Path:
    """Write a sound with one channel into a file; its ending says which kind of file.

    The recording pauses for ``gap_s`` in its middle, in kinds of file that keep time stamps.
    """
    with av.open(str(path), "w") as container:
        stream = container.add_stream(codec, rate=SAMPLES_PER_S, layout="mono")
        assert isinstance(stream, av.AudioStream)
        samples = sound.astype(np.float32)[None, :]
        frame = av.AudioFrame.from_ndarray(samples, format="fltp", layout="mono")
        frame.rate, frame.pts, frame.time_base = SAMPLES_PER_S, 0, Fraction(1, SAMPLES_PER_S)
        context = stream.codec_context
        resampler = av.AudioResampler(
            context.format.name, "mono", SAMPLES_PER_S, frame_size=context.frame_size or 1024
        )
        for piece in [*resampler.resample(frame), *resampler.resample(None)]:
            if piece is not None and piece.pts is not None and 2 * piece.pts > len(sound):
                piece.pts += round(gap_s * SAMPLES_PER_S)
            container.mux(stream.encode(piece))
        container.mux(stream.encode(None))
    return path
