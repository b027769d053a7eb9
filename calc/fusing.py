"""Several readings of one wheel become one, and what to say where they disagree.

Whether the readings agree is asked with the chi-square test at 5 %, as for key comparisons (M. G. Cox,
*Metrologia* 39 (2002) 589, procedure A, from memory). If they do not, numbers alone cannot tell which of them
is right: every single number without which the rest agree is under suspicion, and each interval covers what
comes out with and without it. If no single number is to blame, whole readings are left out in turn, and all
doubts grow by the Birge ratio (R. T. Birge, *Physical Review* 40 (1932) 207, from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.stats import chi2

from .interval import Interval
from .solving import FINEST, Solution, Unknown, row_of, solve, speed_kept_in
from .wheel import Dimension, Reading, interval_of_log

#: Readings that agree so badly by chance in one case of twenty only do not agree.
LEAST_AGREEMENT: Final = 0.05


@dataclass(frozen=True, slots=True)
class Disagreement:
    """One reading that the others contradict.

    Attributes
    ----------
    reading : str
        Its name.
    dimension : Dimension
        Of which they say something else.
    said, others_say : Interval
        95 % intervals.
    apart : float
        How many doubts of both together lie between them.
    rest_agreement : float
        How often right readings would misfit at least as much as all the others do without it.
    """

    reading: str
    dimension: Dimension
    said: Interval
    others_say: Interval
    apart: float
    rest_agreement: float


@dataclass(frozen=True, slots=True)
class FusedWheel:
    """All readings of one wheel together.

    Attributes
    ----------
    solution : Solution
        Of all readings.
    leaving_out : tuple of Solution
        Without each number (or reading) that is under suspicion; empty where all agree.
    disagreements : tuple of Disagreement
        The numbers under suspicion.
    birge_ratio : float
        By how much all doubts were enlarged.
    """

    solution: Solution
    leaving_out: tuple[Solution, ...] = ()
    disagreements: tuple[Disagreement, ...] = ()
    birge_ratio: float = 1.0

    def interval_95(self, dimension: Dimension, reading: str = "") -> Interval | None:
        """Give the 95 % interval of a dimension; None where no reading tells it.

        Whose slip is meant by a ratio at work, ``reading`` tells.
        """
        return self._interval(row_of(dimension, reading))

    def speed_kept(self, reading: str) -> Interval | None:
        """Give the share of its speed that the slipping band left to the flyer in one reading at work."""
        return self._interval({speed_kept_in(reading): 1.0})

    def _interval(self, row: dict[Unknown, float]) -> Interval | None:
        found = self.solution.log_of(row)
        if found is None:
            return None
        mean, deviation = found
        whole = interval_of_log(mean, self.birge_ratio * deviation)
        rest = [interval_of_log(*log) for each in self.leaving_out if (log := each.log_of(row)) is not None]
        return Interval(
            whole.value, min([whole.low, *(i.low for i in rest)]), max([whole.high, *(i.high for i in rest)])
        )


def fuse(readings: Sequence[Reading]) -> FusedWheel:
    """Fuse readings of one wheel.

    Parameters
    ----------
    readings : sequence of Reading
        Their order does not matter.

    Raises
    ------
    ValueError
        If two readings have one name.
    """
    if len({reading.name for reading in readings}) < len(readings):
        raise ValueError("every reading of a wheel needs a name of its own")
    whole = solve(readings)
    if whole.agreement >= LEAST_AGREEMENT:
        return FusedWheel(whole)
    suspects = [
        (reading, dimension, rest)
        for reading in readings
        for dimension in reading.values
        if (rest := solve(_without(readings, reading, dimension))).agreement >= LEAST_AGREEMENT
    ]
    if not suspects:
        return _at_odds(readings, whole)
    found = (_disagreement(reading, dimension, rest) for reading, dimension, rest in suspects)
    return FusedWheel(
        whole, tuple(rest for *_, rest in suspects), tuple(each for each in found if each is not None)
    )


def _without(readings: Sequence[Reading], reading: Reading, dimension: Dimension) -> list[Reading]:
    """All readings, but one number of one of them."""
    lacking = reading.only(each for each in reading.values if each != dimension)
    return [lacking if each is reading else each for each in readings]


def _at_odds(readings: Sequence[Reading], whole: Solution) -> FusedWheel:
    """Readings that no single number sets at odds."""
    left_out = tuple(solve([other for other in readings if other is not reading]) for reading in readings)
    pairs = list(zip(readings, left_out, strict=True))
    named = [(reading, rest) for reading, rest in pairs if rest.agreement >= LEAST_AGREEMENT]
    if not named:
        named = [min(pairs, key=lambda pair: _chance(whole, pair[1]))]
    found = (_farthest(reading, rest) for reading, rest in named)
    birge_ratio = max(1.0, float(np.sqrt(whole.chi_square / whole.freedom)))
    return FusedWheel(whole, left_out, tuple(each for each in found if each is not None), birge_ratio)


def _chance(whole: Solution, rest: Solution) -> float:
    """How often a right reading would add so much to the misfit of the rest."""
    freedom = whole.freedom - rest.freedom
    return float(chi2.sf(whole.chi_square - rest.chi_square, freedom)) if freedom > 0 else 1.0


def _farthest(reading: Reading, rest: Solution) -> Disagreement | None:
    """Where a reading stands farthest from the rest, in doubts of both together."""
    found = [
        each for dimension in reading.values if (each := _disagreement(reading, dimension, rest)) is not None
    ]
    return max(found, key=lambda each: each.apart, default=None)


def _disagreement(reading: Reading, dimension: Dimension, rest: Solution) -> Disagreement | None:
    """What a reading and the rest say of one dimension; None where the rest does not tell it."""
    told = rest.log_of(row_of(dimension, reading.name))
    if told is None:
        return None
    place = list(reading.values).index(dimension)
    own = np.sqrt(reading.whole_covariance[place, place] + FINEST**2)
    apart = abs(float(reading.logs[place]) - told[0]) / float(np.hypot(own, told[1]))
    return Disagreement(
        reading.name,
        dimension,
        reading.interval_95(dimension),
        interval_of_log(*told),
        apart,
        rest.agreement,
    )
