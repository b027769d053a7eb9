"""Numbers as they are shown: as many digits as the interval deserves, and never a narrower interval."""

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from math import floor, log10
from typing import Final

from ...calc.interval import Interval

#: Digits that are left to the half-width of an interval.
DIGITS_ON_SCREEN: Final = 2
DIGITS_IN_JSON: Final = 3
#: Digits of a number that is exact.
DIGITS_EXACT_ON_SCREEN: Final = 6
DIGITS_EXACT: Final = 10


def rounded(interval: Interval, digits: int) -> Interval:
    """Round a value to the digits that its interval deserves; the low end goes down, the high end up.

    Examples
    --------
    >>> rounded(Interval(12.66735, 12.61249, 12.72221), digits=2)
    Interval(value=12.667, low=12.612, high=12.723)
    """
    if not interval.half_width:
        exact = float(f"{interval.value:.{DIGITS_EXACT}g}")
        return Interval(exact, exact, exact)
    step = _step(interval, digits)
    return Interval(
        _to(interval.value, step, ROUND_HALF_EVEN),
        _to(interval.low, step, ROUND_FLOOR),
        _to(interval.high, step, ROUND_CEILING),
    )


def texts(interval: Interval, digits: int = DIGITS_ON_SCREEN) -> tuple[str, str, str]:
    """Give value, low and high end as they are printed, all with the same number of decimals."""
    if not interval.half_width:
        exact = f"{interval.value:.{DIGITS_EXACT_ON_SCREEN}g}"
        return exact, exact, exact
    decimals = max(0, -int(_step(interval, digits).as_tuple().exponent))
    shown = rounded(interval, digits)
    return f"{shown.value:.{decimals}f}", f"{shown.low:.{decimals}f}", f"{shown.high:.{decimals}f}"


def _step(interval: Interval, digits: int) -> Decimal:
    """Give the unit of the last digit to keep of a number that is not exact."""
    return Decimal(1).scaleb(floor(log10(interval.half_width)) - digits + 1)


def _to(number: float, step: Decimal, rounding: str) -> float:
    return float((Decimal(repr(number)) / step).to_integral_value(rounding) * step)
