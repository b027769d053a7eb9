"""Twist, cadence, drafting speed and ratio that belong together, in plain words and as JSON."""

from dataclasses import dataclass
from typing import Final, Literal

from ...calc.facts import USUAL_SLIP_PERCENT
from ...calc.interval import Interval, interval_95
from ...calc.quantity import Quantity
from ...calc.twist import per_inch
from .answer import Answer, Row, between
from .as_json import Json, number

WorkedOut = Literal["twist", "cadence", "drafting", "ratio"]

STATED: Final = (
    "The interval holds for the numbers as you gave them. Hands and feet are never that even: give 60+-5 or "
    "150+-30cm to see what that does."
)
SLIP: Final = (
    f"A single band slips by {USUAL_SLIP_PERCENT[0]:.0f} to {USUAL_SLIP_PERCENT[1]:.0f} % as a rule, and the "
    "twist falls short by as much, unless the ratio comes from a clip at work."
)


@dataclass(frozen=True, slots=True)
class TwistPlan:
    """Four numbers that belong together, and which of them was worked out from the others."""

    worked_out: WorkedOut
    ratio: Quantity
    cadence_per_min: Quantity
    drafting_cm_per_min: Quantity
    twist_per_cm: Quantity


def twist_document(plan: TwistPlan) -> Json:
    """Give the plan under stable keys."""
    return {
        "worked_out": plan.worked_out,
        "ratio": number(plan.ratio),
        "cadence_per_min": number(plan.cadence_per_min),
        "drafting_cm_per_min": number(plan.drafting_cm_per_min),
        "twist_per_cm": number(plan.twist_per_cm),
        "twist_per_inch": number(per_inch(plan.twist_per_cm)),
        "remarks": [STATED, SLIP],
    }


def twist_answer(plan: TwistPlan) -> Answer:
    """Put the plan into words."""
    return Answer(
        says=(_sentence(plan),),
        rows=(
            Row("drive ratio", interval_95(plan.ratio)),
            Row("cadence, a minute", interval_95(plan.cadence_per_min)),
            Row("drafting, a minute", interval_95(plan.drafting_cm_per_min), "cm"),
            Row("twist, a cm", interval_95(plan.twist_per_cm)),
            Row("twist, an inch", interval_95(per_inch(plan.twist_per_cm))),
        ),
        trust=("One turn of the flyer puts in one turn: twist = ratio x cadence / drafting speed.", STATED),
        better=(SLIP,),
    )


def _sentence(plan: TwistPlan) -> str:
    twist = interval_95(plan.twist_per_cm)
    match plan.worked_out:
        case "twist":
            inch = between(interval_95(per_inch(plan.twist_per_cm)))
            return f"The yarn gets {between(twist)} turns per cm, that is {inch} turns per inch."
        case "cadence":
            return f"That twist asks for a cadence of {between(interval_95(plan.cadence_per_min))} a minute."
        case "drafting":
            length: Interval = interval_95(plan.drafting_cm_per_min)
            return f"For that twist draft {between(length, 'cm')} of yarn a minute."
        case "ratio":
            return f"That twist asks for a drive ratio of {between(interval_95(plan.ratio))}."
