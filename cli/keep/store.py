"""Reading and changing a wheel's file so that no accident loses what is in it.

It is replaced whole, the old text is kept as ``FILE.before``, and two programs at once wait for each other
at a lock.
"""

import errno
import os
from collections.abc import Callable
from pathlib import Path
from typing import Final

from filelock import FileLock, Timeout

from ...vision.errors import UnreadableFileError
from ..trouble import WrongUsageError
from .as_text import DamagedError, text_of_wheel, wheel_of_text
from .kept import KeptWheel
from .whole_file import replace_whole

#: Another program holds the lock for the fraction of a second that writing takes.
LONGEST_WAIT_S: Final = 20.0
#: A wheel's file holds a few kilobytes for each reading; a larger one is none.
LARGEST_BYTES: Final = 50_000_000


def read_wheel(path: Path) -> KeptWheel:
    """Read a wheel's file.

    Raises
    ------
    UnreadableFileError
        If it is not there, cannot be read, is damaged or from a newer version.
    """
    if not _is_there(path):
        raise UnreadableFileError(
            f"There is no file {path}. Check the name, or make it with: whirlwise photo PICTURE "
            f"--add-to {path}"
        )
    return _wheel_of(path, _bytes_of(path))


def check_wheel_file(path: Path) -> None:
    """Check before a long measurement that its reading can be added to a wheel's file.

    Raises
    ------
    UnreadableFileError
        If the file is there but cannot be read.
    WrongUsageError
        If nothing can be written there.
    """
    if not path.parent.is_dir():
        raise WrongUsageError(
            f"The wheel's file {path} cannot be made: there is no folder {path.parent}; make it first."
        )
    if _is_there(path):
        read_wheel(path)
    if not os.access(path.resolve().parent, os.W_OK):
        raise _not_written(path, os.strerror(errno.EACCES))


def change_wheel(path: Path, change: Callable[[KeptWheel], KeptWheel], *, make: bool = True) -> None:
    """Read a wheel's file, change what is in it and write it, while no other program can do so.

    Parameters
    ----------
    path : Path
    change : callable
        Gives the wheel as it shall be. Whatever it raises leaves the file as it is.
    make : bool
        Whether a file that is not there is made.

    Raises
    ------
    UnreadableFileError
        If the file is there but cannot be read, or must be there; it stays as it is.
    WrongUsageError
        If it cannot be written; it stays as it is.
    """
    if not make:
        read_wheel(path)
    # A link to the file stays a link.
    path = path.resolve()
    try:
        with FileLock(path.with_name(f".{path.name}.lock"), timeout=LONGEST_WAIT_S):
            old = _bytes_of(path) if _is_there(path) else None
            wheel = KeptWheel() if old is None else _wheel_of(path, old)
            replace_whole(path, old, text_of_wheel(change(wheel)).encode())
    except Timeout as problem:
        raise WrongUsageError(
            f"Another program has been writing to {path} for {LONGEST_WAIT_S:.0f} s; wait for it to end, "
            "then do the same again."
        ) from problem
    except UnreadableFileError:
        raise
    except OSError as problem:
        raise _not_written(path, problem.strerror or type(problem).__name__) from problem


def _not_written(path: Path, reason: str) -> WrongUsageError:
    return WrongUsageError(
        f"The wheel's file {path} could not be written ({reason}); what was in it is untouched. "
        "Make room or name a place that can be written to."
    )


def _is_there(path: Path) -> bool:
    try:
        return path.exists()
    except OSError as problem:
        raise UnreadableFileError(
            f"{path} cannot be opened ({problem.strerror}). Check the name and the folder."
        ) from problem


def _bytes_of(path: Path) -> bytes:
    if not path.is_file():
        raise UnreadableFileError(f"{path} is not a file. Name the wheel's file.")
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise UnreadableFileError(_damaged(path, "it is far too large for one"))
        return path.read_bytes()
    except PermissionError as problem:
        raise UnreadableFileError(f"{path} is a file that you may not read. Check its rights.") from problem


def _wheel_of(path: Path, content: bytes) -> KeptWheel:
    try:
        return wheel_of_text(content.decode("utf-8-sig"))
    except UnicodeDecodeError as problem:
        raise UnreadableFileError(_damaged(path, "it is no text")) from problem
    except DamagedError as problem:
        raise UnreadableFileError(_damaged(path, str(problem))) from problem


def _damaged(path: Path, why: str) -> str:
    before = path.with_name(path.name + ".before")
    if "newer version" in why:
        remedy = "Install that version."
    elif before.exists():
        remedy = f"The version before the last change is {before}."
    else:
        remedy = "Name another file."
    return f"{path} cannot be used as a wheel's file: {why}. It was left untouched. {remedy}"
