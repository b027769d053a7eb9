"""``whirlwise groove``: which groove to turn for a wished ratio, and a template of it in true size."""

from pathlib import Path
from typing import Annotated

import typer
from uncertainties import nominal_value

from ...calc.groove import GrooveShape, GrooveToTurn, groove_to_turn
from ...calc.quantity import Quantity
from ..given.making import groove_shape, percent, ratio_typed
from ..given.wheel_size import WheelSize, wheel_size, with_head
from ..keep.known_wheel import known_wheel
from ..show.groove_words import PRINT_IT, GroovesTold, groove_answer, groove_document
from ..show.lengths import Lengths, lengths
from ..show.new_file import NewFile, new_file
from ..show.paper import PAPERS_MM
from ..trouble import WrongUsageError
from .finish import finish
from .making_options import BAND, FROM_WHIRL, KNOWN_WHEEL, SHAPE, SLIP, WHEEL_GROOVE
from .options import JSON, UNITS

KINDS = {".pdf": "PDF pages", ".svg": "SVG drawings"}


def groove(
    ratio: Annotated[
        list[str],
        typer.Option(help="Ratio wished for, such as 18; given once for each groove of the whirl."),
    ],
    wheel: KNOWN_WHEEL = None,
    wheel_groove: WHEEL_GROOVE = None,
    from_whirl: FROM_WHIRL = None,
    band: BAND = None,
    shape: SHAPE = "u",
    slip: SLIP = "0",
    within: Annotated[
        str, typer.Option(help="How far the ratio may be off when turned, in percent either way.")
    ] = "1",
    template: Annotated[
        Path | None,
        typer.Option(
            help="Write a template of the whirl in true size, to print: FILE.pdf or FILE.svg.",
            show_default=False,
        ),
    ] = None,
    paper: Annotated[str, typer.Option(help="Paper of the template: a4 or letter.")] = "a4",
    force: Annotated[
        bool, typer.Option("--force", help="Let --template write over a file that is there.")
    ] = False,
    units: UNITS = None,
    as_json: JSON = False,
) -> None:
    """Tell which groove to turn for a wished ratio, how exactly, and draw it in true size."""
    if paper.lower() not in PAPERS_MM:
        raise WrongUsageError.of_option("--paper", paper, "a4 or letter")
    known = known_wheel(wheel) if wheel else None
    section = groove_shape(shape, "--shape")
    size = with_head(wheel_size(known, wheel_groove, from_whirl, band, section), known)
    slipping = percent(slip, "--slip", example="1 or 1+-1", zero_too=True)
    tolerance = float(nominal_value(percent(within, "--within", example="1")))
    grooves = [_turned(each, size, section, slipping, tolerance) for each in ratio]
    told = GroovesTold(
        tuple(sorted(grooves, key=lambda each: -each.ratio)), size, section, tolerance, slipping
    )
    place = _place(template, force) if template else None
    shown = lengths(units, wheel_groove, from_whirl, band)
    if place:
        _draw(place, told, paper.lower(), shown)
    finish(groove_document(told), groove_answer(told, shown), as_json=as_json)
    if place and not as_json:
        typer.echo(f"\nTemplate in true size: {place.path}\n{PRINT_IT}")


def _turned(
    text: str, size: WheelSize, shape: GrooveShape, slip_percent: Quantity, tolerance_percent: float
) -> GrooveToTurn:
    wished = float(nominal_value(ratio_typed(text, "--ratio")))
    try:
        return groove_to_turn(
            wished,
            wheel_pitch_mm=size.turning_mm,
            band_mm=size.band_mm,
            shape=shape,
            slip_percent=slip_percent,
            tolerance_percent=tolerance_percent,
        )
    except ValueError as problem:
        raise WrongUsageError(f"--ratio got '{text}', but {problem}; wish for less.") from problem


def _place(path: Path, force: bool) -> NewFile:
    ending = path.suffix.lower()
    return new_file(
        path,
        option="--template",
        named="template",
        ending=ending if ending in KINDS else ".pdf",
        kind=KINDS.get(ending, "PDF pages or SVG drawings"),
        force=force,
    )


def _draw(place: NewFile, told: GroovesTold, paper: str, shown: Lengths) -> None:
    # Imported here because the plotting library takes longer to load than all else together.
    from ..show.whirl_template import whirl_template

    place.write(whirl_template(told, paper, place.path.suffix.lower(), shown))
