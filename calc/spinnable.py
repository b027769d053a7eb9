"""Which yarns a wheel spins at one cadence: the grist that each whirl's twist suits.

At a kept cadence and drafting speed a whirl gives one twist. A use asks for a twist multiplier, so that twist
suits one grist: Ne = (turns per inch / multiplier)^2. The range of multipliers makes a range of grists.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from uncertainties import nominal_value

from .interval import Interval, interval_95
from .quantity import Quantity
from .twist import twist_per_cm
from .yarn import over_ends, tex_for_twist


@dataclass(frozen=True, slots=True)
class Spinnable:
    """What one whirl spins.

    Attributes
    ----------
    label : str
    ratio, twist_per_cm : Quantity
    tex : Interval
        Singles that this twist suits; the interval holds the doubt of the twist and the range of the use.
    """

    label: str
    ratio: Quantity
    twist_per_cm: Quantity
    tex: Interval


def spinnable(
    ratios: Mapping[str, Quantity],
    *,
    cadence_per_min: Quantity,
    drafting_cm_per_min: Quantity,
    multiplier: Quantity,
) -> tuple[Spinnable, ...]:
    """Tell for each whirl which singles it spins, the lowest ratio first.

    Raises
    ------
    ValueError
        If the twist may as well be none.
    """

    def tex(twist: float, factor: float) -> float:
        return float(nominal_value(tex_for_twist(twist, factor)))

    def of_whirl(label: str, ratio: Quantity) -> Spinnable:
        twist = twist_per_cm(ratio, cadence_per_min, drafting_cm_per_min)
        if interval_95(twist).low <= 0:
            raise ValueError(f"the twist of whirl {label} is too doubtful to tell a yarn by")
        return Spinnable(label, ratio, twist, over_ends(tex, twist, multiplier))

    found = [of_whirl(label, ratio) for label, ratio in ratios.items()]
    return tuple(sorted(found, key=lambda each: float(nominal_value(each.ratio))))
