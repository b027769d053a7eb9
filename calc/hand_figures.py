"""Figures that a spinner takes by hand: a string round the rim, a calliper, turns that are counted.

How sure such figures are is common practice, without a source; whoever knows better says so with the figure.
"""

from math import pi, sqrt
from typing import Final

from uncertainties import UFloat, ufloat

from .interval import from_half_width_95
from .quantity import Quantity

#: Half-widths of the 95 % interval. A calliper on turned wood, which is never quite round ...
CALLIPER_HALF_WIDTH_MM: Final = 0.3
#: ... a rule laid across a rim or from axle to spindle ...
RULE_HALF_WIDTH_MM: Final = 2.0
#: ... a string marked where it meets itself, then laid along a rule ...
STRING_HALF_WIDTH_MM: Final = 3.0
#: ... its thickness, where nobody measured it (1.5 mm is taken) ...
STRING_MM: Final = 1.5
STRING_THICKNESS_HALF_WIDTH_MM: Final = 1.0
#: ... a wheel that is stopped by eye where it began, a fiftieth of a turn or 7 degrees ...
STOPPED_HALF_WIDTH_TURNS: Final = 0.02
#: ... and the part of a turn that is left over, judged by eye to an eighth.
JUDGED_HALF_WIDTH_TURNS: Final = 0.125
#: A cord under tension is pressed flatter by up to this share of its thickness (95 %).
FLATTENED_SHARE: Final = 0.1


def diameter_within_string(round_mm: Quantity, string_mm: Quantity) -> Quantity:
    """Give the diameter in mm of what a string was laid round.

    Parameters
    ----------
    round_mm : Quantity
        Length of the string once round, laid straight.
    string_mm : Quantity
        Its thickness. The length that doesn't change when a string is bent is that of its middle, which runs
        half its thickness outside: length = pi (diameter + thickness).

    Examples
    --------
    >>> from math import pi
    >>> round(diameter_within_string(pi * 451.5, 1.5), 6)
    450.0
    """
    return round_mm / pi - string_mm


def pitch_of_band_round(round_mm: Quantity) -> Quantity:
    """Give the pitch diameter in mm where the band itself, or a cord like it, was laid round the groove."""
    return round_mm / pi


def pitch_under_calliper(over_band_mm: Quantity, band_mm: Quantity) -> Quantity:
    """Give the pitch diameter in mm where a calliper was held over the band in its groove."""
    return over_band_mm - band_mm


def pitch_on_bottom(groove_mm: Quantity, band_mm: Quantity) -> Quantity:
    """Give the pitch diameter in mm of a band that rests on the groove's bottom, pressed a little flatter.

    Right in a U groove as wide as the band; in a V groove a band does not reach the bottom.
    """
    return groove_mm + band_mm * from_half_width_95(1.0, FLATTENED_SHARE)


def whole_turns(counted: int) -> UFloat:
    """Give the turns that were made where whole ones were counted.

    Some people leave out what is left over, others round it: the turns made lie anywhere from half a turn
    below the count to one above it, each place as likely as the next (a rectangular distribution of width
    1.5, JCGM 100:2008, 4.3.7).

    Examples
    --------
    >>> whole_turns(109).n
    109.25
    """
    return ufloat(counted + 0.25, 1.5 / sqrt(12))


def judged_turns(counted: float) -> UFloat:
    """Give the turns that were made where the part left over was judged by eye."""
    return from_half_width_95(counted, JUDGED_HALF_WIDTH_TURNS)


def stopped_turns(turns: float) -> UFloat:
    """Give the turns of a wheel that was stopped by eye after a number of whole ones."""
    return from_half_width_95(turns, STOPPED_HALF_WIDTH_TURNS)
