"""What a person types about wheels to reckon with: ranges, named ratios, grooves and their shapes."""

import re
from collections.abc import Sequence
from typing import Final

from uncertainties import UFloat

from ...calc.comparing import Stretch
from ...calc.groove import GrooveShape
from ...calc.interval import from_half_width_95, interval_95
from ...calc.ladder import CadenceRange, ratio_of_stages
from ...calc.quantity import Quantity
from ..trouble import WrongUsageError
from .numbers import length_mm, plain_number

#: Half-widths of the 95 % interval of a typed length that comes without one (common practice, no source): a
#: groove by calliper, a wheel and the distance to its spindle by tape, a knot by eye.
GROOVE_HALF_WIDTH_MM: Final = 0.3
WHEEL_GROOVE_HALF_WIDTH_MM: Final = 2.0
APART_HALF_WIDTH_MM: Final = 3.0
KNOT_HALF_WIDTH_MM: Final = 10.0
#: Rubber on dry wood stays below 1 (from memory); a number above this is something else.
MOST_FRICTION: Final = 2.0

_RANGE = re.compile(r"\s*(\d+(?:\.\d+)?)\s*-\s*(\d+(?:\.\d+)?)\s*")
#: A number that carries its doubt.
_DOUBTFUL = re.compile(r"\+-|\+/-|±")
_V = re.compile(r"v(?P<angle>\d+(?:\.\d+)?)?(?:,(?P<flat>.+))?", re.IGNORECASE)


def ratio_range(text: str, option: str) -> Stretch:
    """Read a range of ratios such as ``6-18``.

    Raises
    ------
    WrongUsageError
        If it is none.
    """
    match = _RANGE.fullmatch(text)
    if match is None or not 0 < float(match[1]) < float(match[2]):
        raise WrongUsageError.of_option(
            option, text, "a range from a lower ratio to a higher one, such as 6-18"
        )
    return float(match[1]), float(match[2])


def cadence_range(text: str, option: str) -> CadenceRange:
    """Read a cadence such as ``60``, or the range that feet keep in comfort, such as ``55-70``.

    Raises
    ------
    WrongUsageError
        If it is none.
    """
    match = _RANGE.fullmatch(text)
    if match is not None and 0 < float(match[1]) <= float(match[2]):
        return CadenceRange(float(match[1]), float(match[2]))
    if _DOUBTFUL.search(text):
        ends = interval_95(plain_number(text, option, example="60+-5"))
        if ends.low > 0:
            return CadenceRange(ends.low, ends.high)
    if match is not None or not re.fullmatch(r"\s*\d+(\.\d+)?\s*", text) or float(text) <= 0:
        raise WrongUsageError.of_option(
            option, text, "turns of the wheel a minute, such as 60, or from slow to fast, such as 55-70"
        )
    return CadenceRange(float(text), float(text))


def cadence_per_min(text: str, option: str) -> UFloat:
    """Read a cadence such as ``60`` or ``60+-5``; between ``55-65`` it may be anything (95 %).

    Raises
    ------
    WrongUsageError
        If it is none.
    """
    match = _RANGE.fullmatch(text)
    if match is not None and 0 < float(match[1]) < float(match[2]):
        slowest, fastest = float(match[1]), float(match[2])
        return from_half_width_95((slowest + fastest) / 2, (fastest - slowest) / 2)
    return plain_number(text, option, example="65")


def ratio_typed(text: str, option: str) -> Quantity:
    """Read a ratio such as ``12.5`` or ``12.5+-0.1``, or one of two stages such as ``12x6``.

    Raises
    ------
    WrongUsageError
        If it is none.
    """
    parts = text.split("x")
    stages = parts if all(map(str.strip, parts)) else [text]
    return ratio_of_stages([plain_number(s, option, example="12.5, or 12x6 for two stages") for s in stages])


def named_ratios(texts: Sequence[str], option: str, taken: Sequence[str] = ()) -> dict[str, Quantity]:
    """Read ratios such as ``12.5`` or ``small=12.5``, each with a name of its own.

    Raises
    ------
    WrongUsageError
        If one is none, or two have one name.
    """
    ratios: dict[str, Quantity] = {}
    for text in texts:
        name, named, number = text.rpartition("=")
        label = " ".join((name if named else number).split())
        if not label or not label.isprintable() or label in ratios or label in taken:
            raise WrongUsageError(
                f"{option} got '{text}' but expects a name of its own for each whirl, such as small=12.5."
            )
        ratios[label] = ratio_typed(number, option)
    return ratios


