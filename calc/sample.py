"""Twist counted on the yarn itself, and whether the reckoned twist agrees with it.

ISO 2061 in words: take a specimen of known length under a light tension of 0.5 +/- 0.1 cN/tex (not for
open-end yarn), clamp both ends, turn one until the fibres, or the plies, lie side by side, and count the
turns. Twist is turns over the length before untwisting. Many specimens, because twist runs to thin places.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, stdev
from typing import Final, Literal

from scipy.stats import t as student
from uncertainties import UFloat, nominal_value, ufloat

from .interval import COVERAGE_FACTOR_95, interval_95
from .quantity import Quantity
from .twist import TwistDirection
from .yarn_facts import TEST_TENSION_CN_PER_TEX

#: Turns are counted to the half: half of that either way, evenly spread, is 0.25 / sqrt 3.
COUNTED_TO_TURNS: Final = 0.25 / sqrt(3)
#: Spread of twist between short specimens of hand-spun yarn, as a share; used where a single specimen cannot
#: tell its own. Common practice, no source.
USUAL_SPREAD: Final = 0.15
#: Weight of one cN, by the standard gravity of 9.80665 m/s2.
GRAMS_PER_CN: Final = 1 / 0.980665

Verdict = Literal["agrees", "less on the yarn", "more on the yarn"]


@dataclass(frozen=True, slots=True)
class CountedTwist:
    """Twist by counting.

    Attributes
    ----------
    twist_per_cm : UFloat
        Mean of all specimens; its 95 % interval is Student's.
    spread_percent : float or None
        Standard deviation between specimens, in percent of the mean; None for a single one.
    specimens : int
    """

    twist_per_cm: UFloat
    spread_percent: float | None
    specimens: int


def counted_twist(turns: Sequence[float], length_cm: Quantity) -> CountedTwist:
    """Reckon the twist from the turns that it took to untwist specimens of one length.

    The spread between specimens is worth less the fewer they are (Student's t, JCGM 100:2008, G.3.2); the
    doubt of each count and of the common length come on top.

    Raises
    ------
    ValueError
        If there is no specimen, or one without twist.
    """
    if not turns or min(turns) <= 0:
        raise ValueError("the twist of a yarn takes at least one specimen, each with turns above zero")
    mean, count = fmean(turns), len(turns)
    spread = stdev(turns) if count > 1 else USUAL_SPREAD * mean
    stretch = float(student.ppf(0.975, count - 1)) / COVERAGE_FACTOR_95 if count > 1 else 1.0
    doubt = sqrt((stretch * spread) ** 2 / count + COUNTED_TO_TURNS**2 / count)
    return CountedTwist(
        twist_per_cm=ufloat(mean, doubt) / length_cm,
        spread_percent=100 * spread / mean if count > 1 else None,
        specimens=count,
    )


def verdict(counted: Quantity, reckoned: Quantity) -> Verdict:
    """Compare counted and reckoned twist: they agree if the 95 % interval of their difference holds zero."""
    difference = interval_95(counted - reckoned)
    if difference.low <= 0 <= difference.high:
        return "agrees"
    return "less on the yarn" if difference.value < 0 else "more on the yarn"


def specimens_wanted(counted: CountedTwist, within_percent: float) -> int | None:
    """Tell how many specimens would give the mean to so many percent (95 %); None without a known spread.

    From t s / sqrt(n) <= limit, with the spread of the specimens counted so far.
    """
    if counted.spread_percent is None:
        return None
    count = 2
    while float(student.ppf(0.975, count - 1)) * counted.spread_percent / sqrt(count) > within_percent:
        count += 1
    return count


def tension_weight_g(tex: Quantity) -> Quantity:
    """Give the weight in g to hang on a specimen; its interval is what the standard allows."""
    return TEST_TENSION_CN_PER_TEX * nominal_value(tex) * GRAMS_PER_CN


def plied_direction(singles: TwistDirection) -> TwistDirection:
    """Give the direction in which yarns are plied: against the twist of their singles."""
    return "S" if singles == "Z" else "Z"
