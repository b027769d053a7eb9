"""The table of a collection as it lies on the disk: always whole, whenever the work is stopped."""

import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from filelock import FileLock, Timeout

from ...vision.errors import UnreadableFileError
from ..keep.whole_file import replace_whole
from ..show.csv_text import Cell, csv_bytes, rows_of_csv
from ..trouble import WrongUsageError
from .row import COLUMNS, FINISHED, NUMBERS, Row, Task

#: Columns that hold numbers, which a spreadsheet may have written in a way of its own.
NUMBER_COLUMNS: Final = frozenset(name + end for name in NUMBERS for end in ("", "_low", "_high"))


def rows_there(path: Path) -> list[Row]:
    """Read the rows of a table that was begun earlier; none where it is not there.

    Raises
    ------
    UnreadableFileError
        If the file is no such table; it is left untouched.
    """
    if not path.exists():
        return []
    try:
        header, rows = rows_of_csv(path.read_bytes().decode("utf-8-sig"))
    except (OSError, ValueError) as problem:
        raise UnreadableFileError(_no_table(path)) from problem
    if tuple(header) != COLUMNS:
        raise UnreadableFileError(_no_table(path))
    return [{name: _cell(name, cell) for name, cell in row.items()} for row in rows]


def _no_table(path: Path) -> str:
    return (
        f"{path} is there already, but is not a table that this version of the program wrote. It was left "
        "untouched. Name another file after --to."
    )


def _cell(name: str, cell: str) -> Cell:
    if name not in NUMBER_COLUMNS or not cell:
        return cell or None
    try:
        return float(cell)
    except ValueError:
        return cell


def finished(rows: Sequence[Row]) -> dict[tuple[Cell, Cell], Row]:
    """Give the rows that need not be measured again, by checksum and what they were measured with."""
    kept = [row for row in rows if row["outcome"] in FINISHED and row["sha256"]]
    return {(row["sha256"], row["measured_with"]): row for row in kept}


def not_moved(rows: Sequence[Row], tasks: Sequence[Task]) -> dict[str, Row]:
    """Give the rows by their pictures' names, without those whose picture now has another name."""
    names, checksums = {task.name for task in tasks}, {task.sha256 for task in tasks}
    return {str(row["file"]): row for row in rows if row["file"] in names or row["sha256"] not in checksums}


def write_rows(path: Path, rows: Mapping[str, Row]) -> None:
    """Write the table whole, in the order of the pictures' names.

    Raises
    ------
    WrongUsageError
        If it could not be written; the table is as it was.
    """
    try:
        replace_whole(path, None, csv_bytes(COLUMNS, [rows[name] for name in sorted(rows)]))
    except OSError as problem:
        reason = problem.strerror or type(problem).__name__
        raise WrongUsageError(
            f"The table {path} could not be written ({reason}). What was finished before is still in it; "
            "make room, then give the same command again to go on."
        ) from problem


@contextmanager
def only_writer(path: Path) -> Iterator[None]:
    """Keep a second program from filling the same table meanwhile.

    Raises
    ------
    WrongUsageError
        If another one does so already, or the place cannot be written to.
    """
    if not path.parent.is_dir():
        raise WrongUsageError(f"--to got '{path}' but there is no folder {path.parent}; make it first.")
    if path.is_dir() or not os.access(path.parent, os.W_OK):
        raise WrongUsageError(f"--to got '{path}', where nothing can be written; name another file.")
    try:
        with FileLock(path.with_name(f".{path.name}.lock"), timeout=0):
            yield
    except Timeout as problem:
        raise WrongUsageError(
            f"Another program is filling {path} right now; wait for it to end, or stop it."
        ) from problem
