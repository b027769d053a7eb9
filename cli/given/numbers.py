"""Numbers and lengths as people type them: ``12.5``, ``17mm``, ``1-5/8in``, ``17+-3mm``, ``3/cm``.

A plus-minus part is the half-width of a 95 % interval in the same unit. Where it is left out, a length takes
the doubt that a rule or a caliper has in practice (common practice, no source), and any other number half a
unit of the last digit typed, or of the fraction.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import isfinite
from typing import Final

from uncertainties import UFloat

from ...calc.facts import MM_PER_INCH, MM_PER_YARD
from ...calc.interval import from_half_width_95
from ...calc.quantity import Quantity
from ...calc.twist import per_cm
from ..trouble import WrongUsageError

#: Half-widths of the 95 % interval that a typed length has when it comes without one.
OFFSET_HALF_WIDTH_MM: Final = 2.0
NO_OFFSET_HALF_WIDTH_MM: Final = 5.0
#: A reference propped up level with a spindle by eye.
LEVEL_HALF_WIDTH_MM: Final = 3.0
BAND_HALF_WIDTH_MM: Final = 0.2
COIN_HALF_WIDTH_MM: Final = 0.1
DISTANCE_HALF_WIDTH_MM: Final = 0.5
#: Yarn between two clamps or two marks.
SPECIMEN_HALF_WIDTH_MM: Final = 1.0

MM_PER_UNIT: Final = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH}
#: Lengths of yarn are told in yards and feet too.
MM_OF_YARN: Final = {**MM_PER_UNIT, "yd": MM_PER_YARD, "ft": MM_PER_YARD / 3}

#: As rules in inches have it: ``3/32``, ``1 5/8`` or, where a space would need quotes, ``1-5/8``.
_FRACTION = r"(?:\d+(?:\s+|-))?\d+/0*[1-9]\d*"
_NUMBER = rf"[+-]?(?:{_FRACTION}|\d+(?:\.\d*)?|\.\d+)"
_TYPED = re.compile(
    rf"\s*(?P<value>{_NUMBER})\s*(?:(?:\+-|\+/-|±)\s*(?P<doubt>{_NUMBER})\s*)?(?P<unit>(?:[a-z/%][a-z0-9/]*)?)\s*",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class _Typed:
    """A number, its doubt where one was typed, its unit, and half a unit of its last digit."""

    value: float
    half_width: float | None
    unit: str
    half_digit: float


def length_mm(
    text: str, option: str, *, half_width_mm: float, example: str = "17mm", positive: bool = True
) -> UFloat:
    """Read a length such as ``17mm``, ``1.7cm``, ``0.5in`` or ``17+-3mm``.

    Parameters
    ----------
    text : str
        What was typed.
    option : str
        Where, for the error's text.
    half_width_mm : float
        Doubt (95 %) where none was typed.
    example : str
        A length that would do there.
    positive : bool
        Whether it must be above zero.

    Raises
    ------
    WrongUsageError
        If it is no length, or not above zero where it must be.
    """
    typed = _typed(text)
    expected = f"a length with its unit (mm, cm or in), such as {example}"
    if typed is None or typed.unit not in MM_PER_UNIT:
        raise _refused(option, text, expected)
    if positive and typed.value <= 0:
        raise _refused(option, text, f"a length above zero, such as {example}")
    scale = MM_PER_UNIT[typed.unit]
    half_width = half_width_mm if typed.half_width is None else typed.half_width * scale
    return from_half_width_95(typed.value * scale, half_width)


def plain_number(text: str, option: str, *, example: str) -> UFloat:
    """Read a number above zero without unit, such as ``12.5`` or ``12.5+-0.1``.

    Raises
    ------
    WrongUsageError
        If it is no such number.
    """
    typed = _typed(text)
    if typed is None or typed.unit or typed.value <= 0:
        raise _refused(option, text, f"a number above zero, such as {example}")
    _check_doubt(typed, option, text)
    return from_half_width_95(typed.value, _doubt(typed))


def drafting_cm_per_min(text: str, option: str) -> UFloat:
    """Read a drafting speed: the length of yarn made in a minute, such as ``150cm`` or ``2yd/min``.

    One by the hour is told by its unit, such as ``120yd/h``.

    Raises
    ------
    WrongUsageError
        If it is no length above zero.
    """
    scales = {unit: mm / 10 for unit, mm in MM_OF_YARN.items()}
    by_hour = {f"{unit}/h": cm / 60 for unit, cm in scales.items()}
    by_minute = {f"{unit}/min": cm for unit, cm in scales.items()}
    expected = "a length of yarn a minute, such as 150cm, 1.5m or 60in"
    return number_with_unit(text, option, {**scales, **by_minute, **by_hour}, expected=expected).number


def wished_twist_per_cm(text: str, option: str) -> float:
    """Read a wished twist such as ``3/cm`` or ``8/in``. A wish is exact.

    Raises
    ------
    WrongUsageError
        If it is no twist above zero.
    """
    typed = _typed(text)
    if typed is None or typed.unit not in ("/cm", "/in") or typed.value <= 0 or typed.half_width is not None:
        raise _refused(option, text, "turns per cm or per inch, such as 3/cm or 8/in")
    return float(typed.value if typed.unit == "/cm" else per_cm(typed.value))


@dataclass(frozen=True, slots=True)
class NumberWithUnit:
    """A number in the unit asked for, the unit in which it was typed, and whether it came with a doubt."""

    number: UFloat
    unit: str
    doubtful: bool

    @property
    def wished(self) -> Quantity:
        """The number as a wish, which is exact unless a doubt was typed."""
        return self.number if self.doubtful else float(self.number.nominal_value)


def number_with_unit(text: str, option: str, scales: Mapping[str, float], *, expected: str) -> NumberWithUnit:
    """Read a number above zero with one of several units.

    Parameters
    ----------
    text, option : str
        What was typed and where.
    scales : mapping of str to float
        By how much each unit, in small letters, is to be multiplied.
    expected : str
        For the error's text.

    Raises
    ------
    WrongUsageError
        If it is no such number.
    """
    typed = _typed(text)
    if typed is None or typed.unit not in scales or typed.value <= 0:
        raise _refused(option, text, expected)
    _check_doubt(typed, option, text)
    scale = scales[typed.unit]
    number = from_half_width_95(typed.value * scale, _doubt(typed) * scale)
    return NumberWithUnit(number, typed.unit, typed.half_width is not None)


def _check_doubt(typed: _Typed, option: str, text: str) -> None:
    """Refuse what may as well be nothing; a number without a typed doubt never is."""
    if typed.half_width is not None and typed.half_width >= typed.value:
        raise WrongUsageError(
            f"{option} got '{text}', whose doubt is as large as the number itself; measure it better."
        )


def _refused(option: str, text: str, expected: str) -> WrongUsageError:
    if re.search(r"\d,\d{3}(?!\d)", text):
        expected += ", with a point for decimals and nothing between thousands, 1400 or 1.4"
    elif re.search(r"\d,\d", text):
        expected += ", with a point in place of the comma"
    return WrongUsageError.of_option(option, text, expected)


def _typed(text: str) -> _Typed | None:
    match = _TYPED.fullmatch(text)
    if match is None:
        return None
    value, half_digit = _number(match["value"])
    doubt = None if match["doubt"] is None else _number(match["doubt"])[0]
    if not isfinite(value) or (doubt is not None and not 0 < doubt < float("inf")):
        return None
    return _Typed(value, doubt, match["unit"].lower(), half_digit)


def _number(text: str) -> tuple[float, float]:
    """Give a number, and half a unit of its last digit or of its fraction."""
    if "/" not in text:
        exponent = Decimal(text).as_tuple().exponent
        return float(text), float(Decimal(5).scaleb(int(exponent) - 1))
    *whole, part = re.split(r"[\s-]+", text.lstrip("+-"))
    size = Fraction(part) + sum(map(int, whole))
    return float(-size if text.startswith("-") else size), 0.5 / int(part.partition("/")[2])


def _doubt(typed: _Typed) -> float:
    return typed.half_digit if typed.half_width is None else typed.half_width
