"""Figures taken by hand, as people type them: ``rim=450mm``, ``small/groove=27.3mm``, ``10:109``."""

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal, TypeAlias, get_args

from uncertainties import UFloat

from ...calc.hand_figures import (
    CALLIPER_HALF_WIDTH_MM,
    RULE_HALF_WIDTH_MM,
    STRING_HALF_WIDTH_MM,
    judged_turns,
    stopped_turns,
    whole_turns,
)
from ...calc.wheel import WHEEL
from ..keep.kept import UNNAMED_WHIRL
from ..trouble import WrongUsageError
from .numbers import length_mm, plain_number
from .whirl import whirl_label

#: The word for the drive wheel where a place on it is named.
RIM: Final = "rim"
#: Where on a wheel or whirl: its edge, the bottom of its groove, or the band that lies in it.
Spot: TypeAlias = Literal["edge", "groove", "band"]

PLACES: Final = (
    "a place and a length, such as rim=450mm, rim/groove=442mm, small=37mm (the edge of the whirl small), "
    "small/groove=27mm or small/band=33mm (over the band that lies in it)"
)
TURNS: Final = (
    "turns of the wheel and of the flyer, such as 10:109 (whole turns), 10:109.5 (the rest judged by eye) or "
    "small=10:109"
)
_COUNT = re.compile(
    r"(?P<whole>\d+)(?:\s+(?P<part>\d+/[1-9]\d*)|(?P<decimals>\.\d*))?(?P<doubt>\s*(?:\+-|\+/-|±).+)?"
)


@dataclass(frozen=True, slots=True)
class Place:
    """A place on the drive wheel (``part`` is ``"wheel"``) or on a whirl."""

    part: str
    spot: Spot


@dataclass(frozen=True, slots=True)
class Counted:
    """Turns that were counted side by side."""

    whirl: str
    wheel_turns: UFloat
    flyer_turns: UFloat


def lengths_across(texts: list[str]) -> dict[Place, UFloat]:
    """Read what was measured across with a calliper or rule.

    Raises
    ------
    WrongUsageError
        If one is no place and length, or a place is named twice.
    """

    def half_width_mm(place: Place) -> float:
        return RULE_HALF_WIDTH_MM if place.part == WHEEL else CALLIPER_HALF_WIDTH_MM

    found: dict[Place, UFloat] = {}
    for text in texts:
        place, length = _split(text, "--across")
        if place in found:
            raise _twice("--across", text)
        found[place] = length_mm(length, "--across", half_width_mm=half_width_mm(place), example="rim=450mm")
    return found


def lengths_around(texts: list[str]) -> dict[Place, UFloat]:
    """Read the lengths of strings that were laid once round.

    Raises
    ------
    WrongUsageError
        If one is no place and length, or a place is named twice.
    """
    found: dict[Place, UFloat] = {}
    for text in texts:
        place, length = _split(text, "--around")
        if place in found:
            raise _twice("--around", text)
        found[place] = length_mm(length, "--around", half_width_mm=STRING_HALF_WIDTH_MM, example="rim=1412mm")
    return found


def _split(text: str, option: str) -> tuple[Place, str]:
    named, equals, length = text.rpartition("=")
    name, slash, spot_word = named.rpartition("/")
    if not slash:
        name, spot_word = spot_word, "edge"
    spot = next((each for each in get_args(Spot) if each == spot_word.strip().lower()), None)
    if not equals or spot is None:
        raise WrongUsageError.of_option(option, text, PLACES)
    return Place(WHEEL if name.strip().lower() == RIM else _label(name, option, text, PLACES), spot), length


def _label(name: str, option: str, text: str, expected: str) -> str:
    try:
        label = whirl_label(name)
    except WrongUsageError:
        label = None
    if label is None:
        raise WrongUsageError.of_option(option, text, expected)
    return label


def _twice(option: str, text: str) -> WrongUsageError:
    return WrongUsageError(
        f"{option} got '{text}', but that place was told already; note each way of measuring it with a "
        "command of its own, so that they can be compared."
    )


def counted_turns(texts: list[str]) -> list[Counted]:
    """Read turns of wheel and flyer that were counted side by side.

    Raises
    ------
    WrongUsageError
        If one is no pair of turns, or a whirl is named twice.
    """
    found: list[Counted] = []
    for text in texts:
        name, _, turns = text.rpartition("=")
        wheel, colon, flyer = turns.partition(":")
        if not colon:
            raise WrongUsageError.of_option("--turns", text, TURNS)
        label = _label(name, "--turns", text, TURNS) if name else UNNAMED_WHIRL
        if label in [each.whirl for each in found]:
            raise _twice("--turns", text)
        found.append(Counted(label, _wheel_turns(wheel, text), _flyer_turns(flyer.strip(), text)))
    return found


def _wheel_turns(turns: str, text: str) -> UFloat:
    told = re.fullmatch(r"\s*(\d+(?:\.\d*)?)\s*", turns)
    if told is None or float(told[1]) < 1:
        raise WrongUsageError.of_option("--turns", text, TURNS)
    return stopped_turns(float(told[1]))


def _flyer_turns(turns: str, text: str) -> UFloat:
    told = _COUNT.fullmatch(turns)
    if told is None or int(told["whole"]) < 1:
        raise WrongUsageError.of_option("--turns", text, TURNS)
    if told["doubt"]:
        return plain_number(turns, "--turns", example="10:109.5+-0.3")
    if told["decimals"]:
        return judged_turns(float(turns))
    if told["part"]:
        return judged_turns(float(int(told["whole"]) + Fraction(told["part"])))
    return whole_turns(int(told["whole"]))
