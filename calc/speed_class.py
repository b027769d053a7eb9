"""What spinners call a slow, a medium and a fast wheel, by its highest ratio.

Common practice, no source: makers and teachers draw the limits here and there, and some count a wheel's
lowest ratio too. So between two classes both are named, and an interval that reaches over a limit names
what it reaches.
"""

from dataclasses import dataclass
from typing import Final, Literal

from .interval import Interval

SpeedName = Literal["slow", "medium", "fast"]
LowEnd = Literal["lower", "usual", "higher"]


@dataclass(frozen=True, slots=True)
class ClassLimits:
    """Where a class lies. Common practice, no source.

    Attributes
    ----------
    name : str
    highest : (float, float)
        The highest ratio lies from here to there; below and above begin the neighbours' own grounds.
    lowest : (float, float) or None
        The lowest ratio that goes with it, where custom knows one.
    """

    name: SpeedName
    highest: tuple[float, float]
    lowest: tuple[float, float] | None


#: Above 20 is fast too, below 10 slow.
CLASSES: Final = (
    ClassLimits("slow", (0.0, 11.0), None),
    ClassLimits("medium", (13.0, 14.0), (5.0, 6.0)),
    ClassLimits("fast", (16.0, float("inf")), (6.0, 8.0)),
)


@dataclass(frozen=True, slots=True)
class SpeedClass:
    """The class of a wheel.

    Attributes
    ----------
    names : tuple of str
        One class, or the two between which the highest ratio lies.
    possible : tuple of str
        All that the interval of the highest ratio reaches.
    straddled : tuple of float
        Limits that lie inside that interval.
    low_end : str or None
        How the lowest ratio compares with what is usual for the class; None where the class is not one alone,
        custom knows no lowest ratio, or the wheel has one ratio only.
    """

    names: tuple[SpeedName, ...]
    possible: tuple[SpeedName, ...]
    straddled: tuple[float, ...]
    low_end: LowEnd | None


def speed_class(highest: Interval, lowest: Interval | None = None) -> SpeedClass:
    """Name the class of a wheel.

    Parameters
    ----------
    highest : Interval
        Its highest drive ratio.
    lowest : Interval, optional
        Its lowest, where it has more than one.

    Examples
    --------
    >>> speed_class(Interval(12, 11.8, 12.2)).names
    ('slow', 'medium')
    >>> speed_class(Interval(15.9, 15.7, 16.1), Interval(7, 6.9, 7.1)).straddled
    (16.0,)
    """
    names = _classes_within(highest.value, highest.value)
    limits = sorted(limit for each in CLASSES for limit in each.highest if 0 < limit < float("inf"))
    return SpeedClass(
        names,
        _classes_within(highest.low, highest.high),
        tuple(limit for limit in limits if highest.low < limit < highest.high),
        _low_end(names, lowest),
    )


def _classes_within(low: float, high: float) -> tuple[SpeedName, ...]:
    """Classes that a highest ratio from low to high may belong to; a gap belongs to both its neighbours."""
    begins = [float("-inf"), *(each.highest[1] for each in CLASSES[:-1])]
    ends = [*(each.highest[0] for each in CLASSES[1:]), float("inf")]
    return tuple(
        each.name
        for each, begin, end in zip(CLASSES, begins, ends, strict=True)
        if begin < high and low < end
    )


def _low_end(names: tuple[SpeedName, ...], lowest: Interval | None) -> LowEnd | None:
    """Compare the lowest ratio with custom; an interval that reaches into the usual counts as usual."""
    usual = next((each.lowest for each in CLASSES if (each.name,) == names), None)
    if usual is None or lowest is None:
        return None
    if lowest.high < usual[0]:
        return "lower"
    return "higher" if lowest.low > usual[1] else "usual"
