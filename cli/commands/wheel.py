"""``whirlwise wheel``: what all readings of one wheel tell together."""

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from ...calc.fusing import fuse
from ...calc.seating import seated
from ..keep.kept import KeptReading, KeptWheel
from ..keep.store import read_wheel
from ..show.wheel_words import wheel_answer, wheel_document
from ..trouble import WrongUsageError
from .finish import finish
from .options import JSON


def wheel(
    file: Annotated[Path, typer.Argument(help="The wheel's file, made with --add-to.", show_default=False)],
    without: Annotated[
        list[str] | None,
        typer.Option(
            help="Leave a reading out, by its id such as photo-2; the file stays as it is. May be given more "
            "than once.",
            show_default=False,
        ),
    ] = None,
    as_json: JSON = False,
) -> None:
    """Fuse all readings of a wheel, and name those that do not fit."""
    used = _used(read_wheel(file), without or [])
    readings, seats = seated([kept.reading for kept in used])
    fused = fuse(readings)
    used = tuple(replace(kept, reading=reading) for kept, reading in zip(used, readings, strict=True))
    finish(wheel_document(file.name, used, fused, seats), wheel_answer(used, fused, seats), as_json=as_json)


def _used(kept: KeptWheel, without: list[str]) -> tuple[KeptReading, ...]:
    ids = [each.id for each in kept.readings]
    for name in without:
        if name not in ids:
            raise WrongUsageError(
                f"--without got '{name}' but expects the id of a reading in the file: "
                f"{', '.join(ids) or 'there is none'}."
            )
    return tuple(each for each in kept.readings if each.id not in without)
