"""``whirlwise band``: which band to order or cut, how well it grips, and what another thickness changes."""

from dataclasses import dataclass
from typing import Annotated, Literal

import typer

from ...calc.cord import BandChange, BandPath, change_of_band, cord_to_cut
from ...calc.grip import USUAL_FRICTION, grips
from ...calc.groove import GrooveShape
from ...calc.quantity import Quantity
from ..given.band_path import Pitches, apart_mm, band_paths, whirl_pitches_mm, with_other_band
from ..given.making import KNOT_HALF_WIDTH_MM, groove_shape, percent
from ..given.making import friction as friction_typed
from ..given.numbers import BAND_HALF_WIDTH_MM, length_mm
from ..given.wheel_size import U, WheelSize, wheel_size
from ..keep.known_wheel import known_wheel
from ..show.band_words import BandOnPath, BandTold, band_answer, band_document
from ..show.lengths import lengths
from .finish import finish
from .making_options import BAND, FROM_WHIRL, KNOWN_WHEEL, SHAPE, WHEEL_GROOVE
from .options import JSON, UNITS


def band(
    wheel: KNOWN_WHEEL = None,
    whirl: Annotated[
        list[str] | None,
        typer.Option(
            help="Name of a whirl in the wheel's file; left out, all are taken. May be given more than once.",
            show_default=False,
        ),
    ] = None,
    wheel_groove: WHEEL_GROOVE = None,
    from_whirl: FROM_WHIRL = None,
    whirl_groove: Annotated[
        list[str] | None,
        typer.Option(
            help="Diameter of a whirl where the band rests, such as 41.5mm or small=41.5mm; without a file. "
            "Double: the flyer's first, then the bobbin's.",
            show_default=False,
        ),
    ] = None,
    apart: Annotated[
        str | None,
        typer.Option(help="From the wheel's axle to the spindle, such as 430mm or 17in.", show_default=False),
    ] = None,
    band: BAND = None,
    new_band: Annotated[
        str | None,
        typer.Option(help="Thickness of the new band, where it is another one.", show_default=False),
    ] = None,
    lay: Annotated[
        Literal["open", "crossed", "double"], typer.Option(help="How the band is laid; double: twice round.")
    ] = "open",
    stretch: Annotated[
        str, typer.Option(help="How much longer the cord gets under its tension, in percent, such as 3+-1.")
    ] = "0",
    knot: Annotated[
        str | None,
        typer.Option(help="Cord that knot and ends take in all, such as 60mm.", show_default=False),
    ] = None,
    travel: Annotated[
        str | None,
        typer.Option(
            help="How far the spindle can be moved to tighten the band, such as 20mm.", show_default=False
        ),
    ] = None,
    friction: Annotated[
        str, typer.Option(help="Friction between band and groove, such as 0.3+-0.1.")
    ] = f"{USUAL_FRICTION[0]}+-{USUAL_FRICTION[1]}",
    shape: SHAPE = "u",
    units: UNITS = None,
    as_json: JSON = False,
) -> None:
    """Tell how long a new band must be, how well it grips, and what a thicker or thinner one changes."""
    known = known_wheel(wheel) if wheel else None
    section = groove_shape(shape, "--shape")
    size = wheel_size(known, wheel_groove, from_whirl, band, section)
    whirls_mm = whirl_pitches_mm(known, whirl or [], whirl_groove or [], size, section, lay)
    centre_mm = apart_mm(known, apart)
    changes: tuple[BandChange, ...] = ()
    if new_band is not None:
        new_mm = length_mm(new_band, "--new-band", half_width_mm=BAND_HALF_WIDTH_MM, example="3mm")
        changes = _changes(size, whirls_mm, new_mm, section)
        size, whirls_mm = with_other_band(size, whirls_mm, new_mm, section)
    cord = _Cord(
        percent(stretch, "--stretch", example="3 or 3+-1", zero_too=True),
        length_mm(knot, "--knot", half_width_mm=KNOT_HALF_WIDTH_MM, example="60mm") if knot else 0.0,
        float(length_mm(travel, "--travel", half_width_mm=1.0, example="20mm").nominal_value)
        if travel
        else 0.0,
    )
    rubbing = friction_typed(friction, "--friction")
    laid = tuple(
        _laid(path, cord, rubbing, section.wedge(size.band_mm))
        for path in band_paths(lay, size.pitch_mm, whirls_mm, centre_mm)
    )
    told = BandTold(lay, size, laid, changes, cord.travel_mm, knotted=knot is not None)
    shown = lengths(units, wheel_groove, from_whirl, apart, band, new_band, *(whirl_groove or []))
    finish(band_document(told), band_answer(told, shown), as_json=as_json)


@dataclass(frozen=True, slots=True)
class _Cord:
    """What was typed of the cord itself."""

    stretch_percent: Quantity
    knot_mm: Quantity
    travel_mm: float


def _laid(path: BandPath, cord: _Cord, friction: Quantity, wedge: float) -> BandOnPath:
    return BandOnPath(
        path,
        cord_to_cut(
            path,
            stretch_percent=cord.stretch_percent,
            knot_mm=cord.knot_mm,
            travel_mm=cord.travel_mm,
        ),
        grips(path, friction, dict.fromkeys(path.whirls_mm, wedge)),
    )


def _changes(
    size: WheelSize, whirls_mm: Pitches, new_mm: Quantity, shape: GrooveShape
) -> tuple[BandChange, ...]:
    return change_of_band(
        size.pitch_mm,
        whirls_mm,
        band_mm=size.band_mm,
        other_band_mm=new_mm,
        wheel_shape=U,
        whirl_shape=shape,
    )
