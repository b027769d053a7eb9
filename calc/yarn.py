"""One yarn: thickness, wraps, twist for a use, angle of its surface, and what twist takes of its length.

The yarn is taken for a round rod whose fibres lie on helices about its axis (the ideal helix of the
textbooks). Real yarn is flatter, hairier and softer; what leans on a single figure of that kind says so.
"""

from collections.abc import Callable
from math import pi
from typing import Final, Literal

from uncertainties import nominal_value, umath

from .facts import CM_PER_INCH, MM_PER_INCH
from .interval import Interval, interval_95
from .quantity import Quantity
from .yarn_counts import count_of, tex_of
from .yarn_facts import PRESSED_WRAPS, RULER_WRAPS, WOOL_DENSITY

#: d = 1 / (28 sqrt(Ne)) in inches, for cotton singles (F. T. Peirce, 1937).
PEIRCE: Final = 28.0

Wrapped = Literal["pressed", "on a ruler"]
_WRAPS: Final = {"pressed": PRESSED_WRAPS, "on a ruler": RULER_WRAPS}


def peirce_diameter_mm(tex: Quantity) -> Quantity:
    """Give the diameter that Peirce's rule for cotton singles has for a yarn; soft wool is thicker.

    Examples
    --------
    >>> round(peirce_diameter_mm(20.0), 4)
    0.1669
    """
    return MM_PER_INCH / (PEIRCE * umath.sqrt(count_of(tex, "Ne")))


def diameter_mm(tex: Quantity, density_g_per_cm3: Quantity) -> Quantity:
    """Give the diameter of a round yarn that weighs so much for its bulk.

    From tex = density x pi d^2 / 4, with d in mm, g/cm3 and g/km: d = sqrt(4 tex / (1000 pi density)).
    """
    return umath.sqrt(4 * tex / (1000 * pi * density_g_per_cm3))


def wraps_per_inch(tex: Quantity, wrapped: Wrapped) -> Quantity:
    """Tell how many turns of a yarn lie side by side on an inch: k sqrt(yards per pound)."""
    return _WRAPS[wrapped] * umath.sqrt(count_of(tex, "yd/lb"))


def tex_from_wraps(wraps_per_inch: Quantity, wrapped: Wrapped) -> Quantity:
    """Guess a yarn's tex from its wraps, the inverse of :func:`wraps_per_inch`: to a factor of two."""
    return tex_of((wraps_per_inch / _WRAPS[wrapped]) ** 2, "yd/lb")


def over_ends(function: Callable[[float, float], float], first: Quantity, second: Quantity) -> Interval:
    """Give the value of a function that runs one way in both numbers, and its extremes over their intervals.

    Wider than the 95 % interval where the two are independent, and right where they are not.
    """
    ends = [
        function(x, y)
        for x in (interval_95(first).low, interval_95(first).high)
        for y in (interval_95(second).low, interval_95(second).high)
    ]
    return Interval(function(nominal_value(first), nominal_value(second)), min(ends), max(ends))


def twist_for_multiplier_per_cm(multiplier: Quantity, tex: Quantity) -> Quantity:
    """Give the turns per cm of a yarn by its twist multiplier: turns per inch = TM x sqrt(Ne)."""
    return multiplier * umath.sqrt(count_of(tex, "Ne")) / CM_PER_INCH


def multiplier_of(twist_per_cm: Quantity, tex: Quantity) -> Quantity:
    """Give the twist multiplier of a yarn, the inverse of :func:`twist_for_multiplier_per_cm`."""
    return twist_per_cm * CM_PER_INCH / umath.sqrt(count_of(tex, "Ne"))


def metric_twist_factor(twist_per_cm: Quantity, tex: Quantity) -> Quantity:
    """Give turns per metre x sqrt(tex), the twist factor of metric books: 956.73 times the multiplier."""
    return 100 * twist_per_cm * umath.sqrt(tex)


def tex_for_twist(twist_per_cm: Quantity, multiplier: Quantity) -> Quantity:
    """Give the tex for which a twist makes a wished twist multiplier: Ne = (turns per inch / TM)^2."""
    return tex_of((twist_per_cm * CM_PER_INCH / multiplier) ** 2, "Ne")


def surface_angle_rad(diameter_mm: Quantity, twist_per_cm: Quantity) -> Quantity:
    """Give the angle between the fibres at the surface and the yarn's axis: tan a = pi d T."""
    return umath.atan(pi * diameter_mm / 10 * twist_per_cm)


def twist_for_angle_per_cm(angle_rad: Quantity, diameter_mm: Quantity) -> Quantity:
    """Give the turns per cm that make an angle, the inverse of :func:`surface_angle_rad`."""
    return umath.tan(angle_rad) / (pi * diameter_mm / 10)


def length_before_twist(angle_rad: Quantity) -> Quantity:
    """Give the length of the untwisted strand over that of the twisted yarn: (1 + sec a) / 2.

    The usual formula for an ideal helix. The plain mean of the helices' lengths over the cross-section is
    2/3 (sec^3 a - 1) / tan^2 a; up to 30 degrees the two differ by less than 0.2 %.
    """
    return (1 + 1 / umath.cos(angle_rad)) / 2


def fibres_in_section(
    tex: Quantity, micron: Quantity, density_g_per_cm3: Quantity = WOOL_DENSITY
) -> Quantity:
    """Count the fibres that lie side by side in a yarn: its tex over that of one fibre.

    One round fibre of D micron weighs pi/4 D^2 density / 1000 tex.
    """
    return tex / _fibre_tex(micron, density_g_per_cm3)


def tex_of_fibres(count: Quantity, micron: Quantity, density_g_per_cm3: Quantity = WOOL_DENSITY) -> Quantity:
    """Give the tex of so many fibres, the inverse of :func:`fibres_in_section`."""
    return count * _fibre_tex(micron, density_g_per_cm3)


def _fibre_tex(micron: Quantity, density_g_per_cm3: Quantity) -> Quantity:
    return pi / 4 * micron**2 * density_g_per_cm3 / 1000
