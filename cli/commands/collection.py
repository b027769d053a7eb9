"""``whirlwise collection``: pictures of many wheels become one table."""

from contextlib import closing
from importlib.metadata import version
from pathlib import Path
from typing import Annotated

import typer

from ...vision.errors import UnreadableFileError
from ...vision.photo import PhotoSettings
from ..collection.lanes import cores, side_by_side
from ..collection.pictures import pictures_in
from ..collection.row import MEASURED, Row, Task, failed_row, measured_row
from ..collection.table import finished, not_moved, only_writer, rows_there, write_rows
from ..keep.facts import sha256_of
from ..show.collection_words import progress_line, stopped_sentence, summary
from ..trouble import ExitStatus, StoppedError, WrongUsageError
from .photo import photo_settings


def collection(
    folder: Annotated[
        Path,
        typer.Argument(help="The folder of pictures; folders in it are looked into.", show_default=False),
    ],
    to: Annotated[Path, typer.Option(help="The table to write (CSV), or to go on with.", show_default=False)],
    reference: Annotated[
        list[str] | None,
        typer.Option(
            help="What of known size lies in every picture, as for 'whirlwise photo'.", show_default=False
        ),
    ] = None,
    offset: Annotated[
        str | None,
        typer.Option(
            help="How far it stands in front of the band's plane, such as 17mm.", show_default=False
        ),
    ] = None,
    band: Annotated[
        str | None, typer.Option(help="Thickness of the drive bands, such as 2.4mm.", show_default=False)
    ] = None,
    at_once: Annotated[
        int | None,
        typer.Option(
            help="How many pictures are measured at once; as many as there are cores if left out.",
            min=1,
            show_default=False,
        ),
    ] = None,
) -> None:
    """Measure all pictures in a folder into one table, side by side.

    The same command goes on where it was stopped: pictures that are in the table already and have not changed
    are not measured again. Rows of pictures that lie elsewhere stay in it.
    """
    if to.suffix.lower() != ".csv":
        raise WrongUsageError(f"--to got '{to}' but writes a CSV table; let the name end in .csv.")
    settings = photo_settings(reference, offset, band)
    how = _measured_with(reference, offset, band)
    with only_writer(to.resolve()):
        rows = _all_rows(to.resolve(), _tasks(folder, settings, how), at_once or cores())
    typer.echo(summary(to, rows))
    if not any(row["outcome"] == MEASURED for row in rows):
        raise typer.Exit(ExitStatus.NOTHING_MEASURED)


def _measured_with(reference: list[str] | None, offset: str | None, band: str | None) -> str:
    """Options and version, in one line, by which a row is known to be up to date."""
    options = [
        *(f"--reference {each}" for each in reference or []),
        *([f"--offset {offset}"] if offset is not None else []),
        *([f"--band {band}"] if band is not None else []),
    ]
    return " ".join([f"whirlwise {version('whirlwise')}", *options])


def _tasks(folder: Path, settings: PhotoSettings, how: str) -> list[Task]:
    if not folder.is_dir():
        raise UnreadableFileError(f"{folder} is not a folder. Name the folder of pictures.")
    paths = pictures_in(folder)
    if not paths:
        raise UnreadableFileError(f"There are no pictures in {folder}. Name the folder in which they lie.")
    # Their checksums take a while where there are thousands of them.
    typer.echo(f"{len(paths)} pictures in {folder}.", err=True)
    return [_task(folder, path, settings, how) for path in paths]


def _task(folder: Path, path: Path, settings: PhotoSettings, how: str) -> Task:
    inside = path.relative_to(folder)
    wheel = inside.parts[0] if len(inside.parts) > 1 else inside.stem
    try:
        sha256 = sha256_of(path)
    except OSError:
        # The measurement will say in its row why it cannot be read.
        sha256 = ""
    return Task(path, _printable(inside.as_posix()), _printable(wheel), sha256, settings, how)


def _printable(name: str) -> str:
    """Write a name that is no proper text in a way that a table can hold."""
    return name.encode("utf-8", "backslashreplace").decode("utf-8")


def _all_rows(to: Path, tasks: list[Task], lanes: int) -> list[Row]:
    """Measure what is not in the table yet; the table is written after each picture."""
    there = rows_there(to)
    known = finished(there)
    up_to_date = {
        task.name: {**known[key], "file": task.name, "wheel": task.wheel}
        for task in tasks
        if (key := (task.sha256, task.measured_with)) in known
    }
    waiting = [task for task in tasks if task.name not in up_to_date]
    # A row stays until a newer one takes its place, so that nothing is lost by stopping, or by other options.
    rows = {**not_moved(there, tasks), **up_to_date}
    write_rows(to, rows)
    done = len(up_to_date)
    try:
        # Closed whatever happens, so that no process goes on alone.
        with closing(side_by_side(waiting, measured_row, failed_row, lanes=lanes)) as outcomes:
            for done, row in enumerate(outcomes, len(up_to_date) + 1):
                rows[str(row["file"])] = row
                write_rows(to, rows)
                typer.echo(progress_line(row, done, len(tasks)), err=True)
    except KeyboardInterrupt as stop:
        raise StoppedError(stopped_sentence(to, done, len(tasks))) from stop
    return [rows[task.name] for task in tasks]
