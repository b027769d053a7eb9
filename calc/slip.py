"""Slip of the band: how far the flyer falls behind, on the whole and in the course of a clip.

The ratio without slip comes from a clip turned slowly by hand without yarn; the ratio at work from one made
while spinning. Both count turns, so their quotient knows no scale, no clock and no lens. Slip s is the share
that is missing: ratio at work = ratio without slip x (1 - s).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise
from typing import Final

from uncertainties import ufloat

from .facts import DOUBLE_DRIVE_SLIP_PERCENT, USUAL_SLIP_PERCENT
from .interval import Interval
from .parts import Drive
from .quantity import Quantity
from .ratios import slip_percent

#: Turned slowly by hand without yarn, a band slips by a few hundredths of a percent all the same; set from
#: clips with known truth (0.03 to 0.05 %).
BY_HAND_SLIP: Final = 0.0005
#: A stretch of the course is at least so many turns of the wheel long, and there are at most so many.
LEAST_TURNS: Final = 2.0
MOST_STRETCHES: Final = 8
#: Places of the turn at which the slip is told: what sways twice a turn shows in so many.
PLACES: Final = 12


@dataclass(frozen=True, slots=True)
class Stretch:
    """Slip over a part of the clip, in percent."""

    from_s: float
    to_s: float
    slip_percent: Quantity


@dataclass(frozen=True, slots=True)
class TurnPlace:
    """Slip in percent at an angle of the wheel, from its place in the first picture, anticlockwise."""

    at_deg: float
    slip_percent: Quantity


class SlipMeaning(Enum):
    """What a slip says of a wheel."""

    FASTER = "faster than the circles allow"
    NONE = "too little to be told from none"
    USUAL = "usual for a single band"
    GRIPS = "as little as of a single band, though in double drive"
    MUCH = "more than usual for a single band"
    HELD_BACK = "usual in double drive while yarn is held back"
    LAG = "how far the flyer lags where the bobbin leads"


def without_slip(by_hand: Quantity) -> Quantity:
    """Give the ratio without slip, from that of a clip turned by hand."""
    return by_hand * ufloat(1.0, BY_HAND_SLIP)


def slip_between(at_work: Quantity, by_hand: Quantity) -> Quantity:
    """Give the slip in percent at work, from the ratios of a clip at work and of one turned by hand.

    Examples
    --------
    >>> found = slip_between(ufloat(10.96, 0.002), ufloat(11.09, 0.004))
    >>> round(found.n, 2), round(found.s, 2)
    (1.17, 0.06)
    """
    return slip_percent(at_work, without_slip(by_hand))


def slip_course(
    times_s: Sequence[float],
    wheel_turns: Sequence[float],
    flyer_turns: Sequence[float],
    ratio_without_slip: Quantity,
    end_std_turns: float,
) -> tuple[Stretch, ...]:
    """Give the slip from stretch to stretch of a clip.

    Parameters
    ----------
    times_s, wheel_turns, flyer_turns : sequences of float
        Time, turns of the wheel and turns of the flyer, all rising; the same moments.
    ratio_without_slip : UFloat or float
        Its doubt moves all stretches together; between two of them it cancels, as correlated numbers show.
    end_std_turns : float
        Standard uncertainty (turns of the flyer) between two moments.

    Returns
    -------
    tuple of Stretch
        Empty where the wheel turns too little for two of them.
    """
    whole = wheel_turns[-1] - wheel_turns[0]
    count = min(MOST_STRETCHES, int(whole / LEAST_TURNS))
    if count < 2:
        return ()
    edges = [_first_at(wheel_turns, wheel_turns[0] + whole * part / count) for part in range(count + 1)]
    found = []
    for first, last in pairwise(edges):
        turned = ufloat(flyer_turns[last] - flyer_turns[first], end_std_turns)
        ratio = turned / (wheel_turns[last] - wheel_turns[first])
        found.append(Stretch(times_s[first], times_s[last], slip_percent(ratio, ratio_without_slip)))
    return tuple(found)


def slip_through_turn(
    sway_rad: Sequence[Quantity], at_work: Quantity, ratio_without_slip: Quantity
) -> tuple[TurnPlace, ...]:
    """Give the slip at places of the mean turn of the wheel.

    Parameters
    ----------
    sway_rad : sequence of UFloat
        By how much the flyer is ahead of an even course, over the wheel's angle a: cos a, sin a, cos 2a,
        sin 2a.
    at_work, ratio_without_slip : UFloat or float
        The doubt of either moves all places together; between two of them it cancels.

    Returns
    -------
    tuple of TurnPlace
        Empty where no sway is given. With F = ratio at work x a + sway(a), the slip is 1 - F'(a) / ratio
        without slip.

    Examples
    --------
    >>> places = slip_through_turn((0.0, 0.1, 0.0, 0.0), 9.9, 10.0)
    >>> [round(place.slip_percent, 2) for place in places[::3]]
    [0.0, 1.0, 2.0, 1.0]
    """
    if not sway_rad:
        return ()
    found = []
    for place in range(PLACES):
        angle = 2 * math.pi * place / PLACES
        faster: Quantity = 0.0
        for times in range(1, len(sway_rad) // 2 + 1):
            along, across = sway_rad[2 * times - 2 : 2 * times]
            faster += times * (across * math.cos(times * angle) - along * math.sin(times * angle))
        found.append(TurnPlace(360.0 * place / PLACES, 100 * (1 - (at_work + faster) / ratio_without_slip)))
    return tuple(found)


def _first_at(turns: Sequence[float], wanted: float) -> int:
    """Place of the first moment at which so many turns are made."""
    return next((place for place, made in enumerate(turns) if made >= wanted - 1e-9), len(turns) - 1)


def slip_meaning(slip: Interval, drive: Drive = "flyer-led") -> SlipMeaning:
    """Say what a slip in percent means for a kind of drive.

    Examples
    --------
    >>> slip_meaning(Interval(1.2, 1.1, 1.3)).value
    'usual for a single band'
    >>> slip_meaning(Interval(25.0, 24.0, 26.0), "double").value
    'usual in double drive while yarn is held back'
    """
    low, high = DOUBLE_DRIVE_SLIP_PERCENT
    if slip.high < 0:
        return SlipMeaning.FASTER
    if drive == "bobbin-led":
        return SlipMeaning.LAG
    if slip.low <= 0:
        return SlipMeaning.NONE
    if slip.value <= USUAL_SLIP_PERCENT[1]:
        return SlipMeaning.GRIPS if drive == "double" else SlipMeaning.USUAL
    if drive == "double" and low <= slip.value <= high:
        return SlipMeaning.HELD_BACK
    return SlipMeaning.MUCH
