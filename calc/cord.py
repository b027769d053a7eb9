"""A new band: which length to order, how much cord to cut, and what a thicker or thinner one changes."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import sin
from typing import Literal

from uncertainties import nominal_value

from .bands import crossed_band_length, double_band_length, open_band_length, take_up
from .groove import GrooveShape
from .quantity import Quantity
from .ratios import drive_ratio

#: How a band is laid round wheel and whirl.
Lay = Literal["open", "crossed", "double"]


@dataclass(frozen=True, slots=True)
class BandPath:
    """Where a band runs.

    Attributes
    ----------
    lay : str
        ``"open"``, ``"crossed"``, or ``"double"``: once round the flyer's whirl, once round the bobbin's.
    wheel_mm, centre_distance_mm : Quantity
        Pitch diameter of the wheel, distance from axle to spindle.
    whirls_mm : mapping of str to Quantity
        Pitch diameter of the whirl, by its name; in double drive the flyer's first, then the bobbin's.
    """

    lay: Lay
    wheel_mm: Quantity
    centre_distance_mm: Quantity
    whirls_mm: Mapping[str, Quantity]

    def __post_init__(self) -> None:
        wanted = 2 if self.lay == "double" else 1
        if len(self.whirls_mm) != wanted:
            raise ValueError(
                "a band laid double goes round two whirls"
                if wanted == 2
                else f"a band laid {self.lay} goes round one whirl"
            )

    @property
    def length_mm(self) -> Quantity:
        """Length of the band's centre line."""
        whirls = list(self.whirls_mm.values())
        if self.lay == "double":
            return double_band_length(self.wheel_mm, whirls[0], whirls[1], self.centre_distance_mm)
        length = open_band_length if self.lay == "open" else crossed_band_length
        return length(self.wheel_mm, whirls[0], self.centre_distance_mm)

    @property
    def take_up(self) -> Quantity:
        """How many mm of band one mm of centre distance takes up."""
        if self.lay == "crossed":
            (whirl,) = self.whirls_mm.values()
            return take_up(self.wheel_mm, -whirl, self.centre_distance_mm)
        each = [take_up(self.wheel_mm, whirl, self.centre_distance_mm) for whirl in self.whirls_mm.values()]
        return sum(each[1:], each[0])


@dataclass(frozen=True, slots=True)
class CordToCut:
    """Lengths for a new band.

    Attributes
    ----------
    in_use_mm : Quantity
        Length of its centre line on the wheel.
    slack_mm : Quantity
        Length of the closed loop while nothing pulls it: what to order.
    cut_mm : Quantity
        Length of cord to cut: the loop and what the knot or splice takes.
    travel_mm : Quantity
        How much longer or shorter the loop may be if the spindle can be moved: either way from the middle.
    """

    in_use_mm: Quantity
    slack_mm: Quantity
    cut_mm: Quantity
    travel_mm: Quantity


def cord_to_cut(
    path: BandPath, *, stretch_percent: Quantity, knot_mm: Quantity, travel_mm: float = 0.0
) -> CordToCut:
    """Work out the cord for a new band.

    Parameters
    ----------
    path : BandPath
        With the pitch diameters of the new band.
    stretch_percent : Quantity
        How much longer the cord is under its tension in use than slack, in percent of the slack length.
    knot_mm : Quantity
        Cord that knot and ends, or an overlap to be sewn, take in all.
    travel_mm : float, optional
        How far the spindle can be moved towards and from the wheel in all.

    Raises
    ------
    ValueError
        If stretch, knot or travel are less than nothing.
    """
    if nominal_value(stretch_percent) < 0 or nominal_value(knot_mm) < 0 or travel_mm < 0:
        raise ValueError("stretch, knot and travel cannot be less than nothing")
    in_use_mm = path.length_mm
    slack_mm = in_use_mm / (1 + stretch_percent / 100)
    either_way_mm = path.take_up * travel_mm / 2 / (1 + stretch_percent / 100)
    return CordToCut(in_use_mm, slack_mm, slack_mm + knot_mm, either_way_mm)


@dataclass(frozen=True, slots=True)
class BandChange:
    """What another band does to one whirl's ratio.

    Attributes
    ----------
    label : str
    ratio, new_ratio : Quantity
        With the band of now and with the other.
    change_percent : Quantity
        Of the ratio.
    """

    label: str
    ratio: Quantity
    new_ratio: Quantity
    change_percent: Quantity


def pitch_with_other_band(
    pitch_mm: Quantity, band_mm: Quantity, other_band_mm: Quantity, shape: GrooveShape
) -> Quantity:
    """Give the pitch diameter of a groove with another band in it: the bottom stays, the band's middle moves.

    A U groove lets the middle rise by half of what the band is thicker, a V groove, on whose flanks it
    rests, by that over the sine of half its angle.
    """
    thicker_mm = other_band_mm - band_mm
    on_flanks = shape.on_flanks(band_mm) and shape.on_flanks(other_band_mm)
    if on_flanks:
        return pitch_mm + thicker_mm / sin(shape.half_angle_rad)
    lifted_mm = shape.middle_above_bottom(other_band_mm) - shape.middle_above_bottom(band_mm)
    return pitch_mm + 2 * lifted_mm


def change_of_band(
    wheel_mm: Quantity,
    whirls_mm: Mapping[str, Quantity],
    *,
    band_mm: Quantity,
    other_band_mm: Quantity,
    wheel_shape: GrooveShape,
    whirl_shape: GrooveShape,
) -> tuple[BandChange, ...]:
    """Tell what a thicker or thinner band does to every ratio.

    Parameters
    ----------
    wheel_mm, whirls_mm : Quantity, mapping of str to Quantity
        Pitch diameters with the band of now.
    band_mm, other_band_mm : Quantity
        Thickness of the two bands.
    wheel_shape, whirl_shape : GrooveShape
    """
    other_wheel_mm = pitch_with_other_band(wheel_mm, band_mm, other_band_mm, wheel_shape)
    changes = []
    for label, whirl_mm in whirls_mm.items():
        other_whirl_mm = pitch_with_other_band(whirl_mm, band_mm, other_band_mm, whirl_shape)
        ratio, new_ratio = drive_ratio(wheel_mm, whirl_mm), drive_ratio(other_wheel_mm, other_whirl_mm)
        changes.append(BandChange(label, ratio, new_ratio, 100 * (new_ratio / ratio - 1)))
    return tuple(changes)
