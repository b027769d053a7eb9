"""``whirlwise import``: readings and parts of one wheel's file go into another."""

from pathlib import Path
from typing import Annotated

import typer

from ..keep.adding import now
from ..keep.kept import KeptWheel
from ..keep.merging import Merged, merged
from ..keep.store import change_wheel, check_wheel_file, read_wheel


def import_(
    file: Annotated[
        Path,
        typer.Argument(
            help="JSON from 'whirlwise export', or another file of the same wheel.", show_default=False
        ),
    ],
    add_to: Annotated[
        Path,
        typer.Option(
            help="The wheel's file to add it to, which is made if it isn't there.", show_default=False
        ),
    ],
) -> None:
    """Take readings and parts of the same wheel in from another file; 'whirlwise undo' takes it back."""
    other = read_wheel(file)
    check_wheel_file(add_to)
    outcome: list[Merged] = []

    def change(wheel: KeptWheel) -> KeptWheel:
        outcome.append(merged(wheel, other, now()))
        return outcome[-1].wheel

    change_wheel(add_to, change)
    for sentence in _sentences(outcome[-1], add_to):
        typer.echo(sentence)


def _sentences(found: Merged, path: Path) -> list[str]:
    said = [f"Added to {path}: {', '.join(found.added) or 'no reading'}."]
    if found.there_already:
        said.append(
            f"There already, so left as they were: {', '.join(found.there_already)} of the other file."
        )
    if found.parts_kept:
        said.append(f"Noted differently here, so left as they were: {', '.join(found.parts_kept)}.")
    return said
