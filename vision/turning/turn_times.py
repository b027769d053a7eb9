"""What the times of whole turns say: their spread, their drift, and how much that is to be trusted.

Turns hang together: a tired foot is slow for many turns, not for one. So n turns say less than n independent
ones. Their memory is taken to be that of a first-order autoregression, its one number is read from the
departures from a straight line, and what such turns do to a variance and to a slope is then reckoned exactly:
for departures y of correlation R and the projection M that takes a straight line out, the mean of y'My is
tr(MR) variances, and it scatters like a chi-square of tr(MR)^2 / tr(MRMR) degrees of freedom (Satterthwaite,
Biometrics Bulletin 2, 1946; Box, Annals of Mathematical Statistics 25, 1954). Turns that are now and then far
off (a join, a knot) carry less still: the freedom is divided by 1 + excess kurtosis / 2 (Box and Andersen,
Journal of the Royal Statistical Society B 17, 1955).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats
from scipy.linalg import toeplitz
from uncertainties import UFloat, ufloat

from ..measured import HALF_WIDTH_95

Floats = NDArray[np.float64]

#: A straight line takes two numbers.
LINE = 2
#: Memories that are tried: the correlation of one turn with the next.
MEMORIES = np.linspace(-0.5, 0.95, 30)
#: So many turns tell their memory well; of more, matrices of that size would only cost time.
ENOUGH_TURNS = 200
#: Fewer degrees of freedom would make every interval endless.
LEAST_FREEDOM = 1.0


@dataclass(frozen=True, slots=True)
class TurnTimes:
    """Whole turns one after the other.

    Attributes
    ----------
    spread : float
        Standard deviation of the times over their mean, a straight drift taken out (n - 2 in the divisor).
    usual_spread : float
        The same of all turns treadled so: what a straight line takes out of turns that hang together is put
        back.
    freedom : float
        How many independent departures that rests on (degrees of freedom of a chi-square).
    mean_s : UFloat
        Mean time of a turn; the doubt is how far the mean of these turns may lie from that of all turns
        treadled so.
    drift_per_min : UFloat
        Change of the cadence a minute, as a share of its mean.
    """

    spread: float
    usual_spread: float
    freedom: float
    mean_s: UFloat
    drift_per_min: UFloat


def turn_times(turn_s: Floats) -> TurnTimes:
    """Read times (n,) of whole turns, n at least 4."""
    count = len(turn_s)
    mean = float(turn_s.mean())
    middle_min = (np.cumsum(turn_s) - turn_s / 2) / 60
    off = departures(middle_min, turn_s)
    spread = float(np.sqrt(np.sum(off**2) / (count - LINE))) / mean
    memory = max(_memory(off, middle_min), 0.0)
    scale, _ = _scale_and_freedom(middle_min, memory)
    usual = spread / np.sqrt(scale)
    # The memory is known only so well; taking it for longer costs width, for shorter would cost truth.
    memory = min(memory + 1 / np.sqrt(count), MEMORIES[-1])
    _, freedom = _scale_and_freedom(middle_min, memory)
    freedom = max(freedom / (1 + _excess_kurtosis(off) / 2), LEAST_FREEDOM)
    wide = float(stats.t.ppf(0.975, max(freedom, 2 * LEAST_FREEDOM))) / HALF_WIDTH_95
    cadence = mean / turn_s
    at = middle_min - middle_min.mean()
    slope = float(at @ cadence / (at @ at))
    correlation = _correlation(count, memory)
    slope_std = usual * np.sqrt(at @ correlation @ at) / (at @ at)
    mean_std = usual * np.sqrt(correlation.sum()) / count
    return TurnTimes(
        spread=spread,
        usual_spread=float(usual),
        freedom=float(freedom),
        mean_s=ufloat(mean, mean * wide * mean_std),
        drift_per_min=ufloat(slope, wide * slope_std),
    )


def departures(at: Floats, values: Floats) -> Floats:
    """Values (n,) without their straight course along ``at``."""
    return np.asarray(values - np.polyval(np.polyfit(at, values, 1), at))


def _memory(off: Floats, at: Floats) -> float:
    """Correlation of neighbours that makes the departures' own correlation what it is.

    A straight line taken out of few turns makes neighbours look unlike; this is reckoned with.
    """
    off, at = off[-ENOUGH_TURNS:], at[-ENOUGH_TURNS:]
    keep = _without_line(at)
    lagged = keep @ (np.eye(len(off), k=1) / 2 + np.eye(len(off), k=-1) / 2) @ keep
    seen = float(off[1:] @ off[:-1]) / (float(off @ off) + 1e-30)
    wanted = []
    for memory in MEMORIES:
        correlation = _correlation(len(off), float(memory))
        wanted.append(np.sum(correlation * lagged) / np.sum(correlation * keep))
    return float(np.interp(seen, np.maximum.accumulate(wanted), MEMORIES))


def _scale_and_freedom(at: Floats, memory: float) -> tuple[float, float]:
    """Mean of the squared spread in true variances, and its degrees of freedom."""
    count = len(at)
    some = at[-ENOUGH_TURNS:]
    together = _without_line(some) @ _correlation(len(some), memory)
    total = float(np.trace(together))
    freedom = total**2 / float(np.sum(together * together.T))
    return total / (len(some) - LINE), freedom * (count - LINE) / (len(some) - LINE)


def _without_line(at: Floats) -> Floats:
    base, _ = np.linalg.qr(np.stack([np.ones_like(at), at], axis=1))
    return np.asarray(np.eye(len(at)) - base @ base.T)


def _correlation(count: int, memory: float) -> Floats:
    return np.asarray(toeplitz(memory ** np.arange(count)), dtype=np.float64)


def _excess_kurtosis(off: Floats) -> float:
    """Excess kurtosis, 0 where there is none or too few turns to see it."""
    return max(0.0, float(stats.kurtosis(off, bias=False))) if len(off) > 3 and np.ptp(off) > 0 else 0.0
