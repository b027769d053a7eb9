"""Which yarns several wheels spin, in plain words and as JSON."""

from dataclasses import dataclass
from typing import Final

from uncertainties import nominal_value

from ...calc.comparing_yarns import Hands, YarnOnWheel, YarnsOfWheel, as_good_as_first
from ...calc.interval import Interval
from ...calc.yarn_facts import TwistUse
from .as_json import Json, interval_document, number
from .map_words import counted
from .table import table
from .units import Units, count_unit, short_name, to

WANTS: Final = (
    "A yarn asks for the ratios that give it the twist usual for its use, at the middle of your cadence and "
    "at your drafting speed; whoever drafts faster or more slowly spins other yarns."
)


@dataclass(frozen=True, slots=True)
class YarnsTold:
    """What each wheel spins, the most useful first; how the spinner works; what the yarn is for."""

    wheels: tuple[YarnsOfWheel, ...]
    hands: Hands
    use: TwistUse


def yarns_document(told: YarnsTold) -> Json:
    """Give the yarns under stable keys."""
    wished = bool(told.wheels[0].yarns)
    return {
        "drafting_cm_per_min": number(told.hands.drafting_cm_per_min),
        "use": f"{told.use.fibre} {told.use.use}",
        "twist_multiplier": number(told.hands.multiplier),
        "best": told.wheels[0].name if wished else None,
        "rivals": list(as_good_as_first(told.wheels)) if wished else [],
        "wheels": [
            {
                "name": wheel.name,
                "singles_tex": [round(end, 3) for end in wheel.singles_tex],
                "yarns": [
                    {
                        "yarn": each.wish.name,
                        "tex": number(each.wish.tex),
                        "ratio": interval_document(each.wish.ratios),
                        "whirl": each.whirl,
                        "spins": each.spins,
                    }
                    for each in wheel.yarns
                ],
            }
            for wheel in told.wheels
        ],
    }


def yarns_source(told: YarnsTold) -> tuple[str, ...]:
    """Say what the yarns rest on."""
    return (WANTS, f"Where the usual twist comes from: {told.use.source}.")


def yarn_sentences(told: YarnsTold, units: Units) -> tuple[str, ...]:
    """Say which singles each wheel spins, which suits the yarns wished for, and what the others lack."""
    return (
        *(_reach(wheel, told.use, units) for wheel in told.wheels),
        *_best(told),
        *(sentence for wheel in told.wheels for sentence in _lacks(wheel)),
    )


def _reach(wheel: YarnsOfWheel, use: TwistUse, units: Units) -> str:
    system, (finest, thickest) = count_unit(units), wheel.singles_tex
    ends = counted(Interval(finest, finest, thickest), system)
    return f"{wheel.name} spins {use.fibre} {use.use} singles of {to(ends, digits=2)} {system}."


def _best(told: YarnsTold) -> tuple[str, ...]:
    first, count = told.wheels[0], len(told.wheels[0].yarns)
    if not count or len(told.wheels) < 2:
        return ()
    if not first.worth:
        return ("None of them spins any of the yarns wished for.",)
    sure = sum(each.spins == "yes" for each in first.yarns)
    maybe = sum(each.spins == "perhaps" for each in first.yarns)
    best = f"For the yarns wished for take {first.name}: it spins {sure} of {count}"
    best += f", and perhaps {maybe} more." if maybe else "."
    rivals = as_good_as_first(told.wheels)
    return (
        f"{best} As far as these numbers tell, {' and '.join(rivals)} may do as well." if rivals else best,
    )


def _lacks(wheel: YarnsOfWheel) -> tuple[str, ...]:
    lacking = [each for each in wheel.yarns if each.spins == "no"]
    if not lacking:
        return ()
    whirls = " and ".join(f"{_ratio(each)} for {each.wish.name}" for each in lacking)
    return (f"{wheel.name} lacks a whirl of {whirls}.",)


def _ratio(each: YarnOnWheel) -> str:
    return f"{nominal_value(each.wish.ratios.value):.1f}"


def yarn_table(told: YarnsTold) -> tuple[str, ...]:
    """List each yarn with each wheel; no table where no yarn is wished for."""
    rows = [
        [
            short_name(wheel.name),
            each.wish.name,
            _ratio(each),
            to(each.wish.ratios),
            short_name(each.whirl),
            each.spins,
        ]
        for wheel in told.wheels
        for each in wheel.yarns
    ]
    headings = [
        "wheel",
        "singles",
        "asks for\na ratio of",
        "as far as\ncustom goes",
        "best\nwhirl",
        "spins it",
    ]
    return (table(headings, rows, left=(0, 1, 4, 5)),) if rows else ()
