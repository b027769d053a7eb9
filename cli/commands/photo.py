"""``whirlwise photo``: sizes and ratios from one picture."""

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer
from uncertainties import UFloat

from ...calc.interval import from_half_width_95
from ...vision.open.picture import open_picture
from ...vision.photo import PhotoSettings, measure_photo
from ...vision.photo_reading import PhotoReading
from ..given.numbers import (
    BAND_HALF_WIDTH_MM,
    DISTANCE_HALF_WIDTH_MM,
    NO_OFFSET_HALF_WIDTH_MM,
    OFFSET_HALF_WIDTH_MM,
    length_mm,
)
from ..given.points import point_px
from ..given.references import references
from ..given.whirl import whirl_label
from ..keep.adding import wheel_to_add_to
from ..keep.facts import sha256_of
from ..keep.head_numbers import pair_typed
from ..keep.knowing import with_known_size
from ..keep.noted_band import noted_band
from ..keep.numbers import photo_numbers
from ..keep.store import read_wheel
from ..show.as_json import photo_document
from ..show.photo_words import photo_answer
from ..show.proof_file import proof_file
from ..show.proof_photo import proof_of_photo
from ..trouble import WrongUsageError
from .finish import finish
from .options import ADD_TO, FORCE, HEAD, INSTEAD_OF, JSON, LABEL, PROOF, WHEEL_FILE


def photo(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="The picture, as the camera saved it.", show_default=False)],
    reference: Annotated[
        list[str] | None,
        typer.Option(
            help="What of known size lies in the picture: auto (if left out: a card is looked for), none, "
            "card, a4, a5, letter (add ,at=X1,Y1,...,X4,Y4 to point at the corners of one of these), "
            "rule (its ticks are read), coin=EUR-2, coin=USD-0.25 or "
            "coin=24.26mm (add ,at=X,Y to point at it), sheet (printed by 'whirlwise sheet'; "
            "sheet=199.5mm if that is how long its 200 mm line came out), marker=60mm (side of a square "
            "marker, dictionary DICT_4X4_50) or points=X1,Y1,X2,Y2,300mm. May be given more than once.",
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
    band: Annotated[
        str | None,
        typer.Option(help="Thickness of the drive band, such as 2.4mm; the wheel's file may know it."),
    ] = None,
    groove: Annotated[
        str | None,
        typer.Option(
            help="Depth of the wheel's groove, from the rim's outer edge to its bottom, such as 5mm; without "
            "a band on the wheel it tells where one would run."
        ),
    ] = None,
    hub: Annotated[str | None, typer.Option(help="A click on the axle: X,Y in pixels.")] = None,
    whirl: Annotated[
        list[str] | None,
        typer.Option(help="A click on the whirl's middle: X,Y in pixels. May be given more than once."),
    ] = None,
    rim: Annotated[
        list[str] | None,
        typer.Option(
            help="A click on the rim's outer edge, where several round edges show: X,Y in pixels. May be "
            "given more than once."
        ),
    ] = None,
    band_at: Annotated[
        list[str] | None,
        typer.Option(
            help="A click on a straight run of the band, where something else was taken for it: X,Y in "
            "pixels. May be given more than once."
        ),
    ] = None,
    wheel: WHEEL_FILE = None,
    add_to: ADD_TO = None,
    instead_of: INSTEAD_OF = None,
    label: LABEL = None,
    head: HEAD = None,
    as_json: JSON = False,
    proof: PROOF = None,
    force: FORCE = False,
) -> None:
    """Measure a wheel's drive ratio and sizes from one picture."""
    pair = pair_typed(head, label=label)
    if pair.head and wheel is not None:
        raise WrongUsageError(
            "--wheel knows the great wheel's size, which says nothing of a head's own pair."
        )
    # The band that is noted is the great wheel's; a head has one of its own.
    band = band or (None if pair.head else noted_band(add_to or wheel))
    settings = photo_settings(reference, offset, band, groove, hub, whirl, rim, band_at)
    place = proof_file(proof, source=file, force=force)
    kept = wheel_to_add_to(add_to, instead_of)
    known = None if wheel is None else read_wheel(wheel)
    name = whirl_label(label)
    reading = _named(measure_photo(file, settings), name)
    if pair.head:
        reading = replace(reading, whirls=reading.whirls[:1])
    numbers = pair.of(photo_numbers(reading))
    if known is not None:
        # After the numbers for --add-to were taken: what the file knows must not be added to it again.
        reading = with_known_size(reading, sha256_of(file), known)
    if place:
        place.write(proof_of_photo(open_picture(file).bgr, reading))
    added = kept.add("photo", file, numbers, {**context.params, "band": band}) if kept else None
    finish(photo_document(reading), photo_answer(reading), as_json=as_json, proof=place, added=added)


def _named(reading: PhotoReading, label: str | None) -> PhotoReading:
    """Give the whirl that carries the band the name that was typed."""
    if label is None or not reading.whirls:
        return reading
    first, *others = reading.whirls
    return replace(reading, whirls=(replace(first, label=label), *others))


def photo_settings(
    reference: list[str] | None,
    offset: str | None,
    band: str | None,
    groove: str | None = None,
    hub: str | None = None,
    whirl: list[str] | None = None,
    rim: list[str] | None = None,
    band_at: list[str] | None = None,
) -> PhotoSettings:
    """Read the options of a picture as they were typed.

    Raises
    ------
    WrongUsageError
        If one of them cannot be meant.
    """
    given = references(reference or [])
    return PhotoSettings(
        references=given.requests,
        no_reference=given.without,
        offset_mm=_offset_mm(offset),
        band_mm=_thickness_mm(band, "--band", BAND_HALF_WIDTH_MM, "2.4mm"),
        groove_depth_mm=_thickness_mm(groove, "--groove", DISTANCE_HALF_WIDTH_MM, "5mm"),
        hub_px=None if hub is None else point_px(hub, "--hub"),
        whirls_px=tuple(point_px(each, "--whirl") for each in whirl or []),
        rim_px=tuple(point_px(each, "--rim") for each in rim or []),
        band_px=tuple(point_px(each, "--band-at") for each in band_at or []),
    )


def _thickness_mm(text: str | None, option: str, half_width_mm: float, example: str) -> UFloat | None:
    return None if text is None else length_mm(text, option, half_width_mm=half_width_mm, example=example)


def _offset_mm(text: str | None) -> UFloat:
    if text is None:
        return from_half_width_95(0.0, NO_OFFSET_HALF_WIDTH_MM)
    return length_mm(text, "--offset", half_width_mm=OFFSET_HALF_WIDTH_MM, positive=False)
