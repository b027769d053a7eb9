"""Value and slope of a noisy course in time, by straight local fits; times need not be even."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def local_fit(times_s: Floats, values: Floats, half_width_s: float, degree: int = 2) -> tuple[Floats, Floats]:
    """Least-squares polynomials in a sliding window (Savitzky-Golay for uneven times).

    Parameters
    ----------
    half_width_s : float
        Half the window; it always takes in at least ``degree + 2`` samples.

    Returns
    -------
    Value (n,) and slope per second (n,) in the middle of each window.
    """
    least = (degree + 2) // 2
    first = np.searchsorted(times_s, times_s - half_width_s, side="left")
    last = np.searchsorted(times_s, times_s + half_width_s, side="right")
    place = np.arange(len(times_s))
    # At the ends the window leans inwards.
    first = np.minimum(np.minimum(first, np.maximum(0, place - least)), max(0, len(times_s) - degree - 2))
    last = np.minimum(np.maximum(np.maximum(last, place + least + 1), degree + 2), len(times_s))
    # Windows as rows of one array; those with fewer samples are filled up with weight 0.
    index = first[:, None] + np.arange(int((last - first).max()))
    inside = index < last[:, None]
    index = np.minimum(index, len(times_s) - 1)
    away = (times_s[index] - times_s[:, None]) * inside
    reach = np.maximum(np.abs(away).max(axis=1), 1e-12)
    powers = (away / reach[:, None])[..., None] ** np.arange(degree + 1) * inside[..., None]
    fits = np.linalg.pinv(powers)[:, :2] @ (values[index] * inside)[..., None]
    return fits[:, 0, 0], fits[:, 1, 0] / reach


def scatter_about_course(times_s: Floats, values: Floats, reach: int = 4) -> float:
    """Estimate the standard deviation of a course's noise: what cubics over ``2 * reach + 1`` samples leave.

    Robust (median), so that a few bad samples do not count.
    """
    if len(times_s) <= 2 * reach:
        return float("inf")
    windows = np.lib.stride_tricks.sliding_window_view
    at = windows(times_s, 2 * reach + 1)
    away = (at - at[:, reach, None]) / at.std(axis=1, keepdims=True)
    powers = away[..., None] ** np.arange(4)
    weights = np.linalg.pinv(powers)[:, 0]
    kept = np.maximum(1 - weights[:, reach], 0.05)
    smooth = np.sum(weights * windows(values, 2 * reach + 1), axis=1)
    left = (values[reach : len(values) - reach] - smooth) / np.sqrt(kept)
    return float(1.4826 * np.median(np.abs(left)))


def memory_of(values: Floats) -> float:
    """How many neighbouring values say the same: 1 + 2 x the sum of the autocorrelation to its first zero."""
    apart = values - values.mean()
    spectrum = np.abs(np.fft.rfft(apart, 2 * len(apart))) ** 2
    correlation = np.fft.irfft(spectrum)[: len(apart)]
    correlation = correlation / (correlation[0] + 1e-30)
    below = np.flatnonzero(correlation <= 0)
    return float(1 + 2 * correlation[1 : below[0] if len(below) else None].sum())
