"""Where a band would run in the wheel's groove, on a wheel that has lost its band.

Only the rim's outer edge is seen then; how deep the groove is, somebody measures with a rule.
"""

from uncertainties import UFloat, ufloat

#: A cotton cord as it is mostly used, and its doubt (common practice, no source).
USUAL_BAND_MM, USUAL_BAND_DOUBT_MM = 2.8, 0.5
#: A band does not reach the bottom of a V: in one of 60 degrees its middle lies half a thickness higher than
#: on a flat bottom, which is a whole one across the wheel. With this share of it as a deviation such a groove
#: is just inside the 95 % interval.
SEATING_DOUBT = 0.52


def pitch_in_groove_mm(outer_mm: UFloat, depth_mm: UFloat, band_mm: UFloat | None) -> UFloat:
    """Diameter of the circle on which a band's middle would run.

    Parameters
    ----------
    outer_mm : UFloat
        Diameter across the rim's outer edge.
    depth_mm : UFloat
        From that edge to the bottom of the groove.
    band_mm : UFloat, optional
        Thickness of the band, or of the one that is to come; None: a usual one.

    Returns
    -------
    UFloat
        Correlated with what went in.
    """
    thick_mm = ufloat(USUAL_BAND_MM, USUAL_BAND_DOUBT_MM) if band_mm is None else band_mm
    seating_mm = ufloat(0.0, SEATING_DOUBT * thick_mm.nominal_value, "groove: how the band sits in it")
    return outer_mm - 2 * depth_mm + thick_mm + seating_mm
