"""A wheel's ratios in a row, in plain words and as JSON."""

from dataclasses import dataclass
from typing import Final

from uncertainties import nominal_value

from ...calc.addition import Addition
from ...calc.facts import USUAL_SLIP_PERCENT
from ...calc.interval import Interval, interval_95
from ...calc.ladder import CadenceRange, Ladder, Step, out_of_reach
from ...calc.quantity import Quantity
from ...calc.speed_class import SpeedClass, speed_class
from .answer import Answer, between
from .as_json import Json, interval_document, number
from .rounding import texts
from .table import table

CUSTOM: Final = (
    "Slow, medium and fast are custom, without a source: a highest ratio of about 10 to 11 is called slow, "
    "13 to 14 with a lowest of 5 to 6 medium, 16 and above with a lowest of 6 to 8 fast."
)
SHARED: Final = (
    "A step between two ratios of one wheel's file is known better than either, because both share the wheel."
)
STEPS_OF_FEET: Final = (
    "Steps below 3 % are lost in the unevenness of any foot, so such ratios count as one (common practice)."
)
SLIP: Final = (
    f"At work a single band slips by {USUAL_SLIP_PERCENT[0]:.0f} to {USUAL_SLIP_PERCENT[1]:.0f} % as a rule: "
    "--slip 1+-1 takes that off."
)
LOW_ENDS: Final = {
    "lower": "Its lowest ratio is lower than usual for that class, which is good for thick yarn.",
    "usual": "Its lowest ratio is usual for that class.",
    "higher": "Its lowest ratio is higher than usual for that class; a slow whirl for thick yarn is missing.",
}


@dataclass(frozen=True, slots=True)
class LadderTold:
    """What is told: the ladder, at which cadence, what one more whirl would add, which slip was taken off."""

    ladder: Ladder
    cadence: CadenceRange | None = None
    added: Addition | None = None
    slip_percent: Quantity = 0.0

    @property
    def speed_class(self) -> SpeedClass:
        """The wheel's class."""
        several = len(self.ladder.rungs) > 1
        return speed_class(self.ladder.highest, self.ladder.lowest if several else None)


def ladder_document(told: LadderTold) -> Json:
    """Give the ladder under stable keys, from the lowest ratio to the highest."""
    cadence = told.cadence
    return {
        "rungs": [
            {
                "whirl": rung.label,
                "ratio": number(rung.ratio),
                "flyer_per_min": None
                if cadence is None
                else [
                    number(rung.ratio * each) for each in (cadence.slowest_per_min, cadence.fastest_per_min)
                ],
            }
            for rung in told.ladder.rungs
        ],
        "steps": [
            {
                "below": step.below,
                "above": step.above,
                "factor": number(step.factor),
                "same_in_use": step.same_in_use,
            }
            for step in told.ladder.steps
        ],
        "lowest": interval_document(told.ladder.lowest),
        "highest": interval_document(told.ladder.highest),
        "speed_class": class_document(told.speed_class),
        "out_of_reach": [
            {
                "below": step.below,
                "above": step.above,
                "from_flyer_per_min": number(slow),
                "to_flyer_per_min": number(fast),
            }
            for step, slow, fast in _unreached(told)
        ],
        "slip_percent": number(told.slip_percent),
        "new": None if told.added is None else _added_document(told.added),
        "remarks": [CUSTOM],
    }


def class_document(found: SpeedClass) -> Json:
    """Give a wheel's class under stable keys."""
    return {
        "names": list(found.names),
        "possible": list(found.possible),
        "straddled": list(found.straddled),
        "low_end": found.low_end,
    }


def _added_document(added: Addition) -> Json:
    return {
        "ratio": number(added.ratio),
        "where": added.where,
        "nearest": added.nearest.label,
        "from_nearest_percent": number(added.from_nearest_percent),
        "maybe_same": added.maybe_same,
        "widest_step_before": round(added.widest_before, 4),
        "widest_step_after": round(added.widest_after, 4),
        "span_before": round(added.span_before, 4),
        "span_after": round(added.span_after, 4),
    }


def _unreached(told: LadderTold) -> tuple[tuple[Step, Quantity, Quantity], ...]:
    cadence = told.cadence
    if cadence is None or cadence.slowest_per_min == cadence.fastest_per_min:
        return ()
    return out_of_reach(told.ladder, cadence)


def ladder_answer(told: LadderTold) -> Answer:
    """Put the ladder into words."""
    says = [_range_sentence(told.ladder), class_sentence(told.ladder.highest, told.speed_class)]
    if told.speed_class.low_end:
        says.append(LOW_ENDS[told.speed_class.low_end])
    if told.ladder.widest is not None and len(told.ladder.steps) > 1:
        says.append(_widest_sentence(told.ladder.widest))
    says += [_same_sentence(step) for step in told.ladder.steps if step.same_in_use]
    says += [_unreached_sentence(*each) for each in _unreached(told)]
    if told.added is not None:
        says.append(added_sentence(told.added))
    return Answer(
        says=tuple(says),
        tables=(_table(told),),
        trust=(*_slip_sentences(told), CUSTOM, *((SHARED, STEPS_OF_FEET) if told.ladder.steps else ())),
        better=() if told.slip_percent else (SLIP,),
    )


