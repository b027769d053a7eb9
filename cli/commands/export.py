"""``whirlwise export``: a wheel's file for a spreadsheet or for another program."""

from pathlib import Path
from typing import Annotated, Final

import typer

from ..keep.store import read_wheel
from ..keep.telling import tell
from ..show.new_file import new_file
from ..show.wheel_export import wheel_as_csv, wheel_as_json
from ..trouble import WrongUsageError

KINDS: Final = {".csv": "tables", ".json": "JSON"}


def export(
    file: Annotated[Path, typer.Argument(help="The wheel's file.", show_default=False)],
    to: Annotated[
        Path,
        typer.Option(
            help="The file to write: NAME.csv for a spreadsheet, NAME.json with all that is kept, which "
            "'whirlwise import' takes in again.",
            show_default=False,
        ),
    ],
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
) -> None:
    """Write all numbers of a wheel to a table (CSV), or its whole file and what it tells to JSON."""
    ending = to.suffix.lower()
    if ending not in KINDS:
        raise WrongUsageError.of_option("--to", str(to), "a name that ends in .csv or .json")
    kept = read_wheel(file)
    if to.exists() and to.resolve() == file.resolve():
        raise WrongUsageError(f"--to got '{to}', which is the wheel's file itself; give another name.")
    place = new_file(to, option="--to", named="export", ending=ending, kind=KINDS[ending], force=force)
    told = tell(file.name, kept)
    place.write(wheel_as_csv(told) if ending == ".csv" else wheel_as_json(kept, told))
    typer.echo(f"Exported to {to}.")
