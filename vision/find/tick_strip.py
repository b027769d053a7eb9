"""The picture along a row of ticks, straightened into a strip: where the ticks run, and how they lean."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from .edges import Pixels
from .tick_rows import TickRow

Numbers = NDArray[np.float64]

#: The strip reaches beyond both ends of the row by this share of its half length, and so far to each side.
BEYOND, SIDEWAYS_SHARE, SIDEWAYS_PITCHES = 0.25, 0.06, 4.0
SAMPLES_A_PITCH = 8.0
#: Light is smoothed along the row over so many pitches to see its wave, and so many across.
WAVE_ALONG, WAVE_ACROSS, SLOW_COURSE = 2.0, 0.4, 1.5
#: At so many places a pitch, at the least, the wave is told.
PLACES_A_PITCH = 2
#: The ticks are where their wave is this share as strong as where it is strongest.
STRONG = 0.6
#: Places along the row count if their wave is this share as strong as usual.
USUAL_SHARE = 0.3


@dataclass(frozen=True, slots=True)
class TickStrip:
    """Light (rows, columns) along a row of ticks; ``s`` along and ``v`` across it, in pixels."""

    light: Pixels
    s: Numbers
    v: Numbers
    row: TickRow

    def pixels(self, s: Numbers, v: float) -> Points:
        """Pixels (n, 2) of places along the strip."""
        along = self.row.along
        return np.asarray(self.row.middle_px + s[:, None] * along + v * np.array([-along[1], along[0]]))

    @property
    def step_px(self) -> float:
        """From column to column."""
        return float(self.s[1] - self.s[0])


@dataclass(frozen=True, slots=True)
class TickBand:
    """The rows of a strip that all ticks cross, and how far a tick leans, in pixels along for one across."""

    first_v: float
    last_v: float
    lean: float

    @property
    def middle_v(self) -> float:
        """The row in the middle."""
        return 0.5 * (self.first_v + self.last_v)


def straightened(light: Pixels, row: TickRow, sideways_px: float | None = None) -> TickStrip:
    """The strip about a row of ticks in a picture's lightness (h, w)."""
    if sideways_px is None:
        sideways_px = SIDEWAYS_SHARE * row.half_length_px + SIDEWAYS_PITCHES * row.pitch_px
    step = min(1.0, row.pitch_px / SAMPLES_A_PITCH)
    reach = (1 + BEYOND) * row.half_length_px
    s, v = np.arange(-reach, reach + step, step), np.arange(-sideways_px, sideways_px + 1.0)
    x = row.middle_px[0] + s * row.along[0] - v[:, None] * row.along[1]
    y = row.middle_px[1] + s * row.along[1] + v[:, None] * row.along[0]
    seen = cv2.remap(
        light, x.astype(np.float32), y.astype(np.float32), cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    return TickStrip(np.asarray(seen, dtype=np.float32), s, v, row)


def followed(strip: TickStrip) -> TickRow:
    """The row once more, along the ridge on which its wave is strongest."""
    s, wave = _wave(strip)
    strength = np.abs(wave)
    top = strength.max(axis=0)
    clear = np.where(strength > STRONG * top, strength, 0.0)
    ridge = (clear * strip.v[:, None]).sum(axis=0) / np.maximum(clear.sum(axis=0), 1e-9)
    usual = top > USUAL_SHARE * np.quantile(top, 0.9)
    weight = usual.astype(float)
    slope, height = 0.0, 0.0
    for _ in range(8):
        slope, height = np.polyfit(s, ridge, 1, w=weight + 1e-6)
        off = np.abs(ridge - slope * s - height)
        limit = max(float(np.median(off[usual])) * 2.5, 1.0)
        weight = np.where(usual, 1 / (1 + (off / limit) ** 2), 0.0)
    row = strip.row
    across = np.array([-row.along[1], row.along[0]])
    along = row.along + slope * across
    middle = row.middle_px + height * across
    return TickRow(middle, along / np.hypot(*along), row.half_length_px, row.pitch_px, row.steps)


def tick_band(strip: TickStrip) -> TickBand | None:
    """Where all ticks are and how they lean; None if that is too narrow to be ticks."""
    _, wave = _wave(strip)
    strength = np.abs(wave).mean(axis=1)
    top = int(strength.argmax())
    weak = np.flatnonzero(strength <= STRONG * strength[top])
    first = int(weak[weak < top].max(initial=-1)) + 1
    last = int(weak[weak > top].min(initial=len(strength))) - 1
    if last - first < 2:
        return None
    inside = slice(first, last + 1)
    relative = (wave[inside] * np.conj(wave[top])).sum(axis=1)
    turn = np.polyfit(strip.v[inside], np.unwrap(np.angle(relative)), 1, w=np.abs(relative))[0]
    lean = -float(turn) * strip.row.pitch_px / (2 * np.pi)
    return TickBand(float(strip.v[first]), float(strip.v[last]), lean)


def light_along(strip: TickStrip, band: TickBand) -> Numbers:
    """Mean light along the band, the ticks' lean and the slow course taken out."""
    rows = (strip.v >= band.first_v) & (strip.v <= band.last_v)
    shifted = [
        np.interp(strip.s + band.lean * (v - band.middle_v), strip.s, line)
        for v, line in zip(strip.v[rows], strip.light[rows], strict=True)
    ]
    mean = np.asarray(np.mean(shifted, axis=0), dtype=np.float32)[None]
    slow = cv2.GaussianBlur(mean, (0, 0), sigmaX=strip.row.pitch_px / strip.step_px, sigmaY=1e-3)
    return np.asarray((mean - slow)[0], dtype=np.float64)


def _wave(strip: TickStrip) -> tuple[Numbers, NDArray[np.complex64]]:
    """The strip's wave of one pitch, how strong and at what phase, (rows, places), and the places along it.

    It changes so slowly along the strip that a few places a pitch tell all of it.
    """
    pitch_px, columns = strip.row.pitch_px, strip.row.pitch_px / strip.step_px
    together = int(columns / PLACES_A_PITCH)
    count = len(strip.s) // together
    s, light = strip.s[: count * together], np.ascontiguousarray(strip.light[:, : count * together])
    fewer = (count, len(light))
    slow = cv2.resize(light, fewer, interpolation=cv2.INTER_AREA)
    slow = cv2.GaussianBlur(slow, (0, 0), sigmaX=SLOW_COURSE * columns / together, sigmaY=1e-3)
    detail = light - cv2.resize(slow, light.shape[::-1], interpolation=cv2.INTER_LINEAR)
    turn = (2 * np.pi * s / pitch_px).astype(np.float32)
    parts = np.dstack([detail * np.cos(turn), -detail * np.sin(turn)])
    parts = cv2.resize(parts, fewer, interpolation=cv2.INTER_AREA)
    along, across = WAVE_ALONG * columns / together, WAVE_ACROSS * pitch_px
    smooth = cv2.GaussianBlur(parts, (0, 0), sigmaX=along, sigmaY=across)
    return s.reshape(-1, together).mean(axis=1), np.asarray(
        smooth[..., 0] + 1j * smooth[..., 1], np.complex64
    )
