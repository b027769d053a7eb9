"""Twist: how much a wheel puts in, what a wished twist asks for, and which way it runs.

Twist is the number of turns about its axis per unit length of the yarn (ISO 2061), before the yarn is
taken up. One turn of the flyer puts in one turn, so twist = flyer speed / drafting speed: spindle speed over
delivery speed, as every spinning textbook has it. The turns that winding on adds or takes are left out.
"""

from typing import Literal

from uncertainties import umath

from .facts import CM_PER_INCH
from .quantity import Quantity

Turning = Literal["clockwise", "anticlockwise"]
TwistDirection = Literal["Z", "S"]


def twist_per_cm(ratio: Quantity, cadence_per_min: Quantity, drafting_cm_per_min: Quantity) -> Quantity:
    """Give the turns per cm that are put in at this cadence while yarn is drafted at this speed.

    Examples
    --------
    >>> twist_per_cm(12.5, 60.0, 250.0)
    3.0
    """
    return ratio * cadence_per_min / drafting_cm_per_min


def cadence_for_twist(twist_per_cm: Quantity, ratio: Quantity, drafting_cm_per_min: Quantity) -> Quantity:
    """Give the turns of the wheel a minute that a wished twist asks for."""
    return twist_per_cm * drafting_cm_per_min / ratio


def drafting_for_twist(twist_per_cm: Quantity, ratio: Quantity, cadence_per_min: Quantity) -> Quantity:
    """Give the length in cm to be drafted a minute for a wished twist."""
    return ratio * cadence_per_min / twist_per_cm


def ratio_for_twist(
    twist_per_cm: Quantity, cadence_per_min: Quantity, drafting_cm_per_min: Quantity
) -> Quantity:
    """Give the drive ratio that a wished twist asks for."""
    return twist_per_cm * drafting_cm_per_min / cadence_per_min


def per_inch(per_cm: Quantity) -> Quantity:
    """Convert turns per cm to turns per inch."""
    return per_cm * CM_PER_INCH


def per_cm(per_inch: Quantity) -> Quantity:
    """Convert turns per inch to turns per cm."""
    return per_inch / CM_PER_INCH


def twist_multiplier(twist_per_inch: Quantity, cotton_count: Quantity) -> Quantity:
    """Give the twist multiplier: turns per inch over the square root of the cotton count (Ne)."""
    return twist_per_inch / umath.sqrt(cotton_count)


def twist_direction(turning: Turning, *, seen_from_orifice: bool = True) -> TwistDirection:
    """Name the direction of the twist that a flyer puts in, Z or S as in ISO 2.

    Z is the twist whose helix rises like the middle stroke of the letter Z, a right-handed screw; S its
    mirror image. The fibre hand holds one end of the yarn still while the orifice turns the other; a flyer
    that turns clockwise as the spinner sees it, looking into the orifice, therefore winds a right-handed
    screw.
    """
    clockwise_for_spinner = (turning == "clockwise") == seen_from_orifice
    return "Z" if clockwise_for_spinner else "S"
