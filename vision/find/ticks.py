"""The ticks of a rule along a row: where each is to a fraction of a pixel, its number, and how long it is."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from ..geometry.ellipse import Points
from .edges import Pixels
from .tick_ends import tick_ends
from .tick_rows import TickRow
from .tick_spacing import Spacing
from .tick_strip import TickBand, TickStrip, followed, light_along, straightened, tick_band

Numbers = NDArray[np.float64]
Counts = NDArray[np.intp]

STRAIGHTENINGS = 3
#: Ticks are followed to so many pitches to each side of the row: an inch tick of a rule in 1/16 in is long.
LENGTH_PITCHES = 16.0
#: A tick is there if it is this share as dark as the usual tick, and within so much of a pitch of its place.
LEAST_DEPTH, NEAR = 0.4, 0.25
#: A window of so many ticks holds this share at the least, else the row ends there.
WINDOW, WINDOW_SHARE = 9, 0.6
#: A tick ends where it is only this share as dark as at the rule's edge.
END_DEPTH = 0.45
LEAST_TICKS = 12
LOCATIONS = 4


@dataclass(frozen=True, slots=True)
class Ticks:
    """A row of ticks.

    Attributes
    ----------
    number : (n,) int array
        Counted from some tick; missing ones are left out.
    points_px : (n, 2) array
        Where they are, all on one straight line in the picture.
    length : (n,) array
        How far each reaches away from the line, in pitches.
    pitch_px : float
        Mean distance from tick to tick.
    scatter_px : float
        Misfit of their places along the row.
    found_share : float
        Ticks found, as a share of those between the first and the last.
    ends_px : (n, 2, 2) array, optional
        Two places on each tick, as far apart as all ticks reach; NaN for ticks that are not seen well.
    """

    number: Counts
    points_px: Points
    length: Numbers
    pitch_px: float
    scatter_px: float
    found_share: float
    ends_px: Points | None = None

    def holds(self, point_px: Points) -> bool:
        """Whether a place (2,) lies among the ticks, or where only the longer ones reach."""
        along = self.points_px[-1] - self.points_px[0]
        length = float(np.hypot(*along))
        away = point_px - self.points_px[0]
        aside = abs(float(away[0] * along[1] - away[1] * along[0])) / length
        return bool(aside < LENGTH_PITCHES * self.pitch_px and 0 < away @ along < length**2)


def measure_ticks(light: Pixels, row: TickRow) -> Ticks | None:
    """Locate, number and measure the ticks of a row; None if they are not evenly spaced ticks.

    Parameters
    ----------
    light : (h, w) array
        Lightness of the picture.
    row : TickRow
        Where they are, roughly.
    """
    strip = straightened(light, row)
    for _ in range(STRAIGHTENINGS):
        strip = straightened(light, followed(strip))
    band = tick_band(strip)
    if band is None:
        return None
    signal = light_along(strip, band)
    # Ticks are narrow: dark ones give dips between broad tops.
    sign = 1.0 if np.mean(signal**3) > 0 else -1.0
    located = _located(strip.s, sign * signal, Spacing.found(strip.s, sign * signal, strip.row))
    if located is None:
        return None
    pitch_px = float(np.ptp(located.s) / np.ptp(located.number))
    return Ticks(
        located.number,
        strip.pixels(located.s, band.middle_v),
        _lengths(light, strip.row, located, band, sign) / pitch_px,
        pitch_px,
        float(np.std(located.s - located.spacing.place(located.number))),
        len(located.number) / float(np.ptp(located.number) + 1),
        tick_ends(strip, band, located.s, sign),
    )


@dataclass(frozen=True, slots=True)
class _Located:
    """Numbers and places (n,) of ticks, and the spacing fitted to them."""

    number: Counts
    s: Numbers
    spacing: Spacing


def _located(s: Numbers, signal: Numbers, spacing: Spacing) -> _Located | None:
    """The ticks, which stand out upwards in the signal; None if there are too few."""
    located: _Located | None = None
    for _ in range(LOCATIONS):
        first, last = spacing.number(s[[0, -1]])
        number = np.arange(int(np.ceil(first)) + 1, int(np.floor(last)))
        if len(number) < LEAST_TICKS:
            return None
        place, height = _tops(s, signal, spacing, number)
        usual = float(np.median(np.sort(height)[len(height) // 3 :]))
        there = (height > LEAST_DEPTH * usual) & (np.abs(spacing.number(place) - number) < NEAR)
        there &= _in_company(there)
        if there.sum() < LEAST_TICKS:
            return None
        spacing = spacing.fitted(number[there], place[there])
        located = _Located(number[there], place[there], spacing)
    return located


def _tops(s: Numbers, signal: Numbers, spacing: Spacing, number: Counts) -> tuple[Numbers, Numbers]:
    """The highest point near each tick's place, to a fraction of a sample, and its height over its sides."""
    smooth = gaussian_filter1d(signal, 0.12 / spacing.rate / (s[1] - s[0]))
    share = np.linspace(-0.4, 0.4, 17)
    values = np.interp(spacing.place(number[:, None] + share), s, smooth)
    top = values[:, 2:-2].argmax(axis=1) + 2
    before, at, after = (values[np.arange(len(number)), top + k] for k in (-1, 0, 1))
    shift = np.clip((before - after) / (2 * (before - 2 * at + after) - 1e-9), -0.5, 0.5)
    place = spacing.place(number + share[top] + shift * (share[1] - share[0]))
    sides = [np.interp(spacing.place(number + half), s, smooth) for half in (-0.5, 0.5)]
    return place, np.asarray(at - 0.5 * (sides[0] + sides[1]))