def wheel_typed(text: str, option: str) -> tuple[str, dict[str, Quantity]]:
    """Read a wheel that has no file, such as ``maple=6,9,12.5``: its name and its ratios.

    Raises
    ------
    WrongUsageError
        If it is none.
    """
    name, _, numbers = text.partition("=")
    name = " ".join(name.split())
    if not name or not name.isprintable() or not numbers.strip():
        raise WrongUsageError.of_option(option, text, "a wheel's name and its ratios, such as maple=6,9,12.5")
    return name, named_ratios([part.strip() for part in numbers.split(",")], option)


def groove_mm(text: str, option: str) -> UFloat:
    """Read the diameter of a whirl's groove such as ``41.5mm`` or ``1.63in``.

    Raises
    ------
    WrongUsageError
        If it is no length above zero.
    """
    return length_mm(text, option, half_width_mm=GROOVE_HALF_WIDTH_MM, example="41.5mm or 1.63in")


def wheel_groove_mm(text: str, option: str) -> UFloat:
    """Read the diameter of a drive wheel in its groove such as ``556mm`` or ``21.9in``.

    Raises
    ------
    WrongUsageError
        If it is no length above zero.
    """
    return length_mm(text, option, half_width_mm=WHEEL_GROOVE_HALF_WIDTH_MM, example="556mm or 21.9in")


def named_grooves_mm(texts: Sequence[str], option: str) -> dict[str, Quantity]:
    """Read diameters such as ``41.5mm`` or ``small=41.5mm``, each with a name of its own.

    Raises
    ------
    WrongUsageError
        If one is none, or two have one name.
    """
    grooves: dict[str, Quantity] = {}
    for text in texts:
        name, named, size = text.rpartition("=")
        label = " ".join((name if named else size if len(texts) > 1 else "whirl").split())
        if not label or not label.isprintable() or label in grooves:
            raise WrongUsageError(
                f"{option} got '{text}' but expects a name of its own for each whirl, such as small=41.5mm."
            )
        grooves[label] = groove_mm(size, option)
    return grooves


def groove_shape(text: str, option: str) -> GrooveShape:
    """Read a groove's shape: ``u``, ``v`` (60 degrees), ``v90``, or ``v60,1mm`` with a flat bottom.

    Raises
    ------
    WrongUsageError
        If it is none.
    """
    if text.strip().lower() == "u":
        return GrooveShape("u")
    match = _V.fullmatch(text.strip())
    if match is None:
        raise WrongUsageError.of_option(
            option, text, "u, or v with its angle, such as v60, and the width of a flat bottom, v60,1mm"
        )
    flat_mm = 0.0
    if match["flat"]:
        flat_mm = float(length_mm(match["flat"], option, half_width_mm=1.0, example="v60,1mm").nominal_value)
    try:
        return GrooveShape("v", float(match["angle"] or 60.0), flat_mm)
    except ValueError as problem:
        raise WrongUsageError(f"{option} got '{text}', but {problem}.") from problem


def friction(text: str, option: str) -> UFloat:
    """Read a coefficient of friction such as ``0.3`` or ``0.3+-0.1``.

    Raises
    ------
    WrongUsageError
        If it is none, or more than any band has.
    """
    number = plain_number(text, option, example="0.3+-0.1")
    if number.nominal_value > MOST_FRICTION:
        raise WrongUsageError.of_option(option, text, f"a friction below {MOST_FRICTION:g}, such as 0.3+-0.1")
    return number


def percent(text: str, option: str, *, example: str, zero_too: bool = False) -> UFloat | float:
    """Read a percentage such as ``1``, ``1%`` or ``1+-0.5``.

    Raises
    ------
    WrongUsageError
        If it is none, or 100 or more.
    """
    bare = text.strip().removesuffix("%")
    if zero_too and re.fullmatch(r"\s*0+(\.0*)?\s*", bare):
        return 0.0
    number = plain_number(bare, option, example=example)
    if number.nominal_value >= 100:
        raise WrongUsageError.of_option(option, text, f"a percentage below 100, such as {example}")
    return number
