"""``whirlwise wheel``: what all readings of one wheel tell together."""

from pathlib import Path
from typing import Annotated

import typer

from ..keep.kept import KeptWheel
from ..keep.store import read_wheel
from ..keep.telling import tell
from ..show.lengths import lengths
from ..show.wheel_words import wheel_answer, wheel_document
from ..trouble import WrongUsageError
from .finish import finish
from .options import JSON, UNITS


def wheel(
    file: Annotated[
        Path, typer.Argument(help="The wheel's file, made with --add-to or 'hand'.", show_default=False)
    ],
    without: Annotated[
        list[str] | None,
        typer.Option(
            help="Leave a reading out, by its id such as photo-2; the file stays as it is. May be given more "
            "than once.",
            show_default=False,
        ),
    ] = None,
    units: UNITS = None,
    as_json: JSON = False,
) -> None:
    """Fuse all readings of a wheel, tell every ratio, and name readings that do not fit."""
    kept = read_wheel(file)
    _check(kept, without or [])
    told = tell(file.name, kept, without or [])
    finish(wheel_document(told), wheel_answer(told, lengths(units)), as_json=as_json)


def _check(kept: KeptWheel, without: list[str]) -> None:
    ids = [each.id for each in kept.readings]
    for name in without:
        if name not in ids:
            raise WrongUsageError(
                f"--without got '{name}' but expects the id of a reading in the file: "
                f"{', '.join(ids) or 'there is none'}."
            )
