"""The groove of a whirl: where a band's centre line runs in it, and which groove to turn for a wished ratio.

A band of thickness t rests on the bottom of a wide U groove, its centre line half a thickness above it: the
pitch diameter is bottom + t. In a V groove of the full angle a it rests on the flanks: its middle stands t
/ (2 sin(a/2)) above the point where the flanks would meet, whatever the bottom is like. Turned with a flat
bottom of the width f, that point lies f / (2 tan(a/2)) below the bottom. Plane geometry of a circle that
touches two lines; exact for a round band on a body of revolution, because both are cut by a plane through
the axis.
"""

from dataclasses import dataclass
from math import radians, sin, tan
from typing import Final, Literal

from uncertainties import nominal_value

from .interval import COVERAGE_FACTOR_95, interval_95
from .quantity import Quantity

#: Flatter than this a V no longer holds a band, steeper it pinches it (common practice, no source).
V_ANGLES_DEG: Final = (20.0, 120.0)
#: A groove is this many band thicknesses deep from its edge, so that the band stays in (common practice, no
#: source).
DEEP_IN_BANDS: Final = 1.5
#: A U groove's bottom is this much wider than the band, so that the band rests on it (common practice, no
#: source).
ROOMY: Final = 1.25


@dataclass(frozen=True, slots=True)
class GrooveShape:
    """A groove in section.

    Attributes
    ----------
    kind : str
        ``"u"``: round or flat at the bottom and wide enough for the band; ``"v"``: two flanks.
    angle_deg : float
        Full angle between the flanks of a V.
    flat_mm : float
        Width of a V's flat bottom.
    """

    kind: Literal["u", "v"] = "u"
    angle_deg: float = 60.0
    flat_mm: float = 0.0

    def __post_init__(self) -> None:
        low, high = V_ANGLES_DEG
        if self.kind == "v" and not low <= self.angle_deg <= high:
            raise ValueError(f"the angle of a V groove must lie between {low:g} and {high:g} degrees")
        if not 0 <= self.flat_mm < float("inf"):
            raise ValueError("the flat bottom of a V groove cannot be narrower than nothing")

    @property
    def half_angle_rad(self) -> float:
        """Half the angle between the flanks."""
        return radians(self.angle_deg) / 2

    def middle_above_bottom(self, band_mm: Quantity) -> Quantity:
        """Give the height in mm of the band's middle above the groove's bottom."""
        if not self.on_flanks(band_mm):
            return band_mm / 2
        return band_mm / (2 * sin(self.half_angle_rad)) - self.flat_mm / (2 * tan(self.half_angle_rad))

    def on_flanks(self, band_mm: Quantity) -> bool:
        """Tell whether a round band rests on the flanks, and not on the bottom."""
        if self.kind == "u":
            return False
        on_flanks_mm = nominal_value(band_mm) / (2 * sin(self.half_angle_rad))
        return bool(on_flanks_mm - self.flat_mm / (2 * tan(self.half_angle_rad)) > nominal_value(band_mm) / 2)

    def wedge(self, band_mm: Quantity) -> float:
        """Give the factor by which flanks raise the grip: 1 / sin(a/2) where they wedge the band."""
        return 1 / sin(self.half_angle_rad) if self.on_flanks(band_mm) else 1.0


def pitch_of_groove(bottom_mm: Quantity, band_mm: Quantity, shape: GrooveShape) -> Quantity:
    """Give the diameter in mm of the band's centre line from that of the groove's bottom.

    Examples
    --------
    >>> pitch_of_groove(30.0, 2.0, GrooveShape("u"))
    32.0
    >>> round(pitch_of_groove(30.0, 2.0, GrooveShape("v", 60.0)), 6)
    34.0
    """
    return bottom_mm + 2 * shape.middle_above_bottom(band_mm)


def groove_of_pitch(pitch_mm: Quantity, band_mm: Quantity, shape: GrooveShape) -> Quantity:
    """Give the diameter in mm of the groove's bottom that makes a band run at this pitch diameter.

    Examples
    --------
    >>> groove_of_pitch(32.0, 2.0, GrooveShape("u"))
    30.0
    """
    return pitch_mm - 2 * shape.middle_above_bottom(band_mm)