def _in_company(there: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Ticks of the longest stretch in which most are there."""
    dense = np.convolve(there.astype(float), np.ones(WINDOW) / WINDOW, mode="same") >= WINDOW_SHARE
    bounds = np.flatnonzero(np.diff(np.concatenate([[0], dense.astype(int), [0]])))
    stretch = np.zeros(len(there), dtype=bool)
    if len(bounds):
        longest = int(np.argmax(bounds[1::2] - bounds[::2]))
        stretch[max(bounds[2 * longest] - WINDOW // 2, 0) : bounds[2 * longest + 1] + WINDOW // 2] = True
    return stretch


def _lengths(light: Pixels, row: TickRow, ticks: _Located, band: TickBand, sign: float) -> Numbers:
    """How far (n,) each tick reaches from the row's middle, to the side on which they differ, in pixels."""
    wide = straightened(light, row, LENGTH_PITCHES * row.pitch_px)
    depth = _depths(wide, ticks, band, sign)
    inside = (wide.v >= band.first_v) & (wide.v <= band.last_v)
    base = np.median(depth[:, inside], axis=1)
    dark = depth > END_DEPTH * np.maximum(base, 0.7 * np.median(base))[:, None]
    home = int(np.argmin(np.abs(wide.v - band.middle_v)))
    ends = [_first_false(dark[:, home:]), _first_false(dark[:, home::-1])]
    return max(ends, key=lambda reach: float(np.std(np.minimum(reach, np.quantile(reach, 0.95)))))


def _depths(wide: TickStrip, ticks: _Located, band: TickBand, sign: float) -> Numbers:
    """How much (ticks, rows) a tick stands out against what is half a pitch to both sides of it."""
    pitch_px = wide.row.pitch_px
    smooth = cv2.GaussianBlur(wide.light, (0, 0), 0.1 * pitch_px / wide.step_px, sigmaY=0.25 * pitch_px)
    at, before, after = (ticks.spacing.place(ticks.number + half) for half in (0.0, -0.5, 0.5))
    rows = []
    for v, line in zip(wide.v, smooth, strict=True):
        places = np.stack([at, before, after]) + band.lean * (v - band.middle_v)
        tick, one, other = np.interp(places, wide.s, line)
        rows.append(sign * (tick - 0.5 * (one + other)))
    return np.column_stack(rows)


def _first_false(dark: NDArray[np.bool_]) -> Numbers:
    """Columns (n,) from the start until a row of ``dark`` is false for the first time."""
    return np.asarray(np.where(dark.all(axis=1), dark.shape[1], dark.argmin(axis=1)), dtype=np.float64)
