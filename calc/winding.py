"""Winding on: what bobbin and flyer do to the twist while yarn goes on to the bobbin.

Yarn lies on the bobbin by the difference of two speeds. If bobbin and flyer turn together nothing is wound;
each turn by which one gains on the other lays one wrap, pi x the diameter to which the bobbin is filled:

    wound length = pi x bobbin diameter x |bobbin turns - flyer turns|

Every turn of the flyer puts one turn of twist into the yarn before it, whatever the bobbin does. All counts
here are turns for one turn of the drive wheel, so the cadence falls out of every twist. Three drives differ
in which of the two the band turns:

flyer-led
    The band turns the flyer, a brake holds the bobbin back. The flyer's turns are given.
bobbin-led
    The band turns the bobbin, a brake holds the flyer back. The yarn drags the flyer along; it lags by one
    turn for each wrap, so each wrap costs one turn of twist.
double
    The band turns both, the bobbin faster. Let go, the yarn is drawn in at the difference of the two ratios.
    Held back, bobbin and flyer turn together and one groove must slip; it is taken to be the bobbin's, whose
    smaller whirl the band grips less. If the flyer's slips instead, all twist put in while holding back is
    higher by bobbin ratio over flyer ratio.
"""

from dataclasses import dataclass
from math import pi
from typing import Final, TypeAlias

from uncertainties import nominal_value

from .quantity import Quantity

MM_PER_CM: Final = 10.0


@dataclass(frozen=True, slots=True)
class FlyerLed:
    """A wheel whose band turns the flyer, ``ratio`` times for one turn of the wheel."""

    ratio: Quantity


@dataclass(frozen=True, slots=True)
class BobbinLed:
    """A wheel whose band turns the bobbin, ``ratio`` times for one turn of the wheel."""

    ratio: Quantity


@dataclass(frozen=True, slots=True)
class DoubleDrive:
    """A wheel whose band turns flyer and bobbin.

    Raises
    ------
    ValueError
        If the bobbin is not the faster one: then nothing would be wound on.
    """

    flyer_ratio: Quantity
    bobbin_ratio: Quantity

    def __post_init__(self) -> None:
        if not nominal_value(self.bobbin_ratio) > nominal_value(self.flyer_ratio):
            raise ValueError(
                f"in double drive the bobbin must turn faster than the flyer, but its ratio is "
                f"{nominal_value(self.bobbin_ratio):g} and the flyer's {nominal_value(self.flyer_ratio):g}"
            )


Drive: TypeAlias = FlyerLed | BobbinLed | DoubleDrive


def wound_length_cm(bobbin_mm: Quantity, bobbin_turns: Quantity, flyer_turns: Quantity) -> Quantity:
    """Give the yarn that is wound on; below zero where the flyer turned more often than the bobbin.

    Examples
    --------
    >>> round(wound_length_cm(30.0, 14.0, 10.0), 2)
    37.7
    """
    return pi * bobbin_mm / MM_PER_CM * (bobbin_turns - flyer_turns)


def wraps_per_cm(bobbin_mm: Quantity) -> Quantity:
    """Give the wraps round the bobbin that 1 cm of yarn makes: 1 / (pi d)."""
    return MM_PER_CM / (pi * bobbin_mm)


def held_turns(drive: Drive) -> Quantity:
    """Give the flyer's turns for one of the wheel while yarn is held and none is wound on."""
    match drive:
        case FlyerLed(ratio) | BobbinLed(ratio):
            return ratio
        case DoubleDrive(flyer_ratio, _):
            return flyer_ratio


def draw_in_cm(drive: Drive, bobbin_mm: Quantity) -> Quantity:
    """Give the most yarn that the wheel draws in during one of its turns.

    With a brake that is when the braked one stands still: pi d x ratio. In double drive it is what is always
    drawn in when nobody holds back, pi d x (bobbin ratio - flyer ratio).
    """
    match drive:
        case FlyerLed(ratio) | BobbinLed(ratio):
            return wound_length_cm(bobbin_mm, ratio, 0.0)
        case DoubleDrive(flyer_ratio, bobbin_ratio):
            return wound_length_cm(bobbin_mm, bobbin_ratio, flyer_ratio)


def twist_while_winding_per_cm(drive: Drive, bobbin_mm: Quantity) -> Quantity:
    """Give the twist that goes in while yarn is wound on as fast as the wheel draws it in.

    Flyer-led, one turn a wrap; bobbin-led none, as the flyer stands. In double drive
    flyer ratio / (pi d (bobbin ratio - flyer ratio)): with pitch diameters b and f of the two whirls that is
    b / (pi d (f - b)), so the drive wheel falls out too.
    """
    match drive:
        case FlyerLed():
            return wraps_per_cm(bobbin_mm)
        case BobbinLed():
            return 0.0 * wraps_per_cm(bobbin_mm)
        case DoubleDrive(flyer_ratio, bobbin_ratio):
            return wraps_per_cm(bobbin_mm) * flyer_ratio / (bobbin_ratio - flyer_ratio)


def twist_while_drafting_per_cm(drive: Drive, drafted_cm: Quantity, bobbin_mm: Quantity) -> Quantity:
    """Give the twist of yarn that is wound on as it is drafted, ``drafted_cm`` for one turn of the wheel.

    Flyer-led and double: ratio / drafted length. Bobbin-led: the same less one turn a wrap.

    Raises
    ------
    ValueError
        If the wheel cannot draw in so much.
    """
    most_cm = draw_in_cm(drive, bobbin_mm)
    if nominal_value(drafted_cm) > nominal_value(most_cm) * (1 + 1e-9):
        raise ValueError(
            f"at a bobbin of {nominal_value(bobbin_mm):.0f} mm the wheel draws in "
            f"{nominal_value(most_cm):.1f} cm for one of its turns, not {nominal_value(drafted_cm):.1f} cm"
        )
    put_in = held_turns(drive) / drafted_cm
    return put_in - wraps_per_cm(bobbin_mm) if isinstance(drive, BobbinLed) else put_in


def twist_by_the_draw_per_cm(
    drive: Drive, draw_cm: Quantity, treadles: Quantity, bobbin_mm: Quantity
) -> Quantity:
    """Give the twist of yarn that is drawn out, twisted by counted treadles, then let on to the bobbin.

    Two shares: what the counted turns of the wheel put in while the yarn is held, and what goes in while it
    is wound on, which shrinks as the bobbin fills.
    """
    held = held_turns(drive) * treadles / draw_cm
    return held + twist_while_winding_per_cm(drive, bobbin_mm)


def twist_taken_over_end_per_cm(drive: Drive, twist_per_cm: Quantity, bobbin_mm: Quantity) -> Quantity:
    """Give the twist of yarn that is pulled off over the end of a still bobbin that faced the orifice.

    Each wrap that slips off so puts one turn in or takes one out, as it did or didn't get one from the flyer:
    what is left is the bobbin's own turns over the length. A bobbin that led the flyer (double drive,
    bobbin-led) adds a turn a wrap, one that lagged (flyer-led) loses one. Yarn that is unwound from a turning
    bobbin keeps its twist.
    """
    wraps = wraps_per_cm(bobbin_mm)
    return twist_per_cm - wraps if isinstance(drive, FlyerLed) else twist_per_cm + wraps
