"""Yarn counts: how heavy a length of yarn is, or how long a weight of it, in every usual system.

Direct counts tell the mass of a length (tex, denier), indirect ones the length of a mass (all others), so a
large number is a thick yarn in the first and a thin one in the second. Tex, g/km, is the one in which this
package reckons (ISO 1144). The units are Pint's; those that it lacks are defined here from yard and pound.
"""

from functools import cache
from typing import TYPE_CHECKING, Any, Final, Literal, TypeAlias

from .quantity import Quantity

if TYPE_CHECKING:
    from pint import UnitRegistry

CountSystem: TypeAlias = Literal[
    "tex", "dtex", "den", "Ne", "Nm", "worsted", "run", "lea", "yd/lb", "m/100g", "m/g"
]
#: How Pint writes each system. A hank is 560 yards in the worsted count and 840 in the cotton count (Ne), a
#: run 1600, a lea of linen 300; all of them are counted to the pound.
PINT_UNITS: Final[dict[CountSystem, str]] = {
    "tex": "tex",
    "dtex": "dtex",
    "den": "denier",
    "Ne": "number_english",
    "Nm": "number_meter",
    "worsted": "number_worsted",
    "run": "woollen_run",
    "lea": "linen_lea",
    "yd/lb": "yard / pound",
    "m/100g": "metre_per_100_gram",
    "m/g": "meter / gram",
}
OWN_UNITS: Final = (
    "number_worsted = 560 * yard / pound",
    "woollen_run = 1600 * yard / pound",
    "linen_lea = 300 * yard / pound",
    "metre_per_100_gram = meter / (100 * gram)",
)


@cache
def registry() -> "UnitRegistry[Any]":
    """Give Pint's units and those that it lacks."""
    # Imported here because it takes half a second, and only the commands about yarn ask for it.
    from pint import UnitRegistry

    units: UnitRegistry[Any] = UnitRegistry()
    for definition in OWN_UNITS:
        units.define(definition)
    return units


def tex_of(count: Quantity, system: CountSystem) -> Quantity:
    """Give the tex (g/km) of a count in another system.

    Examples
    --------
    >>> round(tex_of(20.0, "Ne"), 3)
    29.527
    """
    tex, direct = _in_tex(system)
    return count * tex if direct else tex / count


def count_of(tex: Quantity, system: CountSystem) -> Quantity:
    """Give the count in another system of a yarn of so many tex.

    Examples
    --------
    >>> round(count_of(354.325, "yd/lb"))
    1400
    """
    in_tex, direct = _in_tex(system)
    return tex / in_tex if direct else in_tex / tex


def is_direct(system: CountSystem) -> bool:
    """Tell whether a larger number is a thicker yarn."""
    return _in_tex(system)[1]


@cache
def _in_tex(system: CountSystem) -> tuple[float, bool]:
    """The tex of a yarn that counts one, and whether the count is direct."""
    one = registry().Quantity(1.0, PINT_UNITS[system])
    direct = bool(one.check("[mass] / [length]"))
    return float((one if direct else 1 / one).to("tex").magnitude), direct
