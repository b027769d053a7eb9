"""Yarn as people type it: ``1400yd/lb``, ``300m/100g``, ``30tex``; twists, lengths, times and shares."""

from dataclasses import dataclass
from typing import Final

from uncertainties import UFloat

from ...calc.facts import CM_PER_INCH
from ...calc.interval import interval_95
from ...calc.quantity import Quantity
from ...calc.yarn import tex_from_wraps
from ...calc.yarn_counts import CountSystem, tex_of
from ...calc.yarn_facts import TWIST_USES, TwistUse
from ..trouble import WrongUsageError
from .numbers import MM_OF_YARN, NumberWithUnit, number_with_unit

#: As typed, in small letters: the system, and how many of its units one of these is.
COUNTS: Final[dict[str, tuple[CountSystem, float]]] = {
    "yd/lb": ("yd/lb", 1.0),
    "ypp": ("yd/lb", 1.0),
    "m/100g": ("m/100g", 1.0),
    "m/50g": ("m/100g", 2.0),
    "m/g": ("m/g", 1.0),
    "tex": ("tex", 1.0),
    "dtex": ("dtex", 1.0),
    "den": ("den", 1.0),
    "ne": ("Ne", 1.0),
    "nm": ("Nm", 1.0),
    "worsted": ("worsted", 1.0),
    "run": ("run", 1.0),
    "lea": ("lea", 1.0),
}
COUNT_EXPECTED: Final = (
    "a yarn's count such as 1400yd/lb, 300m/100g, 70tex, 8Ne, 14Nm, 12worsted, 3run or 28lea"
)
#: Units that belong to pounds and inches; who types them is shown them.
IMPERIAL: Final = frozenset(
    {"yd/lb", "ypp", "ne", "worsted", "run", "lea", "in", "/in", "yd", "ft", "yd/min", "yd/h", "in/min"}
)


@dataclass(frozen=True, slots=True)
class GivenCount:
    """A yarn's count: its tex, and the unit in which it was typed."""

    tex: Quantity
    unit: str


def yarn_count(text: str, option: str) -> GivenCount:
    """Read a yarn's count. A count without a doubt is a wish and exact.

    Raises
    ------
    WrongUsageError
        If it is none.
    """
    scales = {unit: many for unit, (_, many) in COUNTS.items()}
    typed = number_with_unit(text, option, scales, expected=COUNT_EXPECTED)
    return GivenCount(tex_of(typed.wished, COUNTS[typed.unit][0]), typed.unit)


def tex_of_wraps(text: str, option: str) -> GivenCount:
    """Read wraps on a ruler such as ``14/in`` and guess the yarn's count from them.

    Raises
    ------
    WrongUsageError
        If it is no such number, or so doubtful that the count has no lower bound.
    """
    expected = "wraps on a ruler such as 14/in or 5.5/cm"
    typed = number_with_unit(text, option, {"/in": 1.0, "/cm": CM_PER_INCH}, expected=expected)
    guess = tex_from_wraps(typed.number, "on a ruler")
    if interval_95(guess).low <= 0:
        raise WrongUsageError(f"{option} got '{text}', which is too doubtful to tell anything; count again.")
    return GivenCount(guess, typed.unit)


def twist_given(text: str, option: str) -> NumberWithUnit:
    """Read a twist in turns per cm, such as ``3/cm``, ``8/in`` or ``8+-1/in``.

    Raises
    ------
    WrongUsageError
        If it is none.
    """
    expected = "turns per cm or per inch, such as 3/cm or 8/in"
    return number_with_unit(text, option, {"/cm": 1.0, "/in": 1 / CM_PER_INCH}, expected=expected)


def yarn_length_m(text: str, option: str) -> NumberWithUnit:
    """Read a length of yarn in m, such as ``1200yd`` or ``1100m``.

    Raises
    ------
    WrongUsageError
        If it is none.
    """
    scales = {unit: mm / 1000 for unit, mm in MM_OF_YARN.items()}
    return number_with_unit(text, option, scales, expected="a length of yarn, such as 1200yd or 1100m")


def short_length_cm(text: str, option: str, *, example: str) -> NumberWithUnit:
    """Read a length between the hands in cm, such as ``60cm`` or ``24in``.

    Raises
    ------
    WrongUsageError
        If it is none.
    """
    scales = {unit: mm / 10 for unit, mm in MM_OF_YARN.items()}
    return number_with_unit(text, option, scales, expected=f"a length, such as {example}")


def seconds(text: str, option: str) -> UFloat:
    """Read a short time, such as ``5s`` or ``0.5min``.

    Raises
    ------
    WrongUsageError
        If it is none.
    """
    return number_with_unit(text, option, {"s": 1.0, "min": 60.0}, expected="a time, such as 5s").number


def share(text: str, option: str) -> Quantity:
    """Read a share such as ``10%``, ``10+-5%`` or just ``10`` as a number from 0 to 1.

    Raises
    ------
    WrongUsageError
        If it is none, or not below 100 %.
    """
    expected = "a share below 100 %, such as 10%"
    if text.strip() in ("0", "0%"):
        return 0.0
    found = number_with_unit(text, option, {"%": 0.01, "": 0.01}, expected=expected).wished
    if interval_95(found).high >= 1:
        raise WrongUsageError.of_option(option, text, expected)
    return found


def twist_use(fibre: str, use: str) -> TwistUse:
    """Find the usual twist for a fibre and a use.

    Raises
    ------
    WrongUsageError
        If there is none; the message lists those that there are.
    """
    found = next((each for each in TWIST_USES if (each.fibre, each.use) == (fibre, use)), None)
    if found is None:
        known = ", ".join(
            f"{each.fibre} {each.use}" for each in TWIST_USES if each.fibre in ("wool", "cotton")
        )
        raise WrongUsageError(
            f"--fibre {fibre} --use {use} is not known here; known are {known}, and most of these for long "
            "cotton and short cotton."
        )
    return found
