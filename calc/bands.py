"""Length and wrap of a drive band round a wheel and a whirl, by exact geometry.

With pitch diameters D and d and centre distance C, the straight runs of an open band make the angle
asin((D - d) / 2C) with the line of centres, those of a crossed band asin((D + d) / 2C). All else is the two
runs plus two arcs. The usual short formula 2C + pi/2 (D + d) + (D - d)^2 / 4C is 0.2-0.3 % short for a big
wheel with a small whirl and is not used.
"""

from math import pi

from scipy.optimize import brentq
from uncertainties import nominal_value, umath

from .quantity import Quantity


def open_band_length(wheel_mm: Quantity, whirl_mm: Quantity, centre_distance_mm: Quantity) -> Quantity:
    """Give the length in mm of an open band along its centre line.

    Parameters
    ----------
    wheel_mm, whirl_mm : Quantity
        Pitch diameters.
    centre_distance_mm : Quantity
        From axle to spindle.

    Raises
    ------
    ValueError
        Where one circle would lie inside the other.

    Examples
    --------
    >>> round(open_band_length(560, 40, 450), 2)
    1997.37
    """
    lean_rad = _lean_rad(wheel_mm - whirl_mm, centre_distance_mm)
    runs_mm = 2 * centre_distance_mm * umath.cos(lean_rad)
    return runs_mm + wheel_mm * (pi / 2 + lean_rad) + whirl_mm * (pi / 2 - lean_rad)


def crossed_band_length(wheel_mm: Quantity, whirl_mm: Quantity, centre_distance_mm: Quantity) -> Quantity:
    """Give the length in mm of a crossed band, as :func:`open_band_length` does.

    Raises
    ------
    ValueError
        Where the two circles would overlap.
    """
    lean_rad = _lean_rad(wheel_mm + whirl_mm, centre_distance_mm)
    runs_mm = 2 * centre_distance_mm * umath.cos(lean_rad)
    return runs_mm + (wheel_mm + whirl_mm) * (pi / 2 + lean_rad)


def double_band_length(
    wheel_mm: Quantity, flyer_mm: Quantity, bobbin_mm: Quantity, centre_distance_mm: Quantity
) -> Quantity:
    """Give the length in mm of one band laid twice round the wheel, once to the flyer, once to the bobbin.

    Each half of either loop is half an open band, whichever groove it comes from and goes to, so the whole
    is the two open bands together. Where a run crosses from one groove to another e mm beside it, it is
    longer by e^2 / 2 runs: 0.2 mm for 10 mm in 250 mm, which is left out.
    """
    return open_band_length(wheel_mm, flyer_mm, centre_distance_mm) + open_band_length(
        wheel_mm, bobbin_mm, centre_distance_mm
    )


def centre_distance_for_open_band(length_mm: Quantity, wheel_mm: Quantity, whirl_mm: Quantity) -> Quantity:
    """Give the distance in mm from axle to spindle at which an open band of this length is taut.

    Solved by bracketing; the doubt is carried through the length's slope, dL/dC = 2 cos(lean).

    Raises
    ------
    ValueError
        If the band is too short to go round both.

    Examples
    --------
    >>> round(centre_distance_for_open_band(1997.37427, 560.0, 40.0), 4)
    450.0
    """
    length, wheel, whirl = (float(nominal_value(each)) for each in (length_mm, wheel_mm, whirl_mm))
    # Touching from within, the smaller circle needs no band beyond the larger one's own round.
    if not length > pi * max(wheel, whirl):
        raise ValueError(
            f"a band of {length:.0f} mm is too short to go round {wheel:.0f} mm and {whirl:.0f} mm"
        )
    shortest = abs(wheel - whirl) / 2 * (1 + 1e-12) + 1e-9

    def beyond(distance_mm: float) -> float:
        return float(open_band_length(wheel, whirl, distance_mm)) - length

    distance = float(brentq(beyond, shortest, length, xtol=1e-10))
    slope = take_up(wheel, whirl, distance)
    return distance + (length_mm - open_band_length(wheel_mm, whirl_mm, distance)) / slope


def take_up(wheel_mm: Quantity, whirl_mm: Quantity, centre_distance_mm: Quantity) -> Quantity:
    """Tell how many mm of an open band one mm of centre distance takes up."""
    return 2 * umath.cos(_lean_rad(wheel_mm - whirl_mm, centre_distance_mm))


def open_contact_angle_rad(
    wheel_mm: Quantity, whirl_mm: Quantity, centre_distance_mm: Quantity
) -> tuple[Quantity, Quantity]:
    """Tell how much of wheel and whirl an open band wraps: two angles in rad that add up to 2 pi."""
    lean_rad = _lean_rad(wheel_mm - whirl_mm, centre_distance_mm)
    return pi + 2 * lean_rad, pi - 2 * lean_rad


def crossed_contact_angle_rad(
    wheel_mm: Quantity, whirl_mm: Quantity, centre_distance_mm: Quantity
) -> Quantity:
    """Tell how much of either circle a crossed band wraps, in rad: the same on both."""
    return pi + 2 * _lean_rad(wheel_mm + whirl_mm, centre_distance_mm)


def tension_ratio(friction: Quantity, contact_angle_rad: Quantity) -> Quantity:
    """Give the tight run's tension over the slack run's when the band is about to slip.

    The law of Euler and Eytelwein, e^(friction x contact angle); the angle in rad.
    """
    return umath.exp(friction * contact_angle_rad)


def _lean_rad(across_mm: Quantity, centre_distance_mm: Quantity) -> Quantity:
    """Give the angle between a run and the line of centres."""
    sine = across_mm / (2 * centre_distance_mm)
    if not -1 < nominal_value(sine) < 1:
        raise ValueError(
            f"a centre distance of {nominal_value(centre_distance_mm):g} mm is too short for these "
            f"diameters: it must be above {abs(nominal_value(across_mm)) / 2:g} mm"
        )
    return umath.asin(sine)
