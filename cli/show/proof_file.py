"""The proof picture as a file: written only where asked, over nothing that is there unless forced."""

import errno
import os
import tempfile
from dataclasses import dataclass
from pathlib import Path

from ..trouble import WrongUsageError


@dataclass(frozen=True, slots=True)
class ProofFile:
    """Where a proof picture goes. Made by :func:`proof_file`, which checks the place."""

    path: Path
    force: bool

    def write(self, png: bytes) -> None:
        """Write the picture whole or not at all.

        Raises
        ------
        WrongUsageError
            If the place cannot be written to, or a file appeared there in the meantime.
        """
        try:
            if self.force:
                _replace(self.path, png)
            else:
                with self.path.open("xb") as file:
                    file.write(png)
        except OSError as problem:
            reason = problem.strerror or type(problem).__name__
            raise WrongUsageError(
                f"The proof picture {self.path} could not be written ({reason}); name a place that can be."
            ) from problem


def proof_file(path: Path | None, *, source: Path, force: bool) -> ProofFile | None:
    """Check where a proof picture shall go before anything is measured.

    Raises
    ------
    WrongUsageError
        If it is no PNG file, lies in no folder or in one that cannot be written to, is the input, or is there
        already and not forced.
    """
    if path is None:
        return None
    if path.suffix.lower() != ".png":
        raise WrongUsageError(f"--proof got '{path}' but writes PNG pictures; let the name end in .png.")
    try:
        _check_place(path, source, force)
    except OSError as problem:
        raise WrongUsageError(
            f"--proof got '{path}', where nothing can be written ({problem.strerror}); name another place."
        ) from problem
    return ProofFile(path, force)


def _check_place(path: Path, source: Path, force: bool) -> None:
    if not path.parent.is_dir():
        raise WrongUsageError(f"--proof got '{path}' but there is no folder {path.parent}; make it first.")
    if path.exists() and source.exists() and path.samefile(source):
        raise WrongUsageError(
            f"--proof got '{path}', which is the file to be measured; give the proof another name."
        )
    if path.is_dir():
        raise WrongUsageError(f"--proof got '{path}', which is a folder; name a file in it.")
    if path.exists() and not force:
        raise WrongUsageError(
            f"--proof got '{path}', which is there already; give another name, or --force to write over it."
        )
    if not os.access(path.parent, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))


def _replace(path: Path, png: bytes) -> None:
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=path.name, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(png)
        os.replace(name, path)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
