"""Which whirls to make for a range, in plain words and as JSON."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from uncertainties import nominal_value

from ...calc.comparing import Stretch
from ...calc.groove import GrooveToTurn
from ...calc.quantity import Quantity
from ...calc.whirl_set import WhirlSet
from ..given.wheel_size import WheelSize
from .answer import Answer
from .as_json import Json, number
from .groove_words import MIND
from .lengths import Lengths
from .table import table

EVEN: Final = (
    "Steps are even in percent: every ratio wished for is then as near as can be to a whirl, and the feet "
    "make up for the rest."
)
GROOVE: Final = "'whirlwise groove' tells how exactly to turn each, and draws it in true size."


@dataclass(frozen=True, slots=True)
class StepsTold:
    """Whirls to make.

    Attributes
    ----------
    wish : (float, float)
    found : WhirlSet
    there : mapping of str to Quantity
        Ratios that are there, by their whirls' names.
    grooves : tuple of GrooveToTurn
        One for each new ratio; empty where the wheel's size is not known.
    size : WheelSize or None
    """

    wish: Stretch
    found: WhirlSet
    there: Mapping[str, Quantity]
    grooves: tuple[GrooveToTurn, ...]
    size: WheelSize | None


def steps_document(told: StepsTold) -> Json:
    """Give the whirls to make under stable keys; lengths in mm."""
    grooves = {groove.ratio: groove for groove in told.grooves}
    return {
        "range": list(told.wish),
        "new": [
            {
                "ratio": number(ratio),
                "pitch_mm": number(grooves[ratio].pitch_mm) if ratio in grooves else None,
                "bottom_mm": number(grooves[ratio].bottom_mm) if ratio in grooves else None,
            }
            for ratio in told.found.new
        ],
        "there": [{"whirl": label, "ratio": number(ratio)} for label, ratio in told.there.items()],
        "widest_step_percent": number(100 * (told.found.widest_step - 1)),
        "remarks": [EVEN, *(MIND if told.grooves else ())],
    }


def steps_answer(told: StepsTold, shown: Lengths) -> Answer:
    """Put the whirls to make into words."""
    return Answer(
        says=(_sentence(told),),
        tables=(_table(told, shown),),
        trust=(EVEN, *((told.size.told_by,) if told.size else ())),
        better=(GROOVE,),
        mind=MIND if told.grooves else (),
    )


def _sentence(told: StepsTold) -> str:
    low, high = told.wish
    widest = f"{100 * (told.found.widest_step - 1):.0f} %"
    new = [f"{ratio:.2f}" for ratio in told.found.new]
    if not new:
        return f"From {low:g} to {high:g} nothing need be made: no step is wider than {widest}."
    one = "a whirl" if len(new) == 1 else f"{len(new)} whirls"
    ratios = new[0] if len(new) == 1 else f"{', '.join(new[:-1])} and {new[-1]}"
    return (
        f"For ratios from {low:g} to {high:g} make {one} with {ratios}; then no step is wider than {widest}."
    )


def _table(told: StepsTold, shown: Lengths) -> str:
    grooves = {groove.ratio: groove for groove in told.grooves}
    names = {float(nominal_value(ratio)): label for label, ratio in told.there.items()}
    headings = ["whirl", "ratio", "step up\nin percent"]
    if told.grooves:
        headings += [f"groove's bottom\n{shown.unit}", f"band's middle\n{shown.unit}"]
    steps = ["", *(f"{100 * (high / low - 1):.0f}" for low, high in pairwise(told.found.all))]
    rows = []
    for ratio, step in zip(told.found.all, steps, strict=True):
        row = [names.get(ratio, "to make")[:24], f"{ratio:.2f}", step]
        if told.grooves:
            groove = grooves.get(ratio)
            row += ["", ""] if groove is None else [shown.cell(groove.bottom_mm), shown.cell(groove.pitch_mm)]
        rows.append(row)
    return table(headings, rows)
