"""Clicks to treadle by, as sound: two pieces of wood knocked together, each n-th time a larger pair.

Every click begins at the sample next to its true time, reckoned afresh from the start, so nothing adds up.
"""

import io
import wave
from fractions import Fraction
from typing import Final

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.int16]

RATE_PER_S: Final = 22_050
#: What rings in the wood: frequency in Hz, share of the sound, and time in s after which 1/e is left.
RINGS: Final = ((640.0, 0.55, 0.016), (1530.0, 0.3, 0.009), (2610.0, 0.15, 0.004))
CLICK_S: Final = 0.09
#: The sound swells over so many samples, or it would crackle.
SWELL: Final = 9
LOUDEST: Final = 30_000
#: The larger pair of an accent rings deeper; the others are softer.
DEEPER, SOFTER = 0.72, 0.55


def onsets(cadence_per_min: Fraction, seconds: Fraction, clicks_a_turn: int = 1) -> list[int]:
    """Samples at which clicks begin: the first at once, and as many as ring out before the end."""
    gap = 60 * RATE_PER_S / (cadence_per_min * clicks_a_turn)
    last = seconds * RATE_PER_S - round(CLICK_S * RATE_PER_S)
    return [round(number * gap) for number in range(int(last / gap) + 1)]


def click_track(begins: list[int], seconds: Fraction, accent_every: int = 0) -> bytes:
    """Write clicks at the given samples as a WAV file (one channel, 16 bits).

    Parameters
    ----------
    accent_every : int
        Each so many-th click, the first included, is louder and deeper; 0 for none.
    """
    samples = np.zeros(round(seconds * RATE_PER_S), np.int16)
    plain, accent = _click(1.0, SOFTER), _click(DEEPER, 1.0)
    for number, begin in enumerate(begins):
        sound = accent if accent_every and number % accent_every == 0 else plain
        samples[begin : begin + len(sound)] = sound[: len(samples) - begin]
    file = io.BytesIO()
    with wave.open(file, "wb") as track:
        track.setnchannels(1)
        track.setsampwidth(2)
        track.setframerate(RATE_PER_S)
        # WAV files hold the lower byte first, whatever the computer does.
        track.writeframes(samples.astype("<i2").tobytes())
    return file.getvalue()


def _click(pitch: float, loudness: float) -> Samples:
    t_s = np.arange(round(CLICK_S * RATE_PER_S)) / RATE_PER_S
    sound = sum(
        share * np.cos(2 * np.pi * hertz * pitch * t_s) * np.exp(-t_s / (dies_s / pitch))
        for hertz, share, dies_s in RINGS
    )
    swell = np.minimum((np.arange(len(t_s)) + 1) / SWELL, 1.0)
    fade = np.minimum((len(t_s) - np.arange(len(t_s))) / 200, 1.0)
    return np.round(LOUDEST * loudness * swell * fade * sound).astype(np.int16)