def _slip_sentences(told: LadderTold) -> tuple[str, ...]:
    if not told.slip_percent:
        return ()
    return (f"Ratios at work: {between(interval_95(told.slip_percent), '%')} is taken off for the slip.",)


def _range_sentence(ladder: Ladder) -> str:
    if len(ladder.rungs) == 1:
        return f"The one ratio is {between(ladder.highest)}."
    return f"The ratios go from {between(ladder.lowest)} to {between(ladder.highest)}."


def class_sentence(highest: Interval, found: SpeedClass) -> str:
    """Say which class a wheel belongs to, and whether its highest ratio's interval leaves others open."""
    if len(found.names) == 1:
        named = f"By its highest ratio it is called a {found.names[0]} wheel"
    else:
        named = f"By its highest ratio it stands between a {found.names[0]} and a {found.names[1]} wheel"
    if not found.straddled:
        return f"{named}."
    limits = " and ".join(f"{limit:g}" for limit in found.straddled)
    others = [name for name in found.possible if name not in found.names]
    may = f"; it may be {' or '.join(others)}" if others else ""
    low, high = texts(highest)[1:]
    return f"{named}, but its interval, {low} to {high}, reaches over the limit at {limits}{may}."


def _widest_sentence(step: Step) -> str:
    return (
        f"The widest step is from {step.below} to {step.above}: {_faster(step.factor)} at the same cadence."
    )


def _faster(factor: Quantity) -> str:
    return f"the flyer turns {between(interval_95(100 * (factor - 1)), '%')} faster"


def _same_sentence(step: Step) -> str:
    return f"{step.below} and {step.above} are so near to each other that they may be one in use."


def _unreached_sentence(step: Step, slow: Quantity, fast: Quantity) -> str:
    return (
        f"Between {step.below} and {step.above} your feet reach no flyer speed from "
        f"{nominal_value(slow):.0f} to {nominal_value(fast):.0f} turns a minute."
    )


def added_sentence(added: Addition) -> str:
    """Say what one more whirl would add."""
    ratio = between(interval_95(added.ratio))
    change = interval_95(added.from_nearest_percent)
    above = f"{change.value:.0f} % above {added.nearest.label}"
    away = above if change.value > 0 else f"{-change.value:.0f} % below {added.nearest.label}"
    if added.where == "same":
        same = f"it does what {added.nearest.label} does already"
        return f"The new whirl, ratio {ratio}, adds nothing in use: {same}."
    doubt = (
        f" As far as these numbers tell, it may be no more than another {added.nearest.label}: measure first."
        if added.maybe_same
        else ""
    )
    if added.where == "between":
        before, after = _percent(added.widest_before), _percent(added.widest_after)
        steps = f"the widest step shrinks from {before} to {after}"
        if added.widest_after >= added.widest_before * (1 - 1e-9):
            steps = f"the widest step, {before}, is elsewhere and stays"
        low, high = (rung.label if rung else "" for rung in (added.below, added.above))
        between_them = f"between {low} and {high}, {away}; {steps}"
        return f"The new whirl, ratio {ratio}, stands {between_them}.{doubt}"
    end = "faster than all, for fine yarn" if added.where == "top" else "slower than all, for thick yarn"
    return (
        f"The new whirl, ratio {ratio}, is {end}: {away}. The highest ratio is then "
        f"{added.span_after:.2f} times the lowest, now {added.span_before:.2f} times.{doubt}"
    )


def _percent(factor: float) -> str:
    return f"{100 * (factor - 1):.0f} %"


def _table(told: LadderTold) -> str:
    headings = ["whirl", "ratio", "from", "to", "step up\nin percent"]
    if told.cadence is not None:
        headings.append("flyer turns\na minute")
    factors = [None, *(step.factor for step in told.ladder.steps)]
    rows = []
    for rung, factor in zip(told.ladder.rungs, factors, strict=True):
        step = "" if factor is None else f"{100 * (nominal_value(factor) - 1):.0f}"
        row = [rung.label[:24], *texts(interval_95(rung.ratio)), step]
        if told.cadence is not None:
            row.append(_speeds(rung.ratio, told.cadence))
        rows.append(row)
    return table(headings, rows)


def _speeds(ratio: Quantity, cadence: CadenceRange) -> str:
    slow, fast = (
        f"{nominal_value(ratio) * each:.0f}" for each in (cadence.slowest_per_min, cadence.fastest_per_min)
    )
    return slow if slow == fast else f"{slow} to {fast}"
