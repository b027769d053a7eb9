"""Numbers in the units that the person prefers: metric or imperial, one at a time."""

import re
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from math import floor, log10
from typing import Final, Literal, TypeAlias

from ...calc.facts import MM_PER_INCH, MM_PER_YARD
from ...calc.interval import Interval, interval_95
from ...calc.quantity import Quantity
from ...calc.yarn_counts import CountSystem, count_of
from ..given.yarn import IMPERIAL
from .answer import between
from .rounding import DIGITS_ON_SCREEN, rounded, texts

Units: TypeAlias = Literal["metric", "imperial"]
Kind: TypeAlias = Literal["twist", "hand", "yarn", "speed", "pace", "small", "weight"]

_CM_PER_IN, _YD_PER_M = MM_PER_INCH / 10, 1000 / MM_PER_YARD
#: For each kind of number as it is reckoned (turns/cm, cm, m, cm/min, m/h, mm, g): factor and unit to show.
_SHOWN: Final[dict[Kind, dict[Units, tuple[float, str]]]] = {
    "twist": {"metric": (1.0, "/cm"), "imperial": (_CM_PER_IN, "/in")},
    "hand": {"metric": (1.0, "cm"), "imperial": (1 / _CM_PER_IN, "in")},
    "yarn": {"metric": (1.0, "m"), "imperial": (_YD_PER_M, "yd")},
    "speed": {"metric": (1.0, "cm/min"), "imperial": (1 / _CM_PER_IN, "in/min")},
    "pace": {"metric": (1.0, "m/h"), "imperial": (_YD_PER_M, "yd/h")},
    "small": {"metric": (1.0, "mm"), "imperial": (1 / MM_PER_INCH, "in")},
    "weight": {"metric": (1.0, "g"), "imperial": (1 / 28.349523125, "oz")},
}
#: Longer names of whirls are shortened.
LONGEST_NAME: Final = 12
_COUNT: Final[dict[Units, CountSystem]] = {"metric": "m/100g", "imperial": "yd/lb"}


def preferred(asked: Units | None, *typed_units: str) -> Units:
    """Give the units asked for; else imperial if anything was typed in it, else metric.

    Examples
    --------
    >>> preferred(None, "yd/lb"), preferred(None, "/cm"), preferred("metric", "/in")
    ('imperial', 'metric', 'metric')
    """
    if asked is not None:
        return asked
    return "imperial" if any(unit in IMPERIAL for unit in typed_units) else "metric"


def units_typed(*texts_typed: str | None) -> list[str]:
    """List the units at the ends of what was typed; what was left out has none.

    Examples
    --------
    >>> units_typed("3.0/in", "1-5/8in", "300m/100g", None)
    ['/in', 'in', 'm/100g']
    """
    unit = re.compile(r"(?:/(?!\d)|[a-z%])[a-z0-9/%]*\s*$", re.IGNORECASE)
    found = (unit.search(text or "") for text in texts_typed)
    return [match[0].strip().lower() for match in found if match]


def amount(quantity: Quantity, kind: Kind, units: Units) -> tuple[Interval, str]:
    """Give a number's interval and unit as they are to be shown."""
    factor, unit = _SHOWN[kind][units]
    return interval_95(quantity * factor), unit


def said(quantity: Quantity, kind: Kind, units: Units) -> str:
    """Write a number with its interval and unit, for a sentence."""
    interval, unit = amount(quantity, kind, units)
    return between(interval, f"turns{unit}" if kind == "twist" else unit)


def count_unit(units: Units) -> CountSystem:
    """Give the count in which a yarn is told."""
    return _COUNT[units]


def count_amount(tex: Quantity, units: Units) -> tuple[Interval, str]:
    """Give a yarn's count and its unit as they are to be shown."""
    return interval_95(count_of(tex, _COUNT[units])), _COUNT[units]


def plus_minus(interval: Interval, digits: int = DIGITS_ON_SCREEN) -> str:
    """Write a number in a table: ``5.62 +-0.12``, or bare where it is exact to what is shown.

    Examples
    --------
    >>> plus_minus(Interval(5.618, 5.5, 5.736)), plus_minus(Interval(3.0, 3.0, 3.0))
    ('5.62 +-0.12', '3')
    """
    value, _, _ = texts(interval, digits)
    if not interval.half_width:
        return f"{interval.value:.4g}"
    decimals = len(value.partition(".")[2])
    shown = rounded(interval, digits)
    return f"{value} +-{max(shown.high - shown.value, shown.value - shown.low):.{decimals}f}"


def to(interval: Interval, digits: int = 3) -> str:
    """Write a range in a table: ``1200 to 1800``, both ends to a few digits, outward.

    Examples
    --------
    >>> to(Interval(1.0, 0.96, 1.231))
    '0.960 to 1.24'
    """
    low = few_digits(interval.low, digits, ROUND_FLOOR)
    return f"{low} to {few_digits(interval.high, digits, ROUND_CEILING)}"


def few_digits(number: float, digits: int, rounding: str = ROUND_HALF_EVEN) -> str:
    """Write a number to so many digits, without an exponent.

    Examples
    --------
    >>> few_digits(1234.0, 2), few_digits(0.01234, 2)
    ('1200', '0.012')
    """
    if not number:
        return "0"
    step = Decimal(1).scaleb(floor(log10(abs(number))) - digits + 1)
    shown = (Decimal(repr(float(number))) / step).to_integral_value(rounding) * step
    return f"{shown:.{max(0, -int(step.as_tuple().exponent))}f}"


def short_name(label: str) -> str:
    """Shorten a whirl's name for a table or a plot.

    Examples
    --------
    >>> short_name("small"), short_name("the one from the attic")
    ('small', 'the one fro~')
    """
    return label if len(label) <= LONGEST_NAME else f"{label[: LONGEST_NAME - 1]}~"
