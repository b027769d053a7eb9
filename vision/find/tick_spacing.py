"""Evenly spaced ticks seen in perspective: tick k stands where k = rate s / (1 - bend s) + start.

Three numbers, found by a search over waves and then fitted to the ticks themselves.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d
from scipy.optimize import least_squares

from .tick_rows import TickRow

Numbers = NDArray[np.float64]

#: Perspective changes the pitch from one end to the other by four times this share at the most.
MOST_BEND, PITCH_SEARCH, SEARCH_SAMPLES = 0.12, 0.12, 4
#: Changes that matter in the fit: of rate and bend as shares of the rate, and of the start.
FIT_SCALE = (1e-3, 1e-6, 0.05)
#: Ticks off their places by more than this (in pitches) pull less.
STRAY_PITCHES = 0.05


@dataclass(frozen=True, slots=True)
class Spacing:
    """Which number a place along the row has, and where a number stands."""

    rate: float
    bend: float
    start: float

    @classmethod
    def found(cls, s: Numbers, signal: Numbers, row: TickRow) -> "Spacing":
        """The spacing whose wave explains most of the signal inside the row, its tops being the ticks."""
        reach = row.half_length_px
        coarse = np.arange(-reach, reach, row.pitch_px / SEARCH_SAMPLES)
        signal = np.interp(coarse, s, gaussian_filter1d(signal, 0.2 * row.pitch_px / (s[1] - s[0])))
        ticks = 2 * reach / row.pitch_px
        rates = np.arange(1 - PITCH_SEARCH, 1 + PITCH_SEARCH, 0.35 / ticks) / row.pitch_px
        best, most = cls(float(rates[0]), 0.0, 0.0), 0.0
        for bend in np.arange(-MOST_BEND, MOST_BEND, 0.7 / ticks) / reach:
            turns = np.outer(rates, coarse / (1 - bend * coarse))
            sums = np.exp((-2j * np.pi * turns).astype(np.complex64)) @ signal
            k = int(np.abs(sums).argmax())
            if abs(sums[k]) > most:
                most = float(abs(sums[k]))
                best = cls(float(rates[k]), float(bend), float(np.angle(sums[k]) / (2 * np.pi)))
        return best

    def number(self, s: Numbers) -> Numbers:
        """Fractional number of the tick at s."""
        return np.asarray(self.rate * s / (1 - self.bend * s) + self.start)

    def place(self, number: NDArray[np.floating[Any]] | NDArray[np.intp]) -> Numbers:
        """Where tick number k is."""
        k = number - self.start
        return np.asarray(k / (self.rate + self.bend * k))

    def fitted(self, number: NDArray[np.intp], s: Numbers) -> "Spacing":
        """The spacing that fits ticks at s best, strays tempered."""
        start = np.array([self.rate, self.bend, self.start])
        scale = np.array(FIT_SCALE) * [self.rate, self.rate, 1.0]

        def misfit(x: Numbers) -> Numbers:
            return np.asarray((Spacing(*(start + x * scale)).place(number) - s) * self.rate)

        found = least_squares(misfit, np.zeros(3), loss="soft_l1", f_scale=STRAY_PITCHES)
        return Spacing(*(start + found.x * scale))
