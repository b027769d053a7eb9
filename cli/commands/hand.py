"""``whirlwise hand``: figures taken by hand go into a wheel's file."""

from pathlib import Path
from typing import Annotated

import typer
from uncertainties import UFloat

from ...calc.hand_figures import RULE_HALF_WIDTH_MM, STRING_MM, STRING_THICKNESS_HALF_WIDTH_MM
from ...calc.interval import from_half_width_95
from ...calc.wheel import WHEEL
from ..given.hand import counted_turns, lengths_across, lengths_around
from ..given.numbers import BAND_HALF_WIDTH_MM, length_mm
from ..keep.adding import wheel_to_add_to
from ..keep.hand_numbers import HandFigures, hand_numbers
from ..keep.head_numbers import Pair, pair_typed
from ..keep.kept import UNNAMED_WHIRL
from ..keep.noted_band import noted_band
from ..show.hand_words import hand_answer, hand_document
from ..show.lengths import lengths
from ..trouble import WrongUsageError
from .finish import finish
from .options import HEAD, INSTEAD_OF, JSON, THROUGH, UNITS


def hand(
    context: typer.Context,
    file: Annotated[
        Path, typer.Argument(help="The wheel's file, which is made if it isn't there.", show_default=False)
    ],
    across: Annotated[
        list[str] | None,
        typer.Option(
            help="Measured across with a calliper or rule: rim=450mm, rim/groove=442mm, small=37mm (the edge "
            "of the whirl small), small/groove=27mm, small/band=33mm (over the band lying in it). May be "
            "given more than once; so may --around and --turns.",
            show_default=False,
        ),
    ] = None,
    around: Annotated[
        list[str] | None,
        typer.Option(
            help="Length of a string laid once round: rim=1412mm, rim/groove=1390mm; rim/band=1397mm where "
            "the band itself was laid round.",
            show_default=False,
        ),
    ] = None,
    string: Annotated[
        str | None, typer.Option(help="Thickness of that string, such as 1mm; 1.5+-1mm if left out.")
    ] = None,
    turns: Annotated[
        list[str] | None,
        typer.Option(
            help="Turns of the wheel and of the flyer counted side by side: 10:109 (whole turns), 10:109.5 "
            "(the rest judged by eye), small=10:109 (on the whirl small).",
            show_default=False,
        ),
    ] = None,
    at_work: Annotated[
        bool,
        typer.Option("--at-work", help="The turns were counted while yarn was made, so the band slipped."),
    ] = False,
    apart: Annotated[
        str | None, typer.Option(help="From the wheel's axle to the spindle, such as 386mm.")
    ] = None,
    band: Annotated[
        str | None, typer.Option(help="Thickness of the drive band, such as 2.4mm, where the file lacks it.")
    ] = None,
    v_groove: Annotated[
        bool,
        typer.Option("--v-groove", help="The grooves are Vs, so the band does not reach their bottoms."),
    ] = False,
    head: HEAD = None,
    through: THROUGH = None,
    instead_of: INSTEAD_OF = None,
    units: UNITS = None,
    as_json: JSON = False,
) -> None:
    """Note what you measured with calliper, rule and string, or counted, in a wheel's file."""
    wheel = wheel_to_add_to(file, instead_of)
    pair = pair_typed(head, through)
    # The band that is noted is the great wheel's; a head has one of its own.
    band = band or (None if pair.head else noted_band(file))
    figures = HandFigures(
        across=lengths_across(across or []),
        around=lengths_around(around or []),
        counted=counted_turns(turns or []),
        apart_mm=_length_mm(apart, "--apart", RULE_HALF_WIDTH_MM, "386mm"),
        string_mm=_length_mm(string, "--string", BAND_HALF_WIDTH_MM, "1mm")
        or from_half_width_95(STRING_MM, STRING_THICKNESS_HALF_WIDTH_MM),
        band_mm=_length_mm(band, "--band", BAND_HALF_WIDTH_MM, "2.4mm"),
        v_groove=v_groove,
        at_work=at_work,
    )
    _check_one_whirl(pair, figures)
    numbers = pair.of(hand_numbers(figures))
    if wheel is None or not numbers:
        raise WrongUsageError(
            "hand expects a figure to note: --across, --around, --turns or --apart; 'whirlwise hand --help' "
            "tells how each is written."
        )
    added = wheel.add_by_hand(numbers, {**context.params, "band": band})
    finish(
        hand_document(file.name, numbers, figures),
        hand_answer(numbers, figures, lengths(units, *(across or []), *(around or []), apart)),
        as_json=as_json,
        added=added,
    )


def _check_one_whirl(pair: Pair, figures: HandFigures) -> None:
    named = {place.part for place in (*figures.across, *figures.around)} - {WHEEL}
    named |= {each.whirl for each in figures.counted}
    if pair.head and len(named - {UNNAMED_WHIRL}) > 1:
        raise WrongUsageError(
            f"--head got figures of several whirls ({', '.join(sorted(named))}), but a head turns one, the "
            "spindle's; note another as that of another head."
        )


def _length_mm(text: str | None, option: str, half_width_mm: float, example: str) -> UFloat | None:
    return None if text is None else length_mm(text, option, half_width_mm=half_width_mm, example=example)
