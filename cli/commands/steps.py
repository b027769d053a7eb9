"""``whirlwise steps``: which whirls to make so that a range of ratios is reached in even steps."""

from typing import Annotated

import typer
from uncertainties import nominal_value

from ...calc.comparing import Stretch
from ...calc.groove import GrooveShape, GrooveToTurn, groove_to_turn
from ...calc.whirl_set import WhirlSet, best_set, fewest_for_step
from ..given.making import groove_shape, named_ratios, percent, ratio_range
from ..given.wheel_size import WheelSize, wheel_size, with_head
from ..keep.known_wheel import known_wheel
from ..show.lengths import lengths
from ..show.steps_words import StepsTold, steps_answer, steps_document
from ..trouble import WrongUsageError
from .finish import finish
from .making_options import BAND, FROM_WHIRL, KNOWN_WHEEL, SHAPE, TYPED_RATIOS, WHEEL_GROOVE
from .options import JSON, UNITS


def steps(
    reach: Annotated[
        str, typer.Option("--range", help="Ratios wished for, from the lowest to the highest, such as 6-18.")
    ],
    whirls: Annotated[
        int | None, typer.Option(help="How many whirls you would make.", show_default=False)
    ] = None,
    step: Annotated[
        str | None,
        typer.Option(
            help="Or the widest step you would put up with, in percent, such as 25.",
            show_default=False,
        ),
    ] = None,
    ratio: TYPED_RATIOS = None,
    wheel: KNOWN_WHEEL = None,
    wheel_groove: WHEEL_GROOVE = None,
    from_whirl: FROM_WHIRL = None,
    band: BAND = None,
    shape: SHAPE = "u",
    units: UNITS = None,
    as_json: JSON = False,
) -> None:
    """Choose the whirls to make so that a range of ratios is reached in even steps, given what is there."""
    if (whirls is None) == (step is None):
        raise WrongUsageError("steps expects one of --whirls 3 and --step 25; it works out the other.")
    wish = ratio_range(reach, "--range")
    known = known_wheel(wheel) if wheel else None
    there = {**(known.ratios if known else {})}
    there |= named_ratios(ratio or [], "--ratio", taken=list(there))
    existing = [float(nominal_value(each)) for each in there.values()]
    found = _chosen(wish, whirls, step, existing)
    size, section = None, groove_shape(shape, "--shape")
    if wheel_groove is not None or from_whirl is not None or (known and known.wheel_mm is not None):
        size = with_head(wheel_size(known, wheel_groove, from_whirl, band, section), known)
    told = StepsTold(wish, found, there, _grooves(found, size, section), size)
    shown = lengths(units, wheel_groove, from_whirl, band)
    finish(steps_document(told), steps_answer(told, shown), as_json=as_json)


def _chosen(wish: Stretch, whirls: int | None, step: str | None, existing: list[float]) -> WhirlSet:
    try:
        if whirls is not None:
            return best_set(*wish, whirls, existing)
        widest = 1 + float(nominal_value(percent(step or "", "--step", example="25"))) / 100
        return fewest_for_step(*wish, widest, existing)
    except WrongUsageError:
        raise
    except ValueError as problem:
        raise WrongUsageError(
            f"steps cannot do that: {problem}; ask for another number of whirls or another range."
        ) from problem


def _grooves(found: WhirlSet, size: WheelSize | None, shape: GrooveShape) -> tuple[GrooveToTurn, ...]:
    if size is None:
        return ()
    try:
        return tuple(
            groove_to_turn(ratio, wheel_pitch_mm=size.turning_mm, band_mm=size.band_mm, shape=shape)
            for ratio in found.new
        )
    except ValueError as problem:
        raise WrongUsageError(f"steps cannot do that: {problem}; wish for a lower range.") from problem
