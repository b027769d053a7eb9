"""What one more whirl would add to those that are there."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from uncertainties import nominal_value

from .interval import Interval, interval_95
from .ladder import SAME_IN_USE, Ladder, Rung
from .quantity import Quantity

#: ``"same"``: as good as one that is there. ``"top"``, ``"bottom"``: beyond the highest or lowest.
#: ``"between"``.
Where = Literal["same", "top", "bottom", "between"]


@dataclass(frozen=True, slots=True)
class Addition:
    """One more ratio on a ladder.

    Attributes
    ----------
    where : str
    ratio : Quantity
    nearest : Rung
        The old one whose ratio is nearest, in percent.
    from_nearest_percent : Quantity
        How far the new ratio lies above (or, less than zero, below) it.
    below, above : Rung or None
        Its neighbours on the ladder.
    maybe_same : bool
        Whether the doubt leaves it open that the new one is as good as the nearest.
    widest_before, widest_after : float
        Widest step, as a factor, without and with it; 1 where there is one ratio only.
    span_before, span_after : float
        Highest over lowest ratio.
    """

    where: Where
    ratio: Quantity
    nearest: Rung
    from_nearest_percent: Quantity
    below: Rung | None
    above: Rung | None
    maybe_same: bool
    widest_before: float
    widest_after: float
    span_before: float
    span_after: float


def addition(ladder: Ladder, ratio: Quantity) -> Addition:
    """Judge a whirl that might be bought or made.

    Parameters
    ----------
    ladder : Ladder
        What is there.
    ratio : Quantity
        That of the whirl in question.

    Examples
    --------
    >>> from whirlwise.calc.ladder import ladder_of
    >>> found = addition(ladder_of({"large": 6.0, "small": 12.0}), 8.5)
    >>> found.where, found.widest_before, round(found.widest_after, 3)
    ('between', 2.0, 1.417)
    """
    nearest = min(ladder.rungs, key=lambda rung: _apart(rung.ratio, ratio))
    factor = interval_95(ratio / nearest.ratio)
    below = [rung for rung in ladder.rungs if nominal_value(rung.ratio) <= nominal_value(ratio)]
    above = [rung for rung in ladder.rungs if nominal_value(rung.ratio) > nominal_value(ratio)]
    old = [float(nominal_value(rung.ratio)) for rung in ladder.rungs]
    new = sorted([*old, float(nominal_value(ratio))])
    return Addition(
        where=_where(factor, bool(below), bool(above)),
        ratio=ratio,
        nearest=nearest,
        from_nearest_percent=100 * (ratio / nearest.ratio - 1),
        below=below[-1] if below else None,
        above=above[0] if above else None,
        maybe_same=factor.low < SAME_IN_USE and factor.high > 1 / SAME_IN_USE,
        widest_before=_widest(old),
        widest_after=_widest(new),
        span_before=old[-1] / old[0],
        span_after=new[-1] / new[0],
    )


def _where(factor: Interval, has_below: bool, has_above: bool) -> Where:
    if 1 / SAME_IN_USE < factor.value < SAME_IN_USE:
        return "same"
    if has_below and has_above:
        return "between"
    return "top" if has_below else "bottom"


def _apart(one: Quantity, other: Quantity) -> float:
    """How far two ratios are apart as a factor, above 1 whichever is the higher."""
    factor = float(nominal_value(one) / nominal_value(other))
    return max(factor, 1 / factor)


def _widest(ratios: list[float]) -> float:
    return max((high / low for low, high in pairwise(ratios)), default=1.0)
