"""A yarn to spin: from its count, plies and use to the singles, both twists, thickness and angle."""

from dataclasses import dataclass
from math import degrees
from typing import Final

from uncertainties import nominal_value

from .interval import interval_95
from .plying import balanced_ply_twist, singles_tex
from .quantity import Quantity
from .yarn import (
    diameter_mm,
    fibres_in_section,
    length_before_twist,
    multiplier_of,
    surface_angle_rad,
    twist_for_multiplier_per_cm,
    wraps_per_inch,
)
from .yarn_facts import FEWEST_FIBRES, TWIST_USES, YARN_DENSITY, TwistUse

DEGREES: Final = degrees(1.0)


@dataclass(frozen=True, slots=True)
class Grist:
    """How heavy and how thick a yarn is.

    Attributes
    ----------
    tex : Quantity
    diameter_mm : Quantity
        From lofty to firm.
    wraps_on_ruler, wraps_pressed : Quantity
        Turns an inch, wound loosely by hand or packed.
    """

    tex: Quantity
    diameter_mm: Quantity
    wraps_on_ruler: Quantity
    wraps_pressed: Quantity


@dataclass(frozen=True, slots=True)
class YarnPlan:
    """What a yarn asks for.

    Attributes
    ----------
    finished, singles : Grist
        The same where the yarn is not plied.
    plies : int
    twist_per_cm : Quantity
        Of the singles: given, or usual for the use.
    multiplier : Quantity
        Twist multiplier of the singles.
    ply_twist_per_cm : Quantity or None
        Put in the other way; None for singles.
    surface_angle_deg : Quantity
        Between fibres and axis at the surface of the singles.
    length_lost_percent : Quantity
        What twist takes off the length of the singles.
    fibres : Quantity or None
        In the cross-section of the singles; None where the fibre's fineness is not known.
    """

    finished: Grist
    singles: Grist
    plies: int
    twist_per_cm: Quantity
    multiplier: Quantity
    ply_twist_per_cm: Quantity | None
    surface_angle_deg: Quantity
    length_lost_percent: Quantity
    fibres: Quantity | None

    @property
    def too_few_fibres(self) -> bool:
        """Whether so fine a yarn hardly holds together from this wool."""
        if self.fibres is None:
            return False
        return bool(nominal_value(self.fibres) < interval_95(FEWEST_FIBRES).high)


def grist(tex: Quantity) -> Grist:
    """Tell how thick a yarn of so many tex is."""
    return Grist(
        tex, diameter_mm(tex, YARN_DENSITY), wraps_per_inch(tex, "on a ruler"), wraps_per_inch(tex, "pressed")
    )


def plan_yarn(
    finished_tex: Quantity,
    plies: int,
    multiplier: Quantity,
    *,
    twist_per_cm: Quantity | None = None,
    micron: Quantity | None = None,
) -> YarnPlan:
    """Plan a yarn.

    Parameters
    ----------
    finished_tex : Quantity
        Of the finished yarn.
    plies : int
    multiplier : Quantity
        Twist multiplier that the use asks of the singles; not used where
    twist_per_cm : Quantity, optional
        their twist is given.
    micron : Quantity, optional
        Diameter of the fibres, wool.
    """
    single = grist(singles_tex(finished_tex, plies))
    twist = twist_for_multiplier_per_cm(multiplier, single.tex) if twist_per_cm is None else twist_per_cm
    angle_rad = surface_angle_rad(single.diameter_mm, twist)
    return YarnPlan(
        finished=grist(finished_tex),
        singles=single,
        plies=plies,
        twist_per_cm=twist,
        multiplier=multiplier_of(twist, single.tex),
        ply_twist_per_cm=balanced_ply_twist(twist) if plies > 1 else None,
        surface_angle_deg=angle_rad * DEGREES,
        length_lost_percent=100 * (1 - 1 / length_before_twist(angle_rad)),
        fibres=None if micron is None else fibres_in_section(single.tex, micron),
    )


def uses_of(multiplier: Quantity) -> tuple[TwistUse, ...]:
    """Name the uses for which a twist multiplier is usual, as far as its interval tells."""
    found = interval_95(multiplier)
    return tuple(
        use
        for use in TWIST_USES
        if found.low <= interval_95(use.multiplier).high and found.high >= interval_95(use.multiplier).low
    )
