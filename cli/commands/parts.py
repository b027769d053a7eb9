"""``whirlwise parts``: what a wheel is made of, shown or noted in its file."""

from pathlib import Path
from typing import Annotated

import typer

from ...calc.parts import Part, Parts
from ..given.parts import band_part, bobbin_part, drive_word, flyer_part, head_part, whirl_part
from ..keep.adding import now
from ..keep.changes import Change, DropPart, SetDrive, SetPart
from ..keep.parts_text import KINDS
from ..keep.store import change_wheel, check_wheel_file, read_wheel
from ..show.parts_words import parts_text
from ..trouble import WrongUsageError
from .options import JSON


def parts(
    file: Annotated[
        Path, typer.Argument(help="The wheel's file, which is made if it isn't there.", show_default=False)
    ],
    drive: Annotated[
        str | None,
        typer.Option(
            help="flyer-led or bobbin-led (one band, round the flyer's whirl or the bobbin's), double (a "
            "band twice round, over both) or unknown.",
            show_default=False,
        ),
    ] = None,
    whirl: Annotated[
        list[str] | None,
        typer.Option(
            help="A whirl and its grooves, such as 'lace: small, large'. May be given more than once; so may "
            "the options below.",
            show_default=False,
        ),
    ] = None,
    flyer: Annotated[
        list[str] | None,
        typer.Option(
            help="A flyer and the whirls that fit on it (none named: all do), such as 'standard: lace'.",
            show_default=False,
        ),
    ] = None,
    bobbin: Annotated[
        list[str] | None,
        typer.Option(help="A bobbin and the whirl on it, such as 'jumbo: slow'.", show_default=False),
    ] = None,
    head: Annotated[
        list[str] | None,
        typer.Option(
            help="An accelerating head and the whirl on it that the great wheel's band turns, such as "
            "'quick: small'.",
            show_default=False,
        ),
    ] = None,
    band: Annotated[
        list[str] | None,
        typer.Option(help="A drive band, such as 'old: 2.4mm, linen'.", show_default=False),
    ] = None,
    remove: Annotated[
        list[str] | None,
        typer.Option(
            help="A part that the wheel has no more, by its name; 'flyer lace' where a name is there twice.",
            show_default=False,
        ),
    ] = None,
    as_json: JSON = False,
) -> None:
    """Show a wheel's parts, or note them: how it is driven, whirls, flyers, bobbins, heads and bands."""
    read = (
        *((SetDrive(drive_word(drive)),) if drive is not None else ()),
        *(SetPart(whirl_part(each)) for each in whirl or []),
        *(SetPart(flyer_part(each)) for each in flyer or []),
        *(SetPart(bobbin_part(each)) for each in bobbin or []),
        *(SetPart(head_part(each)) for each in head or []),
        *(SetPart(band_part(each)) for each in band or []),
    )
    if read or remove:
        check_wheel_file(file)
        known = read_wheel(file).parts if file.exists() else Parts()
        changes: tuple[Change, ...] = (*(_dropped(known, each) for each in remove or []), *read)
        change_wheel(file, lambda wheel: wheel.with_step(now(), *changes))
    typer.echo(parts_text(file.name, read_wheel(file).parts, as_json=as_json))


def _dropped(known: Parts, text: str) -> DropPart:
    """Find the part that is meant, by its name or by its kind and name."""
    there = [(kind, part) for kind in KINDS.values() for part in known.of_kind(kind)]
    meant = [DropPart(kind, part.name) for kind, part in there if text in _names(kind, part)]
    if len(meant) == 1:
        return meant[0]
    names = ", ".join(_names(kind, part)[1] for kind, part in there)
    raise WrongUsageError.of_option("--remove", text, f"one of the wheel's parts: {names or 'it has none'}")


def _names(kind: type[Part], part: Part) -> tuple[str, str]:
    word = next(word for word, each in KINDS.items() if each is kind)
    return part.name, f"{word} {part.name}"
