"""A bobbin that fills: how twist and pull change from the first wrap to the last.

The yarn lies equally dense all along, so the square of the diameter grows evenly with the length wound on.
A brake or a slipping groove pulls with a fixed torque, so the pull on the yarn falls as 1 / diameter.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi
from typing import TypeAlias

from uncertainties import nominal_value, umath

from .quantity import Quantity
from .winding import (
    Drive,
    draw_in_cm,
    twist_by_the_draw_per_cm,
    twist_while_drafting_per_cm,
    twist_while_winding_per_cm,
)


@dataclass(frozen=True, slots=True)
class Bobbin:
    """Diameters over which the yarn lies, on the bare and on the full bobbin.

    Raises
    ------
    ValueError
        If the full bobbin is not the thicker one.
    """

    empty_mm: Quantity
    full_mm: Quantity

    def __post_init__(self) -> None:
        if not 0 < nominal_value(self.empty_mm) < nominal_value(self.full_mm):
            raise ValueError(
                f"a full bobbin is thicker than an empty one, but they are "
                f"{nominal_value(self.full_mm):g} mm and {nominal_value(self.empty_mm):g} mm"
            )

    def diameter_mm(self, filled: Quantity) -> Quantity:
        """Give the diameter when a share of all the yarn, 0 to 1, is on the bobbin.

        Examples
        --------
        >>> Bobbin(30.0, 90.0).diameter_mm(0.0), Bobbin(30.0, 90.0).diameter_mm(1.0)
        (30.0, 90.0)
        """
        return umath.sqrt(self.empty_mm**2 + filled * (self.full_mm**2 - self.empty_mm**2))

    @property
    def mean_wraps_per_cm(self) -> Quantity:
        """Mean of 1 / (pi d) over all the yarn: that of the mean of both diameters.

        The integral of 1 / d over the share filled is 2 / (empty + full). The mean of the two ends, as an
        old handbook takes it, is higher, because little yarn lies near the core.
        """
        return 2 * 10 / (pi * (self.empty_mm + self.full_mm))


@dataclass(frozen=True, slots=True)
class Continuous:
    """Drafting so much for one turn of the wheel, while the yarn is wound on."""

    drafted_cm: Quantity


@dataclass(frozen=True, slots=True)
class ByTheDraw:
    """Drawing out a length, twisting it with so many turns of the wheel, then letting it on to the bobbin."""

    draw_cm: Quantity
    treadles: Quantity


@dataclass(frozen=True, slots=True)
class AsItPulls:
    """Letting the wheel draw the yarn in as fast as it will."""


Manner: TypeAlias = Continuous | ByTheDraw | AsItPulls


@dataclass(frozen=True, slots=True)
class BobbinPoint:
    """What holds when a share of the yarn is on the bobbin.

    Attributes
    ----------
    filled : float
        Share of all the yarn, 0 to 1.
    diameter_mm : Quantity
    twist_per_cm : Quantity
    draw_in_cm : Quantity
        The most that one turn of the wheel draws in.
    pull_percent : Quantity
        Pull on the yarn, with brake or band left as they are, of that on the empty bobbin.
    """

    filled: float
    diameter_mm: Quantity
    twist_per_cm: Quantity
    draw_in_cm: Quantity
    pull_percent: Quantity


def filling(drive: Drive, manner: Manner, bobbin: Bobbin, shares: Sequence[float]) -> tuple[BobbinPoint, ...]:
    """Follow a bobbin as it fills.

    Parameters
    ----------
    drive : Drive
    manner : Manner
        How the spinner lets the yarn in.
    bobbin : Bobbin
    shares : sequence of float
        Where to look, 0 for the empty and 1 for the full bobbin.

    Raises
    ------
    ValueError
        If the wheel cannot draw in what is drafted.
    """
    return tuple(_point(drive, manner, bobbin, share) for share in shares)


def _point(drive: Drive, manner: Manner, bobbin: Bobbin, share: float) -> BobbinPoint:
    diameter_mm = bobbin.diameter_mm(share)
    return BobbinPoint(
        filled=share,
        diameter_mm=diameter_mm,
        twist_per_cm=twist_at(drive, manner, diameter_mm),
        draw_in_cm=draw_in_cm(drive, diameter_mm),
        pull_percent=100 * bobbin.empty_mm / diameter_mm,
    )


def twist_at(drive: Drive, manner: Manner, bobbin_mm: Quantity) -> Quantity:
    """Give the twist per cm at one diameter of the bobbin."""
    match manner:
        case Continuous(drafted_cm):
            return twist_while_drafting_per_cm(drive, drafted_cm, bobbin_mm)
        case ByTheDraw(draw_cm, treadles):
            return twist_by_the_draw_per_cm(drive, draw_cm, treadles, bobbin_mm)
        case AsItPulls():
            return twist_while_winding_per_cm(drive, bobbin_mm)
