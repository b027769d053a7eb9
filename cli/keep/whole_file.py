"""Putting new content in a file's place, so that whatever happens it is the old or the new one, whole.

The new content is written to a file beside the old one and flushed to the disk; then it takes the old one's
name, which the system does at once or not at all (POSIX.1-2017, rename).
"""

import os
from contextlib import suppress
from pathlib import Path
from stat import S_IMODE


def replace_whole(path: Path, old: bytes | None, new: bytes) -> None:
    """Put new content in a file's place, and the old one beside it as ``FILE.before``.

    Parameters
    ----------
    path : Path
        No link; the folder must be there.
    old : bytes or None
        What is in the file; None where it is not there, or where nothing shall be kept of it.
    new : bytes

    Raises
    ------
    OSError
        If it could not be written; the file is as it was.
    """
    mode = S_IMODE(path.stat().st_mode) if path.exists() else None
    part = path.with_name(f".{path.name}.part")
    try:
        if old is not None:
            _write(part, old, mode)
            os.replace(part, path.with_name(path.name + ".before"))
        _write(part, new, mode)
        os.replace(part, path)
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)
    _flush_folder(path.parent)


def _write(part: Path, content: bytes, mode: int | None) -> None:
    with part.open("wb") as file:
        if mode is not None:
            os.chmod(part, mode)
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _flush_folder(folder: Path) -> None:
    """Make the new name last through a power cut, where the system lets a folder be flushed."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
