"""``whirlwise withdraw``: a reading counts no more, though it stays in the file."""

from pathlib import Path
from typing import Annotated

import typer

from ..keep.adding import check_id, now
from ..keep.changes import Withdraw
from ..keep.kept import KeptWheel
from ..keep.store import change_wheel


def withdraw(
    file: Annotated[Path, typer.Argument(help="The wheel's file.", show_default=False)],
    reading: Annotated[
        list[str],
        typer.Argument(
            help="Id of a reading in it, such as photo-2; several may be named.", show_default=False
        ),
    ],
) -> None:
    """Withdraw readings from a wheel's file: they count no more. 'whirlwise undo' brings them back."""

    def change(wheel: KeptWheel) -> KeptWheel:
        for name in reading:
            check_id(wheel, name, "withdraw")
        return wheel.with_step(now(), *map(Withdraw, reading))

    change_wheel(file, change, make=False)
    counts = "counts" if len(reading) == 1 else "count"
    typer.echo(f"{', '.join(reading)} {counts} no more in {file}; 'whirlwise undo {file}' takes that back.")
