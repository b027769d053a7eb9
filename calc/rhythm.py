"""What rhythms mean for the spinner: how steady, how near to a wish, and whether calmer than another time.

A session's turns are a sample of all turns that are treadled so; every statement here is about those. How
many independent turns the sample is worth comes with it as degrees of freedom (turns hang together, so fewer
than turns). A spread then has a chi-square interval, the ratio of two spreads an F test, as every statistics
book has them for normal samples.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, log, sqrt
from typing import Final, Literal

from scipy import stats
from uncertainties import UFloat

from .interval import COVERAGE_FACTOR_95, Interval, interval_95

Verdict = Literal["calmer", "less calm", "open"]

#: A turn counts as near the wish within this share of it.
NEAR_WISH: Final = 0.05
#: How often a true difference shall be seen when it is told how many turns that takes (common practice).
POWER: Final = 0.8
#: More turns than this nobody films.
MOST_TURNS: Final = 2000
SURE: Final = 0.95


@dataclass(frozen=True, slots=True)
class Session:
    """One session's rhythm.

    Attributes
    ----------
    name : str
    turn_times_s : tuple of float
        Each whole turn's time.
    cv_percent : UFloat
        Spread of these times over their mean.
    usual_cv_percent, freedom : float
        The spread of all turns treadled so, and the degrees of freedom that it rests on.
    usual_turn_s : UFloat
        Mean time of a turn, with its doubt as a sample.
    within_turn_percent : UFloat or None
        Half of peak to peak of the mean speed over the turn, where it is known.
    """

    name: str
    turn_times_s: tuple[float, ...]
    cv_percent: UFloat
    usual_cv_percent: float
    freedom: float
    usual_turn_s: UFloat
    within_turn_percent: UFloat | None


def spread_interval_95(session: Session) -> Interval:
    """Give the 95 % interval of a session's spread in %: chi-square, widened by what measuring adds.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> plain = Session("", (1.0,) * 12, ufloat(2.0, 0.447), 2.0, 10.0, ufloat(1, 0.01), ufloat(7, 1))
    >>> [round(end, 2) for end in (spread_interval_95(plain).low, spread_interval_95(plain).high)]
    [1.4, 3.51]
    """
    value, freedom = float(session.cv_percent.n), session.freedom
    low, high = value, max(value, session.usual_cv_percent)
    low *= sqrt(freedom / float(stats.chi2.ppf(0.975, freedom)))
    high *= sqrt(freedom / float(stats.chi2.ppf(0.025, freedom)))
    sampling = session.usual_cv_percent / sqrt(2 * freedom)
    noise = COVERAGE_FACTOR_95 * sqrt(max(float(session.cv_percent.s) ** 2 - sampling**2, 0.0))
    return Interval(value, max(value - sqrt((value - low) ** 2 + noise**2), 0.0), high)


@dataclass(frozen=True, slots=True)
class Change:
    """One session against an earlier one.

    Attributes
    ----------
    spread_ratio : Interval
        Spread of the later over that of the earlier: below 1 is calmer.
    p_value : float
        How often chance alone makes two like sessions differ as much (two-sided F test).
    verdict : str
        What that says at the level asked for.
    turns_needed : int or None
        So many turns in each session would most likely tell a difference of this size, where it is open.
    smoother_percent : Interval or None
        How much less the speed swings within the turn, in points of %; below 0 more. None where
        it is not known.
    smoother : bool or None
        Whether it swings less; None where that is open.
    """

    before: str
    after: str
    spread_ratio: Interval
    p_value: float
    verdict: Verdict
    turns_needed: int | None
    smoother_percent: Interval | None
    smoother: bool | None


def changes(sessions: Sequence[Session]) -> tuple[Change, ...]:
    """Hold each session against the one before it, and the last against the first.

    Several comparisons give chance several goes, so each is held to a stricter level (Bonferroni).
    """
    pairs = list(pairwise(sessions))
    if len(sessions) > 2:
        pairs.append((sessions[0], sessions[-1]))
    return tuple(compared(*pair, sure=1 - (1 - SURE) / len(pairs)) for pair in pairs)


def compared(before: Session, after: Session, *, sure: float = SURE) -> Change:
    """Hold one session against an earlier one; intervals and verdicts hold with the certainty ``sure``."""
    freedoms = (after.freedom, before.freedom)
    ratio = float(after.cv_percent.n / before.cv_percent.n)
    tail = (1 - sure) / 2
    low, high = (ratio / sqrt(float(stats.f.ppf(q, *freedoms))) for q in (1 - tail, tail))
    p_value = 2 * min(float(stats.f.cdf(ratio**2, *freedoms)), float(stats.f.sf(ratio**2, *freedoms)))
    verdict: Verdict = "calmer" if high < 1 else "less calm" if low > 1 else "open"
    swing = _smoother(before, after, tail)
    return Change(
        before=before.name,
        after=after.name,
        spread_ratio=Interval(ratio, low, high),
        p_value=min(p_value, 1.0),
        verdict=verdict,
        turns_needed=_turns_needed(ratio, before, after, tail) if verdict == "open" else None,
        smoother_percent=swing,
        smoother=None if swing is None else _sign(swing),
    )


def _smoother(before: Session, after: Session, tail: float) -> Interval | None:
    if before.within_turn_percent is None or after.within_turn_percent is None:
        return None
    less = before.within_turn_percent - after.within_turn_percent
    reach = float(stats.norm.ppf(1 - tail)) * float(less.s)
    return Interval(float(less.n), float(less.n) - reach, float(less.n) + reach)


def _sign(interval: Interval) -> bool | None:
    """Whether an interval lies above zero (True) or below (False); None where it holds zero."""
    return True if interval.low > 0 else False if interval.high < 0 else None


def _turns_needed(ratio: float, before: Session, after: Session, tail: float) -> int | None:
    """Turns in each session after which a difference of this size is seen four times in five.

    The logarithm of a spread scatters by 1 / sqrt(2 freedom), so that of the ratio by 1 / sqrt(freedom).
    """
    if ratio == 1:
        return None
    reach = float(stats.norm.ppf(1 - tail) + stats.norm.ppf(POWER))
    freedom = (reach / log(ratio)) ** 2
    seen = len(before.turn_times_s) + len(after.turn_times_s)
    turns = ceil(freedom * seen / (before.freedom + after.freedom))
    return turns if turns <= MOST_TURNS else None


@dataclass(frozen=True, slots=True)
class AgainstWish:
    """A session's cadence against a wished one.

    Attributes
    ----------
    faster_percent : Interval
        How much faster than wished a spinner treadles who treadles so; below 0 slower.
    faster : bool or None
        None where the wish lies within the interval.
    near : int
        Turns of the session whose cadence lies within ``NEAR_WISH`` of the wish.
    turns : int
        All turns of the session.
    """

    wished_per_min: float
    faster_percent: Interval
    faster: bool | None
    near: int
    turns: int


def against_wish(session: Session, wished_per_min: float) -> AgainstWish:
    """Hold a session against a wished cadence in turns a minute."""
    off = interval_95(100 * (60 / session.usual_turn_s / wished_per_min - 1))
    cadences = [60 / turn_s for turn_s in session.turn_times_s]
    return AgainstWish(
        wished_per_min=wished_per_min,
        faster_percent=off,
        faster=_sign(off),
        near=sum(abs(cadence / wished_per_min - 1) <= NEAR_WISH for cadence in cadences),
        turns=len(cadences),
    )
