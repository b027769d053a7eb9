"""Drive ratios, the speeds that follow from them, and the slip between two of them.

The drive ratio is the turns of the flyer for one turn of the drive wheel. It is the wheel's pitch diameter
over the whirl's: the pitch diameter runs through the centre line of the band in its groove, so it is the
groove's touching diameter plus one band thickness, (D + t) / (d + t) (Khurmi, *A Textbook of Engineering
Mechanics*, chapter on belts). Slip s takes its share off: (D + t) / (d + t) x (1 - s).
"""

from math import pi

from .quantity import Quantity


def pitch_diameter(touching_diameter_mm: Quantity, band_mm: Quantity) -> Quantity:
    """Give the diameter in mm through the band's centre line, from the one on which the band rests."""
    return touching_diameter_mm + band_mm


def drive_ratio(wheel_pitch_mm: Quantity, whirl_pitch_mm: Quantity) -> Quantity:
    """Divide two pitch diameters in mm: turns of the flyer for one turn of the wheel.

    Two diameters from one picture share its scale: give them with their correlation, and the scale's
    uncertainty falls out of the ratio.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> scale = ufloat(1, 0.01)
    >>> ratio = drive_ratio(560 * scale, 40 * scale)
    >>> ratio.n, round(ratio.s, 12)
    (14.0, 0.0)
    """
    return wheel_pitch_mm / whirl_pitch_mm


def drive_ratio_from_share(whirl_share: Quantity) -> Quantity:
    """Give the drive ratio from the whirl's pitch diameter as a share of the wheel's, without any scale."""
    return 1 / whirl_share


def driven_speed(speed_per_min: Quantity, ratio: Quantity, slip_percent: Quantity = 0.0) -> Quantity:
    """Give the turns a minute of the flyer when the wheel makes `speed_per_min`."""
    return speed_per_min * ratio * (1 - slip_percent / 100)


def driven_diameter(
    driving_mm: Quantity, ratio: Quantity, band_mm: Quantity = 0.0, slip_percent: Quantity = 0.0
) -> Quantity:
    """Give the diameter in mm on which the band must rest for `ratio`, slip included.

    Solved from ratio = (D + t) / (d + t) x (1 - s).
    """
    return (driving_mm + band_mm) / ratio * (1 - slip_percent / 100) - band_mm


def band_speed(pitch_diameter_mm: Quantity, speed_per_min: Quantity) -> Quantity:
    """Give the speed of the band in m/s: pi x pitch diameter x turns a second."""
    return pi * pitch_diameter_mm / 1000 * speed_per_min / 60


def slip_percent(measured_ratio: Quantity, ratio_without_slip: Quantity) -> Quantity:
    """Tell how far the measured ratio falls short of the one without slip, in percent of the latter.

    The ratio without slip is one that was measured with the wheel turned slowly by hand and no yarn, or
    one of two pitch diameters. A value below zero means that the two do not belong together.
    """
    return 100 * (1 - measured_ratio / ratio_without_slip)
