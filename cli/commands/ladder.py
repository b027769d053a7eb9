"""``whirlwise ladder``: all ratios of a wheel in a row, its class, its steps, and what one more would add."""

from typing import Annotated

import typer

from ...calc.addition import Addition, addition
from ...calc.groove import pitch_of_groove
from ...calc.ladder import Ladder, ladder_of, with_heads
from ...calc.quantity import Quantity
from ...calc.ratios import drive_ratio
from ..given.making import (
    cadence_range,
    groove_mm,
    groove_shape,
    named_ratios,
    percent,
    ratio_typed,
)
from ..given.wheel_size import wheel_size
from ..keep.known_wheel import KnownWheel, known_wheel
from ..show.ladder_words import LadderTold, ladder_answer, ladder_document
from ..show.plot_file import plot_file
from ..trouble import WrongUsageError
from .finish import finish
from .making_options import BAND, FROM_WHIRL, KNOWN_WHEEL, SHAPE, SLIP, TYPED_RATIOS, WHEEL_GROOVE
from .options import FORCE_PLOT, JSON, PLOT


def ladder(
    ratio: TYPED_RATIOS = None,
    wheel: KNOWN_WHEEL = None,
    head: Annotated[
        list[str] | None,
        typer.Option(
            help="Ratio of an accelerating head, such as 6.2 or quick=6.2: what the great wheel's ratios are "
            "to be multiplied by. Given once for each head, or each whirl on it.",
            show_default=False,
        ),
    ] = None,
    slip: SLIP = "0",
    cadence: Annotated[
        str | None,
        typer.Option(
            help="Turns of the wheel a minute, such as 60, or from slow to fast, such as 55-70.",
            show_default=False,
        ),
    ] = None,
    new: Annotated[
        str | None,
        typer.Option(
            help="A whirl that you might buy or make: its ratio, such as 18, or the diameter of its groove, "
            "such as 28mm, where the wheel's size and the band are known.",
            show_default=False,
        ),
    ] = None,
    wheel_groove: WHEEL_GROOVE = None,
    from_whirl: FROM_WHIRL = None,
    band: BAND = None,
    shape: SHAPE = "u",
    plot: PLOT = None,
    force: FORCE_PLOT = False,
    as_json: JSON = False,
) -> None:
    """Set a wheel's ratios in a row: slow or fast, steps between them, what one more whirl would add."""
    place = plot_file(plot, force=force)
    known = known_wheel(wheel) if wheel else None
    slipping = percent(slip, "--slip", example="1 or 1+-1", zero_too=True)
    kept = 1 - slipping / 100
    ratios, heads = _ratios(known, ratio or [], named_ratios(head or [], "--head"))
    rungs = ladder_of({label: each * kept for label, each in ratios.items()})
    added = None
    if new is not None:
        one_more = _new_ratio(new, known, wheel_groove, from_whirl, band, shape)
        added = addition(rungs, one_more * kept * _only(heads))
    told = LadderTold(rungs, cadence_range(cadence, "--cadence") if cadence else None, added, slipping)
    if place:
        place.write(_plot(rungs, known.name if known else "", added))
    finish(ladder_document(told), ladder_answer(told), as_json=as_json, plot=place)


def _ratios(
    known: KnownWheel | None, typed: list[str], heads: dict[str, Quantity]
) -> tuple[dict[str, Quantity], dict[str, Quantity]]:
    """The ratios in question, and those of the heads behind which they are."""
    there, from_file = (known.ratios, known.heads) if known else ({}, {})
    if from_file and heads:
        raise WrongUsageError(
            f"--head is for ratios that are typed; the wheel's file knows its heads: {', '.join(from_file)}."
        )
    if heads:
        there = with_heads(there, heads)
    ratios = {**there, **with_heads(named_ratios(typed, "--ratio", taken=list(there)), heads)}
    if not ratios:
        raise WrongUsageError(
            "There is no ratio to go by; give --ratio small=12.5 for each whirl, or --wheel FILE of a wheel "
            "whose ratio is known."
        )
    return ratios, heads or from_file


def _only(heads: dict[str, Quantity]) -> Quantity:
    """The ratio of the head behind which a new whirl would turn; 1 where there is none."""
    if len(heads) > 1:
        raise WrongUsageError(
            f"--new is one whirl more on one head, but there are several ({', '.join(heads)}); type --ratio "
            "and give the --head that is meant alone."
        )
    return next(iter(heads.values()), 1.0)


def _new_ratio(
    text: str,
    known: KnownWheel | None,
    wheel_groove: str | None,
    from_whirl: str | None,
    band: str | None,
    shape: str,
) -> Quantity:
    """The ratio of the whirl in question, typed or worked out from its groove."""
    if not text.rstrip()[-1:].isalpha():
        return ratio_typed(text, "--new")
    groove = groove_shape(shape, "--shape")
    size = wheel_size(known, wheel_groove, from_whirl, band, groove)
    return drive_ratio(size.pitch_mm, pitch_of_groove(groove_mm(text, "--new"), size.band_mm, groove))


def _plot(rungs: Ladder, name: str, added: Addition | None) -> bytes:
    # Imported here because the plotting library takes longer to load than all else together.
    from ..show.ladder_plot import LadderShown, ladder_plot

    return ladder_plot([LadderShown(name, rungs, (added.ratio,) if added else ())])