def wheel_pitch_from_whirl(ratio: Quantity, whirl_pitch_mm: Quantity) -> Quantity:
    """Give the wheel's pitch diameter in mm from a whirl that is there: its ratio and pitch diameter."""
    return ratio * whirl_pitch_mm


@dataclass(frozen=True, slots=True)
class GrooveToTurn:
    """What to turn for a wished ratio.

    Attributes
    ----------
    ratio : float
        The wish.
    pitch_mm : Quantity
        Where the band's centre line must run.
    bottom_mm : Quantity
        Diameter of the groove's bottom; its doubt is that of the wheel's size and of the band.
    smallest_mm, largest_mm : float
        Diameters that keep the ratio within the tolerance, if wheel and band are as given.
    edge_mm : float
        Diameter of the edges on either side, deep enough for the band to stay in.
    ratio_as_turned : Quantity
        The ratio that a groove of exactly this diameter makes, wheel and band being as doubtful as they are.
    band_on_flanks : bool
    """

    ratio: float
    pitch_mm: Quantity
    bottom_mm: Quantity
    smallest_mm: float
    largest_mm: float
    edge_mm: float
    ratio_as_turned: Quantity
    band_on_flanks: bool


def groove_to_turn(
    ratio: float,
    *,
    wheel_pitch_mm: Quantity,
    band_mm: Quantity,
    shape: GrooveShape,
    slip_percent: Quantity = 0.0,
    tolerance_percent: float = 1.0,
) -> GrooveToTurn:
    """Work out the groove for a wished ratio from ratio = D / d x (1 - s), D and d being pitch diameters.

    Parameters
    ----------
    ratio : float
        Wished turns of the flyer for one turn of the wheel.
    wheel_pitch_mm, band_mm : Quantity
        Pitch diameter of the drive wheel, thickness of the band.
    shape : GrooveShape
    slip_percent : Quantity, optional
        Share of the speed that the band will lose; the groove comes out smaller by as much.
    tolerance_percent : float, optional
        How far the ratio may be off either way.

    Raises
    ------
    ValueError
        If the groove would have no diameter left, or the tolerance is none.
    """
    if not 0 < tolerance_percent < 100:
        raise ValueError("the tolerance must lie between 0 and 100 %")
    if not ratio > 0:
        raise ValueError("the wished ratio must be above zero")
    kept = 1 - slip_percent / 100
    pitch_mm = wheel_pitch_mm / ratio * kept
    bottom_mm = groove_of_pitch(pitch_mm, band_mm, shape)
    if nominal_value(bottom_mm) <= 0:
        raise ValueError(
            f"for a ratio of {ratio:g} the band would have to run {nominal_value(pitch_mm):.3g} mm across, "
            "which leaves no wood under the band"
        )
    if interval_95(bottom_mm).low <= 0:
        raise ValueError("wheel and band are known too roughly to tell any groove")
    share = tolerance_percent / 100
    nominal_mm, middle_mm = float(nominal_value(pitch_mm)), float(nominal_value(bottom_mm - pitch_mm))
    turned_mm = float(nominal_value(bottom_mm))
    return GrooveToTurn(
        ratio=ratio,
        pitch_mm=pitch_mm,
        bottom_mm=bottom_mm,
        smallest_mm=nominal_mm / (1 + share) + middle_mm,
        largest_mm=nominal_mm / (1 - share) + middle_mm,
        edge_mm=turned_mm + 2 * groove_depth(band_mm, shape),
        ratio_as_turned=wheel_pitch_mm * kept / pitch_of_groove(turned_mm, band_mm, shape),
        band_on_flanks=shape.on_flanks(band_mm),
    )


def groove_depth(band_mm: Quantity, shape: GrooveShape) -> float:
    """Give a depth in mm from the edge in which the thickest likely band stays."""
    thick_mm = interval_95(band_mm).high
    middle_mm = float(nominal_value(shape.middle_above_bottom(thick_mm)))
    return middle_mm + (DEEP_IN_BANDS - 0.5) * thick_mm


def sure_enough(groove: GrooveToTurn) -> bool:
    """Tell whether wheel and band are known so well that the tolerance makes sense at all."""
    half_width = COVERAGE_FACTOR_95 * getattr(groove.bottom_mm, "std_dev", 0.0)
    return bool(half_width <= (groove.largest_mm - groove.smallest_mm) / 2)
