"""95 % intervals: from a standard uncertainty to what a screen shows, and back from what a person says.

The interval is the one of a normal distribution, the usual choice when a result combines several
independent causes (JCGM 100:2008, 6.3.3 and G.6.6).
"""

from dataclasses import dataclass
from statistics import NormalDist
from typing import Final

from uncertainties import UFloat, nominal_value, std_dev, ufloat

from .quantity import Quantity

#: Half-width of the 95 % interval in standard uncertainties, 1.959964 (JCGM 101:2008, 9.2).
COVERAGE_FACTOR_95: Final = NormalDist().inv_cdf(0.975)


@dataclass(frozen=True, slots=True)
class Interval:
    """A value and the 95 % interval about it, all in one unit; ``low <= value <= high``."""

    value: float
    low: float
    high: float

    @property
    def half_width(self) -> float:
        """Half the distance from the low to the high end."""
        return (self.high - self.low) / 2


def interval_95(quantity: Quantity) -> Interval:
    """Give the 95 % interval of a number; without width where the number is exact.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> four = sum(ufloat(0, 1) for _ in range(4))
    >>> round(interval_95(four).high, 2)
    3.92
    """
    value = float(nominal_value(quantity))
    half_width = COVERAGE_FACTOR_95 * float(std_dev(quantity))
    return Interval(value, value - half_width, value + half_width)


def reciprocal_interval_95(quantity: Quantity) -> Interval | None:
    """Give the 95 % interval of 1/quantity, or nothing where the quantity's own reaches down to zero.

    The reciprocal runs one way, so the ends of the one interval are the ends of the other. Where the
    interval is wide this is right while the first-order interval about 1/quantity is not: a share of
    0.10 +/- 0.03 means a ratio from 7.7 to 14.3 about 10, not from 7 to 13.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> found = reciprocal_interval_95(ufloat(0.10, 0.03 / COVERAGE_FACTOR_95))
    >>> round(found.low, 1), round(found.value, 1), round(found.high, 1)
    (7.7, 10.0, 14.3)
    """
    share = interval_95(quantity)
    if share.low <= 0:
        return None
    return Interval(1 / share.value, 1 / share.high, 1 / share.low)


def from_half_width_95(value: float, half_width: float) -> UFloat:
    """Make a number from what people state: 17 +/- 3, the half-width of the 95 % interval.

    Raises
    ------
    ValueError
        Where `half_width` is not above zero: such a number is exact and stays a ``float``.
    """
    if not half_width > 0:
        raise ValueError(f"the half-width of an interval must be above zero, not {half_width}")
    return ufloat(value, half_width / COVERAGE_FACTOR_95)
