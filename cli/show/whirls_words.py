"""Which whirl suits, in plain words and as JSON."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from uncertainties import nominal_value

from ...calc.interval import interval_95
from ...calc.quantity import Quantity
from ...calc.remedies import Pace, Remedy
from ...calc.twist import per_inch
from ...calc.whirls import WhirlChoice, WhirlInUse
from ...calc.yarn_facts import TwistUse
from ..keep.kept import UNNAMED_WHIRL
from .answer import Answer, between
from .as_json import Json, number
from .rounding import texts
from .table import table
from .twist_words import SLIP, STATED
from .units import Units, amount, count_amount, plus_minus, said, short_name

REMEDIES: Final = (
    "Treadling faster tires, drafting more slowly makes less yarn; both turn the wheel as often for a yard. "
    "Another whirl costs neither."
)
KNEES: Final = "If treadling faster hurts, don't: change the whirl or draft more slowly."
RULE: Final = "One turn of the flyer puts in one turn: twist = ratio x cadence / drafting speed."


@dataclass(frozen=True, slots=True)
class Wish:
    """The twist wished for; where it comes from a yarn, its singles, plies and use."""

    twist_per_cm: Quantity
    singles_tex: Quantity | None = None
    plies: int = 1
    use: TwistUse | None = None


def whirls_document(choice: WhirlChoice, wish: Wish, costs: Sequence[Remedy], wanted_ratio: Quantity) -> Json:
    """Give the choice under stable keys, the best whirl first."""
    return {
        "best": choice.best.label,
        "rivals": list(choice.rivals),
        **_wish_document(wish),
        "wanted_ratio": number(wanted_ratio),
        "whirls": [
            {
                "whirl": cost.whirl.label,
                "ratio": number(cost.whirl.ratio),
                "fits": cost.fits,
                "twist_per_cm": number(cost.whirl.twist_per_cm),
                "cadence_per_min": number(cost.whirl.cadence_per_min),
                "cadence_change_percent": number(cost.whirl.cadence_change_percent),
                "drafting_cm_per_min": number(cost.drafting_cm_per_min),
                "lost_m_per_hour": number(cost.lost_m_per_hour),
                "treadles_per_m": number(cost.treadles_per_m),
            }
            for cost in costs
        ],
        "remarks": [*_wish_sentences(wish, "metric"), STATED, SLIP],
    }


def _wish_document(wish: Wish) -> Json:
    return {
        "wished_twist_per_cm": number(wish.twist_per_cm),
        "wished_twist_per_inch": number(per_inch(wish.twist_per_cm)),
        "singles_tex": None if wish.singles_tex is None else number(wish.singles_tex),
    }


def whirls_answer(
    choice: WhirlChoice, wish: Wish, costs: Sequence[Remedy], wanted_ratio: Quantity, units: Units
) -> Answer:
    """Put the choice into words."""
    return Answer(
        says=(
            *_wish_sentences(wish, units),
            _best_sentence(choice.best, costs[0], units),
            *_rival_sentences(choice),
            *(() if costs[0].fits else (_wanted_sentence(wanted_ratio),)),
        ),
        tables=(_cost_table(costs, units),),
        trust=(RULE, REMEDIES, STATED),
        better=(SLIP, *_source(wish)),
        mind=() if costs[0].fits else (KNEES,),
    )


def _best_sentence(whirl: WhirlInUse, cost: Remedy, units: Units) -> str:
    twist = said(whirl.twist_per_cm, "twist", units)
    takes = f"Take the whirl {whirl.label}: at your cadence and drafting speed it gives {twist}"
    if whirl.label == UNNAMED_WHIRL:
        takes = f"Take the whirl: at your cadence and drafting speed it gives {twist}"
    if cost.fits:
        return f"{takes}, the twist you wish for as far as these numbers tell."
    return f"{takes}. {_either_remedy(cost, units)}"


def _either_remedy(cost: Remedy, units: Units) -> str:
    change = float(nominal_value(cost.whirl.cadence_change_percent))
    cadence = texts(interval_95(cost.whirl.cadence_per_min))[0]
    lost, pace_unit = amount(cost.lost_m_per_hour, "pace", units)
    speed, speed_unit = amount(cost.drafting_cm_per_min, "speed", units)
    return (
        f"The twist you wish for would take {cadence} turns of the wheel a minute, {abs(change):.0f} % "
        f"{'faster' if change > 0 else 'slower'} than now; or draft {texts(speed)[0]} {speed_unit}, which "
        f"{'costs' if change > 0 else 'gains'} {abs(lost.value):.0f} {pace_unit}."
    )


def _wanted_sentence(wanted_ratio: Quantity) -> str:
    wanted = texts(interval_95(wanted_ratio))
    return f"A whirl of ratio {wanted[0]} ({wanted[1]} to {wanted[2]}) would need neither."


def _rival_sentences(choice: WhirlChoice) -> tuple[str, ...]:
    if not choice.rivals:
        return ()
    names = " and ".join(choice.rivals)
    return (f"As far as these numbers tell, {names} may suit as well.",)


def _cost_table(costs: Sequence[Remedy], units: Units) -> str:
    """What each whirl gives, and what the wished twist would cost with it."""
    twist_unit, pace_unit = amount(1.0, "twist", units)[1], amount(1.0, "pace", units)[1]
    speed_unit = amount(1.0, "speed", units)[1]
    headings = [
        "whirl",
        "ratio",
        f"turns{twist_unit}\nas now",
        "treadles\na minute",
        "that is\nfaster",
        f"drafting\n{speed_unit}",
        f"gain\n{pace_unit}",
    ]
    return table(headings, [_cost_row(cost, units) for cost in costs])


def _cost_row(cost: Remedy, units: Units) -> list[str]:
    change = float(nominal_value(cost.whirl.cadence_change_percent))
    return [
        short_name(cost.whirl.label),
        plus_minus(interval_95(cost.whirl.ratio)),
        plus_minus(amount(cost.whirl.twist_per_cm, "twist", units)[0]),
        _round(cost.whirl.cadence_per_min),
        f"{change:+.0f} %",
        _round(amount(cost.drafting_cm_per_min, "speed", units)[0].value),
        f"{-float(nominal_value(amount(cost.lost_m_per_hour, 'pace', units)[0].value)):+.0f}",
    ]


def _round(quantity: Quantity) -> str:
    return f"{float(nominal_value(quantity)):.0f}"


def paces_document(wish: Wish, paces: Sequence[Pace]) -> Json:
    """Give what each whirl asks of the hands, where no drafting speed was given, under stable keys."""
    return {
        **_wish_document(wish),
        "whirls": [
            {
                "whirl": each.label,
                "ratio": number(each.ratio),
                "drafted_per_treadle_cm": number(each.drafted_cm_per_treadle),
                "drafting_cm_per_min": number(each.drafting_cm_per_min),
                "m_per_hour": number(each.m_per_hour),
                "flyer_per_min": number(each.flyer_per_min),
            }
            for each in paces
        ],
        "remarks": [*_wish_sentences(wish, "metric"), STATED, SLIP],
    }


def paces_answer(wish: Wish, paces: Sequence[Pace], units: Units) -> Answer:
    """Put into words what each whirl asks of the hands."""
    ordered = sorted(paces, key=lambda each: float(nominal_value(each.ratio)))
    return Answer(
        says=(
            *_wish_sentences(wish, units),
            "Each whirl gives it at one pace of the hands. Take the one whose pace is yours:",
        ),
        tables=(_pace_table(ordered, units),),
        trust=(RULE, STATED),
        better=(
            "Draft for a minute as you always do, measure the yarn, and give it as --drafting: then one "
            "whirl is named, and what the others would cost.",
            SLIP,
            *_source(wish),
        ),
    )


def _pace_table(paces: Sequence[Pace], units: Units) -> str:
    hand, speed = amount(1.0, "hand", units)[1], amount(1.0, "speed", units)[1]
    headings = [
        "whirl",
        "ratio",
        f"draft\n{hand}/treadle",
        f"that is\n{speed}",
        f"singles\n{amount(1.0, 'pace', units)[1]}",
        "flyer turns\na minute",
    ]
    rows = [
        [
            short_name(each.label),
            plus_minus(interval_95(each.ratio)),
            plus_minus(amount(each.drafted_cm_per_treadle, "hand", units)[0]),
            plus_minus(amount(each.drafting_cm_per_min, "speed", units)[0]),
            plus_minus(amount(each.m_per_hour, "pace", units)[0]),
            _round(each.flyer_per_min),
        ]
        for each in paces
    ]
    return table(headings, rows)


def _wish_sentences(wish: Wish, units: Units) -> tuple[str, ...]:
    if wish.singles_tex is None or wish.use is None:
        return ()
    count, unit = count_amount(wish.singles_tex, units)
    thick, twist = between(count, unit), said(wish.twist_per_cm, "twist", units)
    alone = f"The yarn is spun as singles of {thick}."
    spun = alone if wish.plies == 1 else f"Its {wish.plies} singles are spun at {thick}."
    return (f"{spun} For {wish.use.fibre} {wish.use.use} yarn that usually takes {twist}.",)


def _source(wish: Wish) -> tuple[str, ...]:
    if wish.use is None:
        return ()
    return (
        f"Where the usual twist comes from: {wish.use.source}.",
        "Spin a sample and wash it before you trust it.",
    )
