"""``whirlwise undo``: take back a step in a wheel's file, and bring back what was taken back."""

from pathlib import Path
from typing import Annotated

import typer

from ..keep.adding import now
from ..keep.changes import TakeBack, taken_back
from ..keep.kept import KeptWheel
from ..keep.store import change_wheel, read_wheel
from ..show.history_words import history_text, step_words
from ..trouble import WrongUsageError


def undo(
    file: Annotated[Path, typer.Argument(help="The wheel's file.", show_default=False)],
    step: Annotated[
        int | None,
        typer.Option(help="Number of the step to take back; the last one that counts if left out."),
    ] = None,
    restore: Annotated[
        bool, typer.Option("--restore", help="Bring back what the last undo took back.")
    ] = False,
    show: Annotated[
        bool, typer.Option("--show", help="Show all steps with their numbers, and change nothing.")
    ] = False,
) -> None:
    """Take back the last step in a wheel's file; asked again, the one before it. Nothing is ever lost."""
    if show:
        typer.echo(history_text(read_wheel(file)))
        return
    done: list[tuple[int, KeptWheel]] = []

    def change(wheel: KeptWheel) -> KeptWheel:
        number = _meant(wheel, step, restore)
        done.append((number, wheel))
        return wheel.with_step(now(), TakeBack(number))

    change_wheel(file, change, make=False)
    number, before = done[-1]
    what = step_words(before, number)
    typer.echo(
        f"Taken back, step {number}: {what}. 'whirlwise undo {file} --restore' brings it back."
        if not restore
        else f"Brought back what step {number} took back."
    )


def _meant(wheel: KeptWheel, step: int | None, restore: bool) -> int:
    if step is not None and restore:
        raise WrongUsageError("undo expects --step or --restore, not both.")
    number = step if step is not None else wheel.last_undone() if restore else wheel.last_to_undo()
    if number is None:
        raise WrongUsageError(
            "Nothing was taken back in this file." if restore else "There is no step left to take back."
        )
    if not 0 < number <= len(wheel.steps) or number in taken_back(wheel.steps):
        raise WrongUsageError.of_option(
            "--step", str(number), "the number of a step that counts; 'whirlwise undo FILE --show' lists them"
        )
    return number
