"""All ratios of a wheel in a row, from low to high: its range, the steps between neighbours, what feet reach.

A step is told as a factor: from 8 to 10 is a step of 1.25. Two ratios of one wheel share the wheel's
diameter, so give them with their correlation: the step is better known than either.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import pairwise
from operator import mul
from typing import Final

from uncertainties import nominal_value

from .interval import Interval, interval_95
from .quantity import Quantity

#: Ratios nearer than this are one in use: a foot's rhythm varies by 3-5 % from turn to turn (*Frontiers in
#: Psychology* 2021 on tapping; the figure from memory).
SAME_IN_USE: Final = 1.03


@dataclass(frozen=True, slots=True)
class Rung:
    """One ratio by its whirl's name."""

    label: str
    ratio: Quantity


@dataclass(frozen=True, slots=True)
class Step:
    """From one ratio to the next higher one.

    Attributes
    ----------
    below, above : str
        Names of the two whirls.
    factor : Quantity
        The higher over the lower ratio.
    """

    below: str
    above: str
    factor: Quantity

    @property
    def same_in_use(self) -> bool:
        """Whether the two may be so near that no foot tells one from the other."""
        return interval_95(self.factor).low < SAME_IN_USE


@dataclass(frozen=True, slots=True)
class Ladder:
    """Ratios from low to high, at least one."""

    rungs: tuple[Rung, ...]

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps between neighbours, from the bottom up."""
        pairs = pairwise(self.rungs)
        return tuple(Step(low.label, high.label, high.ratio / low.ratio) for low, high in pairs)

    @property
    def widest(self) -> Step | None:
        """The widest step; None where there is one ratio only."""
        return max(self.steps, key=lambda step: float(nominal_value(step.factor)), default=None)

    @property
    def highest(self) -> Interval:
        """The highest ratio, whichever whirl makes it."""
        ends = [interval_95(rung.ratio) for rung in self.rungs]
        return Interval(*(max(getattr(each, end) for each in ends) for end in ("value", "low", "high")))

    @property
    def lowest(self) -> Interval:
        """The lowest ratio, whichever whirl makes it."""
        ends = [interval_95(rung.ratio) for rung in self.rungs]
        return Interval(*(min(getattr(each, end) for each in ends) for end in ("value", "low", "high")))


def ladder_of(ratios: Mapping[str, Quantity]) -> Ladder:
    """Set ratios in a row.

    Parameters
    ----------
    ratios : mapping of str to Quantity
        Drive ratio of each whirl by its name.

    Raises
    ------
    ValueError
        If there is none, or one is not above zero.

    Examples
    --------
    >>> [round(step.factor, 2) for step in ladder_of({"small": 12.0, "large": 6.0, "middle": 9.0}).steps]
    [1.5, 1.33]
    """
    if not ratios:
        raise ValueError("there must be at least one ratio")
    if any(nominal_value(ratio) <= 0 for ratio in ratios.values()):
        raise ValueError("a ratio must be above zero")
    rungs = [Rung(label, ratio) for label, ratio in ratios.items()]
    return Ladder(tuple(sorted(rungs, key=lambda rung: float(nominal_value(rung.ratio)))))


def ratio_of_stages(pairs: Sequence[Quantity]) -> Quantity:
    """Multiply the ratios of pairs that drive each other, such as a great wheel and its accelerating head.

    The band of the great wheel turns a small wheel, whose own band turns the spindle: what one turn of the
    great wheel gives is the product (Khurmi, *Theory of Machines*, compound belt drive).

    Examples
    --------
    >>> ratio_of_stages([12.0, 6.0])
    72.0
    """
    return reduce(mul, pairs)


def with_heads(great: Mapping[str, Quantity], heads: Mapping[str, Quantity]) -> dict[str, Quantity]:
    """Give the ratio of every pair of first and second stage, as :func:`ratio_of_stages` does for one.

    Parameters
    ----------
    great, heads : mapping of str to Quantity
        Ratios of the great wheel with each whirl of the head, and of each head, by their names.

    Returns
    -------
    dict of str to Quantity
        By both names, or by the first alone where there is one head; without a head the first stage's own.

    Examples
    --------
    >>> with_heads({"great": 10.0}, {"slow": 3.0, "quick": 6.0})
    {'great+slow': 30.0, 'great+quick': 60.0}
    """
    if not heads:
        return dict(great)
    return {
        f"{first}+{second}" if len(heads) > 1 else first: ratio_of_stages([one, other])
        for first, one in great.items()
        for second, other in heads.items()
    }


@dataclass(frozen=True, slots=True)
class CadenceRange:
    """The slowest and the fastest cadence that feet keep in comfort, in turns of the wheel a minute."""

    slowest_per_min: float
    fastest_per_min: float

    def __post_init__(self) -> None:
        if not 0 < self.slowest_per_min <= self.fastest_per_min < float("inf"):
            raise ValueError("a range of cadence goes from the slower to the faster, both above zero")

    @property
    def middle_per_min(self) -> float:
        """The cadence from which slowest and fastest are equally far, as factors."""
        return float((self.slowest_per_min * self.fastest_per_min) ** 0.5)

    @property
    def reach(self) -> float:
        """By which factor the fastest lies above the slowest; never less than a foot's own unsteadiness."""
        return max(self.fastest_per_min / self.slowest_per_min, SAME_IN_USE)


def out_of_reach(ladder: Ladder, cadence: CadenceRange) -> tuple[tuple[Step, Quantity, Quantity], ...]:
    """List steps between which flyer speeds lie that feet do not reach within their cadence.

    Returns
    -------
    tuple of (Step, Quantity, Quantity)
        The step, the fastest flyer speed of the lower whirl and the slowest of the higher one, a minute.
    """
    ratio = {rung.label: rung.ratio for rung in ladder.rungs}
    found = [
        (step, ratio[step.below] * cadence.fastest_per_min, ratio[step.above] * cadence.slowest_per_min)
        for step in ladder.steps
    ]
    return tuple(each for each in found if nominal_value(each[1]) < nominal_value(each[2]))
