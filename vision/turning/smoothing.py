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
    value, slope = np.empty(len(times_s)), np.empty(len(times_s))
    least = (degree + 2) // 2
    for i, t in enumerate(times_s):
        first = min(int(np.searchsorted(times_s, t - half_width_s, side="left")), max(0, i - least))
        last = max(int(np.searchsorted(times_s, t + half_width_s, side="right")), i + least + 1)
        # At the ends the window leans inwards.
        first, last = min(first, max(0, len(times_s) - degree - 2)), max(last, degree + 2)
        fit = np.polynomial.polynomial.polyfit(times_s[first:last] - t, values[first:last], degree)
        value[i], slope[i] = fit[0], fit[1]
    return value, slope


def scatter_about_course(times_s: Floats, values: Floats, reach: int = 4) -> float:
    """Estimate the standard deviation of a course's noise: what cubics over ``2 * reach + 1`` samples leave.

    Robust (median), so that a few bad samples do not count.
    """
    left = []
    for i in range(reach, len(times_s) - reach):
        window = slice(i - reach, i + reach + 1)
        powers = np.vander((times_s[window] - times_s[i]) / (times_s[window].std() or 1.0), 4)
        weights = np.linalg.pinv(powers)[-1]
        kept = 1 - weights[reach]
        left.append((values[i] - weights @ values[window]) / np.sqrt(max(kept, 0.05)))
    return float(1.4826 * np.median(np.abs(left))) if left else float("inf")
