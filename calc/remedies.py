"""What it costs to spin a wished twist on a whirl that does not suit: more treadling, or less yarn.

At a kept cadence and drafting speed each whirl gives one twist. If that is too little, the spinner can
treadle faster, draft more slowly, or change the whirl; if it is too much, the other way round.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from .interval import interval_95
from .quantity import Quantity
from .ratios import driven_speed
from .twist import drafting_for_twist, ratio_for_twist
from .whirls import WhirlInUse

#: From cm a minute to m an hour.
M_PER_HOUR: Final = 60 / 100


@dataclass(frozen=True, slots=True)
class Remedy:
    """How one whirl can be made to give the wished twist.

    Attributes
    ----------
    whirl : WhirlInUse
        With the cadence that it would take at the kept drafting speed.
    fits : bool
        Whether the wished twist lies within what the whirl gives anyway.
    drafting_cm_per_min : Quantity
        The drafting speed that it would take at the kept cadence.
    lost_m_per_hour : Quantity
        Yarn that this drafting speed costs; below zero where it makes more.
    treadles_per_m : Quantity
        Turns of the wheel for a metre of yarn of that twist, whichever way.
    """

    whirl: WhirlInUse
    fits: bool
    drafting_cm_per_min: Quantity
    lost_m_per_hour: Quantity
    treadles_per_m: Quantity


def remedies(
    whirls: Sequence[WhirlInUse],
    *,
    twist_per_cm_wished: Quantity,
    cadence_per_min: Quantity,
    drafting_cm_per_min: Quantity,
) -> tuple[Remedy, ...]:
    """Tell for each whirl, in the order given, what the wished twist would cost."""

    def remedy(whirl: WhirlInUse) -> Remedy:
        slower = drafting_for_twist(twist_per_cm_wished, whirl.ratio, cadence_per_min)
        apart = interval_95(whirl.twist_per_cm - twist_per_cm_wished)
        return Remedy(
            whirl=whirl,
            fits=apart.low <= 0 <= apart.high,
            drafting_cm_per_min=slower,
            lost_m_per_hour=(drafting_cm_per_min - slower) * M_PER_HOUR,
            treadles_per_m=100 * twist_per_cm_wished / whirl.ratio,
        )

    return tuple(map(remedy, whirls))


def wanted_ratio(
    *, twist_per_cm_wished: Quantity, cadence_per_min: Quantity, drafting_cm_per_min: Quantity
) -> Quantity:
    """Give the ratio of the whirl that would need no remedy."""
    return ratio_for_twist(twist_per_cm_wished, cadence_per_min, drafting_cm_per_min)


@dataclass(frozen=True, slots=True)
class Pace:
    """What a whirl asks of the hands for a wished twist at a kept cadence, where no drafting speed is given.

    Attributes
    ----------
    label : str
    ratio : Quantity
    drafted_cm_per_treadle : Quantity
        Yarn to draft during one turn of the wheel.
    drafting_cm_per_min, m_per_hour : Quantity
        The same by the clock.
    flyer_per_min : Quantity
        Turns of the flyer a minute.
    """

    label: str
    ratio: Quantity
    drafted_cm_per_treadle: Quantity
    drafting_cm_per_min: Quantity
    m_per_hour: Quantity
    flyer_per_min: Quantity


def pace(label: str, ratio: Quantity, *, twist_per_cm: Quantity, cadence_per_min: Quantity) -> Pace:
    """Reckon the pace of one whirl."""
    drafting = drafting_for_twist(twist_per_cm, ratio, cadence_per_min)
    return Pace(
        label=label,
        ratio=ratio,
        drafted_cm_per_treadle=ratio / twist_per_cm,
        drafting_cm_per_min=drafting,
        m_per_hour=drafting * M_PER_HOUR,
        flyer_per_min=driven_speed(cadence_per_min, ratio),
    )
