"""Which of several whirls suits a wished twist, when cadence and drafting speed are to stay."""

from collections.abc import Mapping
from dataclasses import dataclass

from uncertainties import nominal_value

from .interval import interval_95
from .quantity import Quantity
from .twist import cadence_for_twist, twist_per_cm


@dataclass(frozen=True, slots=True)
class WhirlInUse:
    """What one whirl gives at the kept cadence, and what it would ask for.

    Attributes
    ----------
    label : str
        Its name.
    ratio : Quantity
        Its drive ratio.
    twist_per_cm : Quantity
        Turns per cm at the kept cadence and drafting speed.
    cadence_per_min : Quantity
        Turns of the wheel a minute that would give the wished twist.
    cadence_change_percent : Quantity
        How much faster (above zero) or slower than the kept cadence that is.
    """

    label: str
    ratio: Quantity
    twist_per_cm: Quantity
    cadence_per_min: Quantity
    cadence_change_percent: Quantity


@dataclass(frozen=True, slots=True)
class WhirlChoice:
    """The whirls from the best to the worst.

    Attributes
    ----------
    ranked : tuple of WhirlInUse
        The one that asks for the smallest change of cadence comes first.
    rivals : tuple of str
        Names of whirls that the uncertainty does not let us tell from the best.
    """

    ranked: tuple[WhirlInUse, ...]
    rivals: tuple[str, ...]

    @property
    def best(self) -> WhirlInUse:
        """The whirl to take."""
        return self.ranked[0]


def choose_whirl(
    ratios: Mapping[str, Quantity],
    *,
    twist_per_cm_wished: Quantity,
    cadence_per_min: Quantity,
    drafting_cm_per_min: Quantity,
) -> WhirlChoice:
    """Rank whirls by how little the cadence must change to give the wished twist.

    Parameters
    ----------
    ratios : mapping of str to Quantity
        Drive ratio of each whirl by its name, at least one.
    twist_per_cm_wished, cadence_per_min, drafting_cm_per_min : Quantity
        What is wanted and what is to stay.

    Raises
    ------
    ValueError
        Where there is no whirl to choose from.
    """
    if not ratios:
        raise ValueError("there must be at least one whirl to choose from")

    def in_use(label: str, ratio: Quantity) -> WhirlInUse:
        wanted_per_min = cadence_for_twist(twist_per_cm_wished, ratio, drafting_cm_per_min)
        return WhirlInUse(
            label=label,
            ratio=ratio,
            twist_per_cm=twist_per_cm(ratio, cadence_per_min, drafting_cm_per_min),
            cadence_per_min=wanted_per_min,
            cadence_change_percent=100 * (wanted_per_min / cadence_per_min - 1),
        )

    whirls = [in_use(label, ratio) for label, ratio in ratios.items()]
    ranked = tuple(sorted(whirls, key=lambda whirl: float(nominal_value(_change(whirl)))))
    rivals = tuple(
        whirl.label for whirl in ranked[1:] if interval_95(_change(whirl) - _change(ranked[0])).low <= 0
    )
    return WhirlChoice(ranked, rivals)


def _change(whirl: WhirlInUse) -> Quantity:
    """Size of the change of cadence, whichever way it goes."""
    change = whirl.cadence_change_percent
    return change if nominal_value(change) >= 0 else -change
