"""A wheel's parts as people type them: ``lace: small, large``, ``linen: 2.4mm, hemp``."""

from typing import Final

from uncertainties import UFloat

from ...calc.interval import Interval, interval_95
from ...calc.parts import DRIVES, Band, Bobbin, Drive, Flyer, Head, Whirl
from ..trouble import WrongUsageError
from .numbers import BAND_HALF_WIDTH_MM, length_mm
from .whirl import whirl_label

#: The word for a drive that nobody knows.
UNKNOWN: Final = "unknown"
WHIRL: Final = "a whirl's name, with its grooves where it has several, such as 'lace: small, large'"
FLYER: Final = "a flyer's name, with the whirls that fit on it, such as 'standard: lace, plain'"
BOBBIN: Final = (
    "a bobbin's name, with the whirl on it where the band runs over it, such as 'jumbo: bobbin whirl'"
)
HEAD: Final = "a head's name, with the whirls on it that the great wheel's band turns, such as 'quick: small'"
BAND: Final = "a band's name, with its thickness and what it is made of, such as 'old: 2.4mm, linen'"


def drive_word(text: str) -> Drive | None:
    """Read how a wheel is driven.

    Raises
    ------
    WrongUsageError
        If it is no way to drive one.
    """
    word = text.strip().lower()
    if word == UNKNOWN:
        return None
    drive = next((each for each in DRIVES if each == word), None)
    if drive is None:
        raise WrongUsageError.of_option(
            "--drive",
            text,
            "flyer-led or bobbin-led (one band, round the flyer's whirl or the bobbin's), double (a band "
            "twice round, over both) or unknown",
        )
    return drive


def whirl_part(text: str) -> Whirl:
    """Read a whirl and its grooves.

    Raises
    ------
    WrongUsageError
        If there is no name in it.
    """
    name, steps = _named(text, "--whirl", WHIRL)
    return Whirl(name, steps)


def flyer_part(text: str) -> Flyer:
    """Read a flyer and the whirls that fit on it.

    Raises
    ------
    WrongUsageError
        If there is no name in it.
    """
    name, whirls = _named(text, "--flyer", FLYER)
    return Flyer(name, whirls)


def bobbin_part(text: str) -> Bobbin:
    """Read a bobbin and the whirls on it.

    Raises
    ------
    WrongUsageError
        If there is no name in it.
    """
    name, whirls = _named(text, "--bobbin", BOBBIN)
    return Bobbin(name, whirls)


def head_part(text: str) -> Head:
    """Read an accelerating head and the whirls on it.

    Raises
    ------
    WrongUsageError
        If there is no name in it.
    """
    name, whirls = _named(text, "--head", HEAD)
    return Head(name, whirls)


def band_part(text: str) -> Band:
    """Read a band with its thickness and what it is made of; either may be left out.

    Raises
    ------
    WrongUsageError
        If there is no name in it, or more than that.
    """
    name, told = _named(text, "--band", BAND)
    if len(told) > 2:
        raise WrongUsageError.of_option("--band", text, BAND)
    if not told:
        return Band(name)
    first, *more = told
    if not first[0].isdigit() and not first.startswith("."):
        if more:
            raise WrongUsageError.of_option("--band", text, BAND)
        return Band(name, None, first)
    thickness: UFloat = length_mm(first, "--band", half_width_mm=BAND_HALF_WIDTH_MM, example="old: 2.4mm")
    ends = interval_95(thickness)
    interval = Interval(*(round(each, 6) for each in (ends.value, ends.low, ends.high)))
    if interval.low <= 0:
        raise WrongUsageError.of_option("--band", text, "a thickness that is surely above zero")
    return Band(name, interval, more[0] if more else "")


def _named(text: str, option: str, expected: str) -> tuple[str, tuple[str, ...]]:
    """Split ``name: one, other``; every word is a name of its own."""
    name, colon, rest = text.partition(":")
    try:
        label = whirl_label(name)
        words = tuple(whirl_label(each) or "" for each in rest.split(",")) if colon else ()
    except WrongUsageError as problem:
        raise WrongUsageError.of_option(option, text, expected) from problem
    if label is None or len(set(words)) < len(words):
        raise WrongUsageError.of_option(option, text, expected)
    return label, words
