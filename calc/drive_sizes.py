"""A drive from the diameters on which its band rests, and what band and slip do to twist and pull-in.

Ratio = (D + t) / (d + t) x (1 - s), with the band's thickness t and the slip s of that groove. So a thicker
band lowers every ratio, and the smaller whirl's most of all. In double drive that brings flyer and bobbin
closer together: the twist in yarn that goes in as it pulls is (b + t) / (pi d (f - b)), more with a thicker
band, while a flyer-led wheel twists less with it.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, Literal

from .bobbin import Manner, twist_at
from .quantity import Quantity
from .ratios import drive_ratio, pitch_diameter
from .winding import BobbinLed, DoubleDrive, Drive, FlyerLed, draw_in_cm

#: What is tried: half a millimetre is the step from one cord to the next, one percent what slack adds.
THICKER_MM: Final = 0.5
MORE_SLIP_PERCENT: Final = 1.0

Cause = Literal["thicker band", "flyer slips more", "bobbin slips more"]


@dataclass(frozen=True, slots=True)
class DriveSizes:
    """Diameters in mm on which the band rests, its thickness, and how far each groove slips.

    A whirl that the band does not turn is None: without a bobbin's whirl the wheel is flyer-led, without a
    flyer's bobbin-led.

    Raises
    ------
    ValueError
        If there is no whirl at all.
    """

    wheel_mm: Quantity
    flyer_mm: Quantity | None
    bobbin_mm: Quantity | None
    band_mm: Quantity
    flyer_slip_percent: Quantity = 0.0
    bobbin_slip_percent: Quantity = 0.0

    def __post_init__(self) -> None:
        if self.flyer_mm is None and self.bobbin_mm is None:
            raise ValueError("a band needs a whirl on the flyer, on the bobbin or on both")

    def drive(self) -> Drive:
        """Give the drive with its ratios, slip taken off."""
        flyer = self._ratio(self.flyer_mm, self.flyer_slip_percent)
        bobbin = self._ratio(self.bobbin_mm, self.bobbin_slip_percent)
        if flyer is not None and bobbin is not None:
            return DoubleDrive(flyer, bobbin)
        if flyer is not None:
            return FlyerLed(flyer)
        assert bobbin is not None
        return BobbinLed(bobbin)

    def _ratio(self, whirl_mm: Quantity | None, slip_percent: Quantity) -> Quantity | None:
        if whirl_mm is None:
            return None
        ratio = drive_ratio(
            pitch_diameter(self.wheel_mm, self.band_mm), pitch_diameter(whirl_mm, self.band_mm)
        )
        return ratio * (1 - slip_percent / 100)


@dataclass(frozen=True, slots=True)
class Effect:
    """By how many percent one cause changes the twist, and the most that one turn of the wheel draws in."""

    cause: Cause
    twist_percent: Quantity
    draw_in_percent: Quantity


def effects(sizes: DriveSizes, manner: Manner, bobbin_mm: Quantity) -> tuple[Effect, ...]:
    """Tell what a band 0.5 mm thicker and one percent more slip in each driven groove would change.

    Parameters
    ----------
    sizes : DriveSizes
    manner : Manner
        How the yarn is let in, at
    bobbin_mm : Quantity
        this diameter of the bobbin.
    """
    changed: dict[Cause, DriveSizes] = {"thicker band": replace(sizes, band_mm=sizes.band_mm + THICKER_MM)}
    if sizes.flyer_mm is not None:
        changed["flyer slips more"] = replace(
            sizes, flyer_slip_percent=sizes.flyer_slip_percent + MORE_SLIP_PERCENT
        )
    if sizes.bobbin_mm is not None:
        changed["bobbin slips more"] = replace(
            sizes, bobbin_slip_percent=sizes.bobbin_slip_percent + MORE_SLIP_PERCENT
        )

    def change(measure: Callable[[Drive], Quantity], new: DriveSizes) -> Quantity:
        return 100 * (measure(new.drive()) / measure(sizes.drive()) - 1)

    return tuple(
        Effect(
            cause,
            change(lambda drive: twist_at(drive, manner, bobbin_mm), new),
            change(lambda drive: draw_in_cm(drive, bobbin_mm), new),
        )
        for cause, new in changed.items()
    )
