"""Twist, cadence, drafting speed and ratio that belong together, in plain words and as JSON."""

from dataclasses import dataclass, replace
from typing import Final, Literal

from ...calc.facts import USUAL_SLIP_PERCENT
from ...calc.interval import interval_95
from ...calc.quantity import Quantity
from ...calc.twist import per_inch
from .answer import Answer, Row, between
from .as_json import Json, number
from .units import Units, amount, said

WorkedOut = Literal["twist", "cadence", "drafting", "ratio"]
CountedOut = Literal["twist", "treadles", "draw", "ratio"]

STATED: Final = (
    "The interval holds for the numbers as you gave them. Hands and feet are never that even: give 60+-5 or "
    "150+-30cm to see what that does."
)
SLIP: Final = (
    f"A single band slips by {USUAL_SLIP_PERCENT[0]:.0f} to {USUAL_SLIP_PERCENT[1]:.0f} % as a rule, and the "
    "twist falls short by as much, unless the ratio comes from a clip at work."
)


WINDING_ADDS: Final = (
    "This is the twist put in while the yarn is held. Turns that go in while it runs on to the bobbin come "
    "on top, most of all in double drive: see 'whirlwise bobbin'."
)


@dataclass(frozen=True, slots=True)
class TwistPlan:
    """Four numbers that belong together, and which of them was worked out from the others."""

    worked_out: WorkedOut
    ratio: Quantity
    cadence_per_min: Quantity
    drafting_cm_per_min: Quantity
    twist_per_cm: Quantity


@dataclass(frozen=True, slots=True)
class DrawPlan:
    """Four numbers of a draw that belong together, which was worked out, and how fast it goes if told."""

    worked_out: CountedOut
    ratio: Quantity
    draw_cm: Quantity
    treadles: Quantity
    twist_per_cm: Quantity
    cadence_per_min: Quantity | None = None
    drafting_cm_per_min: Quantity | None = None

    def at(self, cadence_per_min: Quantity, drafting_cm_per_min: Quantity) -> "DrawPlan":
        """Give the same at a cadence."""
        return replace(self, cadence_per_min=cadence_per_min, drafting_cm_per_min=drafting_cm_per_min)


def twist_document(plan: TwistPlan) -> Json:
    """Give the plan under stable keys."""
    return {
        "worked_out": plan.worked_out,
        "ratio": number(plan.ratio),
        "cadence_per_min": number(plan.cadence_per_min),
        "drafting_cm_per_min": number(plan.drafting_cm_per_min),
        "twist_per_cm": number(plan.twist_per_cm),
        "twist_per_inch": number(per_inch(plan.twist_per_cm)),
        "drafted_per_treadle_cm": number(plan.drafting_cm_per_min / plan.cadence_per_min),
        "remarks": [STATED, SLIP],
    }


def draw_document(plan: DrawPlan) -> Json:
    """Give a counted draw under stable keys; by the clock only where a cadence was given."""
    clock = (plan.cadence_per_min, plan.drafting_cm_per_min)
    return {
        "worked_out": plan.worked_out,
        "ratio": number(plan.ratio),
        "draw_cm": number(plan.draw_cm),
        "treadles": number(plan.treadles),
        "twist_per_cm": number(plan.twist_per_cm),
        "twist_per_inch": number(per_inch(plan.twist_per_cm)),
        "cadence_per_min": None if clock[0] is None else number(clock[0]),
        "drafting_cm_per_min": None if clock[1] is None else number(clock[1]),
        "remarks": [STATED, WINDING_ADDS, SLIP],
    }


def draw_answer(plan: DrawPlan, units: Units) -> Answer:
    """Put a counted draw into words."""
    draw, hand = amount(plan.draw_cm, "hand", units)
    rows = [
        Row("drive ratio", interval_95(plan.ratio)),
        Row("draw", draw, hand),
        Row("turns of the wheel for it", interval_95(plan.treadles)),
        Row("twist, a cm", interval_95(plan.twist_per_cm)),
        Row("twist, an inch", interval_95(per_inch(plan.twist_per_cm))),
    ]
    if plan.cadence_per_min is not None and plan.drafting_cm_per_min is not None:
        speed, speed_unit = amount(plan.drafting_cm_per_min, "speed", units)
        rows += [
            Row("cadence, a minute", interval_95(plan.cadence_per_min)),
            Row("yarn, draw after draw", speed, speed_unit),
        ]
    return Answer(
        says=(_draw_sentence(plan, units),),
        rows=tuple(rows),
        trust=(
            "One turn of the flyer puts in one turn: twist = ratio x turns of the wheel / length drawn out.",
            STATED,
        ),
        better=(WINDING_ADDS, SLIP),
    )


def _draw_sentence(plan: DrawPlan, units: Units) -> str:
    draw = said(plan.draw_cm, "hand", units)
    match plan.worked_out:
        case "twist":
            return f"The yarn gets {said(plan.twist_per_cm, 'twist', units)}."
        case "treadles":
            return f"Count {between(interval_95(plan.treadles))} turns of the wheel for each draw of {draw}."
        case "draw":
            count = between(interval_95(plan.treadles))
            return f"Draw out {draw} while you count {count} turns of the wheel."
        case "ratio":
            return f"That twist asks for a drive ratio of {between(interval_95(plan.ratio))}."


def twist_answer(plan: TwistPlan, units: Units = "metric") -> Answer:
    """Put the plan into words."""
    speed, speed_unit = amount(plan.drafting_cm_per_min, "speed", units)
    stroke, stroke_unit = amount(plan.drafting_cm_per_min / plan.cadence_per_min, "hand", units)
    return Answer(
        says=(_sentence(plan, units),),
        rows=(
            Row("drive ratio", interval_95(plan.ratio)),
            Row("cadence, a minute", interval_95(plan.cadence_per_min)),
            Row("drafting", speed, speed_unit),
            Row("yarn for each turn of the wheel", stroke, stroke_unit),
            Row("twist, a cm", interval_95(plan.twist_per_cm)),
            Row("twist, an inch", interval_95(per_inch(plan.twist_per_cm))),
        ),
        trust=("One turn of the flyer puts in one turn: twist = ratio x cadence / drafting speed.", STATED),
        better=(SLIP,),
    )


def _sentence(plan: TwistPlan, units: Units) -> str:
    twist = interval_95(plan.twist_per_cm)
    match plan.worked_out:
        case "twist":
            inch = between(interval_95(per_inch(plan.twist_per_cm)))
            return f"The yarn gets {between(twist)} turns per cm, that is {inch} turns per inch."
        case "cadence":
            return f"That twist asks for a cadence of {between(interval_95(plan.cadence_per_min))} a minute."
        case "drafting":
            return f"For that twist draft {said(plan.drafting_cm_per_min, 'speed', units)}."
        case "ratio":
            return f"That twist asks for a drive ratio of {between(interval_95(plan.ratio))}."
