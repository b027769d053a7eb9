"""Wheels side by side, in plain words and as JSON."""

from dataclasses import dataclass
from typing import Final

from uncertainties import nominal_value

from ...calc.comparing import Stretch, WheelCompared, as_good_as_first, ranked
from ...calc.interval import Interval
from ...calc.ladder import CadenceRange
from .answer import Answer
from .as_json import Json, interval_document, number
from .compare_yarn_words import YarnsTold, yarn_sentences, yarn_table, yarns_document, yarns_source
from .ladder_words import CUSTOM, class_document
from .table import table
from .units import Units

COVERS: Final = (
    "A whirl covers the ratios that your feet reach with it by treadling slower or faster, from {slow:.0f} "
    "to {fast:.0f} a minute; shares are of the range's percent steps."
)
MORE: Final = (
    "Ratios are one thing of many: sit down and treadle before you buy, look at bearings and bobbins, and "
    "ask whether a whirl of that size is to be had or can be turned."
)
#: So that a table fits 80 columns.
LONGEST_NAME: Final = 16


@dataclass(frozen=True, slots=True)
class ComparisonTold:
    """Wheels side by side, at which cadence, for which wish, and their yarns where those are asked for."""

    wheels: tuple[WheelCompared, ...]
    cadence: CadenceRange
    wish: Stretch | None
    yarns: YarnsTold | None = None
    units: Units = "metric"

    @property
    def order(self) -> tuple[WheelCompared, ...]:
        """The wheels, those that cover most of the wish first; without a wish as they were given."""
        return ranked(self.wheels) if self.wish else self.wheels


def compare_document(told: ComparisonTold) -> Json:
    """Give the wheels under stable keys."""
    cadence = told.cadence
    return {
        "cadence_per_min": [cadence.slowest_per_min, cadence.fastest_per_min],
        "wish": list(told.wish) if told.wish else None,
        "best": told.order[0].name if told.wish else None,
        "rivals": list(as_good_as_first(told.order)) if told.wish else [],
        "wheels": [_wheel_document(wheel, cadence) for wheel in told.order],
        "yarns": yarns_document(told.yarns) if told.yarns else None,
        "remarks": [CUSTOM, *(yarns_source(told.yarns) if told.yarns else ())],
    }


def _wheel_document(wheel: WheelCompared, cadence: CadenceRange) -> Json:
    rungs, widest = wheel.ladder.rungs, wheel.ladder.widest
    return {
        "name": wheel.name,
        "ratios": [{"whirl": rung.label, "ratio": number(rung.ratio)} for rung in rungs],
        "lowest": interval_document(wheel.ladder.lowest),
        "highest": interval_document(wheel.ladder.highest),
        "speed_class": class_document(wheel.speed_class),
        "widest_step_percent": None if widest is None else number(100 * (widest.factor - 1)),
        "flyer_per_min": [
            number(rungs[0].ratio * cadence.slowest_per_min),
            number(rungs[-1].ratio * cadence.fastest_per_min),
        ],
        "covered_percent": interval_document(wheel.covered_percent),
        "missing": [[round(low, 3), round(high, 3)] for low, high in wheel.missing],
        "add_ons": [round(ratio, 3) for ratio in wheel.add_ons],
    }


def compare_answer(told: ComparisonTold) -> Answer:
    """Put the wheels into words."""
    cadence = told.cadence
    says = tuple(_wish_sentence(wheel) for wheel in told.order) if told.wish else ()
    yarns = yarn_sentences(told.yarns, told.units) if told.yarns else ()
    return Answer(
        says=(*_best_sentences(told), *says, *yarns) or ("The wheels side by side:",),
        tables=(_table(told), *(yarn_table(told.yarns) if told.yarns else ())),
        trust=(
            CUSTOM,
            *(yarns_source(told.yarns) if told.yarns else ()),
            *(
                (COVERS.format(slow=cadence.slowest_per_min, fast=cadence.fastest_per_min),)
                if told.wish
                else ()
            ),
        ),
        better=(MORE,),
    )


def _best_sentences(told: ComparisonTold) -> tuple[str, ...]:
    if told.wish is None or len(told.wheels) < 2:
        return ()
    low, high = told.wish
    first, rivals = told.order[0], as_good_as_first(told.order)
    if first.covered_percent is None or first.covered_percent.value <= 0:
        return (f"None of them reaches any ratio from {low:g} to {high:g}.",)
    best = f"For ratios from {low:g} to {high:g} {first.name} covers most."
    if not rivals:
        return (best,)
    return (f"{best} As far as these numbers tell, {' and '.join(rivals)} may do as well.",)


def _wish_sentence(wheel: WheelCompared) -> str:
    covers = f"{wheel.name} covers {_share(wheel.covered_percent)} of it"
    if not wheel.missing:
        return f"{covers}."
    gaps = " and ".join(f"{low:.1f} to {high:.1f}" for low, high in wheel.missing)
    ratios = [f"{ratio:.1f}" for ratio in wheel.add_ons]
    one = (
        f"a whirl of {ratios[0]}"
        if len(ratios) == 1
        else f"whirls of {', '.join(ratios[:-1])} and {ratios[-1]}"
    )
    return f"{covers}; it lacks {gaps}, which {one} would close."


def _share(covered: Interval | None) -> str:
    if covered is None:
        return "nothing"
    low, high = round(covered.low), round(covered.high)
    return f"{covered.value:.0f} %" + (f" (from {low} to {high})" if high > low else "")


def _table(told: ComparisonTold) -> str:
    headings = ["wheel", "whirls", "ratios", "class", "widest\nstep, %", "flyer\na minute"]
    if told.wish:
        headings.append("covers\n%")
    rows = []
    for wheel in told.order:
        rungs, widest = wheel.ladder.rungs, wheel.ladder.widest
        slow = nominal_value(rungs[0].ratio) * told.cadence.slowest_per_min
        fast = nominal_value(rungs[-1].ratio) * told.cadence.fastest_per_min
        row = [
            wheel.name[:LONGEST_NAME],
            str(len(rungs)),
            _range(wheel),
            "-".join(wheel.speed_class.names),
            "" if widest is None else f"{100 * (nominal_value(widest.factor) - 1):.0f}",
            f"{slow:.0f}-{fast:.0f}",
        ]
        if wheel.covered_percent is not None:
            row.append(f"{wheel.covered_percent.value:.0f}")
        rows.append(row)
    return table(headings, rows)


def _range(wheel: WheelCompared) -> str:
    low, high = (f"{each.value:.3g}" for each in (wheel.ladder.lowest, wheel.ladder.highest))
    return low if len(wheel.ladder.rungs) == 1 else f"{low}-{high}"
