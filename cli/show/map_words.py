"""Which yarns a wheel spins at one cadence, in plain words and as JSON."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from ...calc.interval import Interval, interval_95
from ...calc.quantity import Quantity
from ...calc.spinnable import Spinnable
from ...calc.twist import per_inch
from ...calc.yarn_counts import CountSystem, count_of
from ...calc.yarn_facts import TwistUse
from .answer import Answer
from .as_json import Json, interval_document, number
from .table import table
from .twist_words import SLIP, STATED
from .units import Units, amount, count_unit, few_digits, plus_minus, short_name, to

RULE: Final = (
    "One turn of the flyer puts in one turn: twist = ratio x cadence / drafting speed. That twist suits the "
    "grist for which it makes the usual twist multiplier, turns an inch / sqrt(cotton count)."
)
OTHER_YARNS: Final = (
    "Thicker or thinner yarns are spun on the same whirl by drafting faster or more slowly, or at another "
    "cadence: 'whirlwise whirls' tells what that costs."
)


@dataclass(frozen=True, slots=True)
class YarnMap:
    """What each whirl spins at one cadence and drafting speed, the lowest ratio first."""

    cadence_per_min: Quantity
    drafting_cm_per_min: Quantity
    use: TwistUse
    whirls: Sequence[Spinnable]


def counted(tex: Interval, system: CountSystem) -> Interval:
    """Turn an interval of tex into one of another count; a thick yarn counts low in most."""
    ends = [interval_95(count_of(end, system)).value for end in (tex.low, tex.high)]
    return Interval(interval_95(count_of(tex.value, system)).value, min(ends), max(ends))


def map_document(found: YarnMap) -> Json:
    """Give the map under stable keys."""
    return {
        "cadence_per_min": number(found.cadence_per_min),
        "drafting_cm_per_min": number(found.drafting_cm_per_min),
        "use": f"{found.use.fibre} {found.use.use}",
        "twist_multiplier": number(found.use.multiplier),
        "whirls": [
            {
                "whirl": each.label,
                "ratio": number(each.ratio),
                "twist_per_cm": number(each.twist_per_cm),
                "twist_per_inch": number(per_inch(each.twist_per_cm)),
                "tex": interval_document(each.tex),
                "m_per_100g": interval_document(counted(each.tex, "m/100g")),
                "yd_per_lb": interval_document(counted(each.tex, "yd/lb")),
            }
            for each in found.whirls
        ],
        "remarks": [f"Where the usual twist comes from: {found.use.source}.", STATED, SLIP],
    }


def map_answer(found: YarnMap, units: Units) -> Answer:
    """Put the map into words."""
    system = count_unit(units)
    ranges = [counted(each.tex, system) for each in found.whirls]
    low, high = min(each.low for each in ranges), max(each.high for each in ranges)
    whole = to(Interval(low, low, high), digits=2)
    return Answer(
        says=(
            f"At this cadence and drafting speed the wheel spins {found.use.fibre} {found.use.use} singles "
            f"of {whole} {system}.",
        ),
        tables=(_table(found, units),),
        trust=(RULE, STATED, f"Where the usual twist comes from: {found.use.source}."),
        better=(OTHER_YARNS, SLIP),
    )


def _table(found: YarnMap, units: Units) -> str:
    system = count_unit(units)
    headings = [
        "whirl",
        "ratio",
        f"twist\nturns{amount(1.0, 'twist', units)[1]}",
        f"singles\n{system}",
        "as far as\ncustom goes",
    ]
    rows = [
        [
            short_name(each.label),
            plus_minus(interval_95(each.ratio)),
            plus_minus(amount(each.twist_per_cm, "twist", units)[0]),
            few_digits(counted(each.tex, system).value, 2),
            to(counted(each.tex, system), digits=2),
        ]
        for each in found.whirls
    ]
    return table(headings, rows)
