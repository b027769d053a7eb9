"""A file that a command writes where asked: whole or not at all, over nothing that is there unless forced."""

import errno
import os
from dataclasses import dataclass
from pathlib import Path
from secrets import token_hex
from stat import S_IMODE

from ..trouble import WrongUsageError


@dataclass(frozen=True, slots=True)
class NewFile:
    """Where a file goes. Made by :func:`new_file`, which checks the place.

    ``named`` is what the file is in a sentence, such as "proof picture".
    """

    path: Path
    force: bool
    named: str

    def write(self, content: bytes) -> None:
        """Write the file whole or not at all.

        Raises
        ------
        WrongUsageError
            If the place cannot be written to, or a file appeared there in the meantime.
        """
        try:
            if self.force:
                _replace(self.path, content)
            else:
                _create(self.path, content)
        except OSError as problem:
            reason = problem.strerror or type(problem).__name__
            raise WrongUsageError(
                f"The {self.named} {self.path} could not be written ({reason}); name a place that can be."
            ) from problem


def new_file(path: Path, *, option: str, named: str, ending: str, kind: str, force: bool) -> NewFile:
    """Check where a file shall go before any work is done.

    Parameters
    ----------
    path : Path
    option : str
        Where it was typed, for the error's text.
    named : str
        What it is in a sentence, such as "proof picture".
    ending : str
        With its dot.
    kind : str
        What is written, such as "PNG pictures".
    force : bool
        Whether a file that is there may be written over.

    Raises
    ------
    WrongUsageError
        If the name has another ending, the place is in no folder or in one that cannot be written to, or a
        file is there already and not forced.
    """
    if path.suffix.lower() != ending:
        raise WrongUsageError(f"{option} got '{path}' but writes {kind}; let the name end in {ending}.")
    try:
        _check_place(path, option, force)
    except OSError as problem:
        raise WrongUsageError(
            f"{option} got '{path}', where nothing can be written ({problem.strerror}); name another place."
        ) from problem
    return NewFile(path, force, named)


def _check_place(path: Path, option: str, force: bool) -> None:
    if not path.parent.is_dir():
        raise WrongUsageError(f"{option} got '{path}' but there is no folder {path.parent}; make it first.")
    if path.is_dir():
        raise WrongUsageError(f"{option} got '{path}', which is a folder; name a file in it.")
    if path.exists() and not force:
        raise WrongUsageError(
            f"{option} got '{path}', which is there already; give another name, or --force to write over it."
        )
    if not os.access(path.parent, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))


def _create(path: Path, content: bytes) -> None:
    with path.open("xb") as file:
        try:
            file.write(content)
            file.flush()
        except OSError:
            # A full disk: half a file is worse than none.
            path.unlink(missing_ok=True)
            raise


def _replace(path: Path, content: bytes) -> None:
    # Made as any file here is, so that whoever may read those may read it too, or as the old one was.
    part = path.with_name(f"{path.name}.{token_hex(4)}.part")
    try:
        with part.open("xb") as file:
            file.write(content)
        if path.exists():
            os.chmod(part, S_IMODE(path.stat().st_mode))
        os.replace(part, path)
    except OSError:
        part.unlink(missing_ok=True)
        raise
