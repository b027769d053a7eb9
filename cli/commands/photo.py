"""``whirlwise photo``: sizes and ratios from one picture."""

from pathlib import Path
from typing import Annotated

import typer
from uncertainties import UFloat

from ...calc.interval import from_half_width_95
from ...vision.open.picture import open_picture
from ...vision.photo import PhotoSettings, measure_photo
from ..given.numbers import (
    BAND_HALF_WIDTH_MM,
    DISTANCE_HALF_WIDTH_MM,
    NO_OFFSET_HALF_WIDTH_MM,
    OFFSET_HALF_WIDTH_MM,
    length_mm,
)
from ..given.points import point_px
from ..given.references import references
from ..show.as_json import photo_document
from ..show.photo_words import photo_answer
from ..show.proof_file import proof_file
from ..show.proof_photo import proof_of_photo
from .finish import finish
from .options import FORCE, JSON, PROOF


def photo(
    file: Annotated[Path, typer.Argument(help="The picture, as the camera saved it.", show_default=False)],
    reference: Annotated[
        list[str] | None,
        typer.Option(
            help="What of known size lies in the picture: auto (if left out: a card is looked for), none, "
            "card, a4, a5, letter, sheet (printed by 'whirlwise sheet'; sheet=199.5mm if that is how "
            "long its 200 mm line came out), marker=60mm (side of a square marker, dictionary DICT_4X4_50) "
            "or points=X1,Y1,X2,Y2,300mm. May be given more than once.",
            show_default=False,
        ),
    ] = None,
    offset: Annotated[
        str | None,
        typer.Option(
            help="How far the reference stands in front of the band's plane, towards the camera, such as "
            "17mm or 17+-3mm; negative behind it; 0+-5mm if left out.",
            show_default=False,
        ),
    ] = None,
    band: Annotated[str | None, typer.Option(help="Thickness of the drive band, such as 2.4mm.")] = None,
    groove: Annotated[
        str | None,
        typer.Option(
            help="Depth of the wheel's groove, such as 5mm; it serves wheels without a band, later."
        ),
    ] = None,
    hub: Annotated[str | None, typer.Option(help="A click on the axle: X,Y in pixels.")] = None,
    whirl: Annotated[
        list[str] | None,
        typer.Option(help="A click on the whirl's middle: X,Y in pixels. May be given more than once."),
    ] = None,
    as_json: JSON = False,
    proof: PROOF = None,
    force: FORCE = False,
) -> None:
    """Measure a wheel's drive ratio and sizes from one picture."""
    settings = _settings(reference, offset, band, groove, hub, whirl)
    place = proof_file(proof, source=file, force=force)
    reading = measure_photo(file, settings)
    if place:
        place.write(proof_of_photo(open_picture(file).bgr, reading))
    finish(photo_document(reading), photo_answer(reading), as_json=as_json, proof=place)


def _settings(
    reference: list[str] | None,
    offset: str | None,
    band: str | None,
    groove: str | None,
    hub: str | None,
    whirl: list[str] | None,
) -> PhotoSettings:
    given = references(reference or [])
    return PhotoSettings(
        references=given.requests,
        no_reference=given.without,
        offset_mm=_offset_mm(offset),
        band_mm=_thickness_mm(band, "--band", BAND_HALF_WIDTH_MM, "2.4mm"),
        groove_depth_mm=_thickness_mm(groove, "--groove", DISTANCE_HALF_WIDTH_MM, "5mm"),
        hub_px=None if hub is None else point_px(hub, "--hub"),
        whirls_px=tuple(point_px(each, "--whirl") for each in whirl or []),
    )


def _thickness_mm(text: str | None, option: str, half_width_mm: float, example: str) -> UFloat | None:
    return None if text is None else length_mm(text, option, half_width_mm=half_width_mm, example=example)


def _offset_mm(text: str | None) -> UFloat:
    if text is None:
        return from_half_width_95(0.0, NO_OFFSET_HALF_WIDTH_MM)
    return length_mm(text, "--offset", half_width_mm=OFFSET_HALF_WIDTH_MM, positive=False)
