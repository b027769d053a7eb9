"""``whirlwise profile``: every groove of a whirl from one picture taken side-on."""

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer
from uncertainties import UFloat

from ...calc.interval import from_half_width_95
from ...vision.open.picture import open_picture
from ...vision.profile import ProfileSettings, measure_profile
from ...vision.profile_reading import ProfileReading
from ..given.numbers import BAND_HALF_WIDTH_MM, LEVEL_HALF_WIDTH_MM, OFFSET_HALF_WIDTH_MM, length_mm
from ..given.points import point_px
from ..given.references import references
from ..given.whirl import whirl_label
from ..keep.adding import wheel_to_add_to
from ..keep.noted_band import noted_band
from ..keep.numbers import profile_numbers
from ..show.as_json import profile_document
from ..show.profile_words import profile_answer
from ..show.proof_file import proof_file
from ..show.proof_profile import proof_of_profile
from .finish import finish
from .options import ADD_TO, FORCE, INSTEAD_OF, JSON, PROOF


def profile(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="The picture, as the camera saved it.", show_default=False)],
    reference: Annotated[
        list[str] | None,
        typer.Option(
            help="What of known size lies in the picture: auto (if left out: a card is looked for), none, "
            "card, a4, a5, letter, rule, marker=60mm (side of a square marker, dictionary DICT_4X4_50) or "
            "points=X1,Y1,X2,Y2,50mm. May be given more than once: the one that is seen best serves.",
            show_default=False,
        ),
    ] = None,
    offset: Annotated[
        str | None,
        typer.Option(
            help="How far the reference stands in front of the middle of the spindle, towards the camera, "
            "such as 5mm or 5+-1mm; negative behind it; 0+-3mm if left out.",
            show_default=False,
        ),
    ] = None,
    band: Annotated[
        str | None,
        typer.Option(
            help="Thickness of the drive band, such as 2.4mm: tells where it runs. The file may know it."
        ),
    ] = None,
    whirl: Annotated[
        str | None, typer.Option(help="A click on the whirl, where it is not found: X,Y in pixels.")
    ] = None,
    label: Annotated[
        str | None,
        typer.Option(
            help="Name of this whirl, for a wheel with several: its grooves are then called 'small step 1' "
            "and so on, or just 'small' if there is only one.",
            show_default=False,
        ),
    ] = None,
    add_to: ADD_TO = None,
    instead_of: INSTEAD_OF = None,
    as_json: JSON = False,
    proof: PROOF = None,
    force: FORCE = False,
) -> None:
    """Measure every groove of a whirl, or of a flyer with its bobbin, seen side-on."""
    band = band or noted_band(add_to)
    given = references(reference or [])
    settings = ProfileSettings(
        references=given.requests,
        no_reference=given.without,
        offset_mm=_offset_mm(offset),
        band_mm=None
        if band is None
        else length_mm(band, "--band", half_width_mm=BAND_HALF_WIDTH_MM, example="2.4mm"),
        whirl_px=None if whirl is None else point_px(whirl, "--whirl"),
    )
    place = proof_file(proof, source=file, force=force)
    kept = wheel_to_add_to(add_to, instead_of)
    name = whirl_label(label)
    reading = _named(measure_profile(file, settings), name)
    if place:
        place.write(proof_of_profile(open_picture(file).bgr, reading))
    added = (
        kept.add("profile", file, profile_numbers(reading), {**context.params, "band": band})
        if kept
        else None
    )
    finish(profile_document(reading), profile_answer(reading), as_json=as_json, proof=place, added=added)


def _named(reading: ProfileReading, label: str | None) -> ProfileReading:
    """Put the whirl's name before those of its grooves."""
    if label is None:
        return reading
    several = len(reading.steps) > 1
    names = [f"{label} {step.label}" if several else label for step in reading.steps]
    steps = tuple(replace(step, label=name) for step, name in zip(reading.steps, names, strict=True))
    return replace(reading, steps=steps)


def _offset_mm(text: str | None) -> UFloat:
    if text is None:
        return from_half_width_95(0.0, LEVEL_HALF_WIDTH_MM)
    return length_mm(text, "--offset", half_width_mm=OFFSET_HALF_WIDTH_MM, positive=False)
