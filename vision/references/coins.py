"""Diameters of round coins in circulation, by ISO 4217 code and value.

Sources: EUR: Council Regulation (EU) No 729/2014, annex I. USD: 31 U.S.C. 5112(a), in inches. The others from
memory, as their mints give them; coins that are not round are left out.
"""

from collections.abc import Mapping
from typing import Final

from uncertainties import UFloat, ufloat

MM_PER_INCH: Final = 25.4
#: New coins keep within a few hundredths of a millimetre, worn ones lose as much (common practice, no
#: source).
COIN_DOUBT_MM: Final = 0.04

DIAMETERS_MM: Final[Mapping[str, float]] = {
    "EUR-0.01": 16.25,
    "EUR-0.02": 18.75,
    "EUR-0.05": 21.25,
    "EUR-0.10": 19.75,
    "EUR-0.20": 22.25,
    "EUR-0.50": 24.25,
    "EUR-1": 23.25,
    "EUR-2": 25.75,
    "USD-0.01": 0.75 * MM_PER_INCH,
    "USD-0.05": 0.835 * MM_PER_INCH,
    "USD-0.10": 0.705 * MM_PER_INCH,
    "USD-0.25": 0.955 * MM_PER_INCH,
    "USD-0.50": 1.205 * MM_PER_INCH,
    "USD-1": 1.043 * MM_PER_INCH,
    # From memory, from here on.
    "GBP-0.01": 20.3,
    "GBP-0.02": 25.9,
    "GBP-0.05": 18.0,
    "GBP-0.10": 24.5,
    "GBP-2": 28.4,
    "CHF-0.05": 17.15,
    "CHF-0.10": 19.15,
    "CHF-0.20": 21.05,
    "CHF-0.50": 18.20,
    "CHF-1": 23.20,
    "CHF-2": 27.40,
    "CHF-5": 31.45,
    "CAD-0.10": 18.03,
    "CAD-0.25": 23.88,
    "CAD-2": 28.00,
    "JPY-1": 20.0,
    "JPY-5": 22.0,
    "JPY-10": 23.5,
    "JPY-50": 21.0,
    "JPY-100": 22.6,
    "JPY-500": 26.5,
}


def coin_diameter_mm(name: str) -> UFloat | None:
    """Diameter of a coin such as ``EUR-2`` or ``usd-0.25``; None if it is not in the table."""
    code, _, value = name.upper().partition("-")
    for known, diameter_mm in DIAMETERS_MM.items():
        known_code, _, known_value = known.partition("-")
        if code == known_code and _same_value(value, known_value):
            return ufloat(diameter_mm, COIN_DOUBT_MM)
    return None


def _same_value(typed: str, known: str) -> bool:
    """Whether two values are one number: 0.5 is 0.50."""
    try:
        return float(typed) == float(known)
    except ValueError:
        return False
