"""The proof picture as a file: never over what is measured."""

from pathlib import Path

from ..trouble import WrongUsageError
from .new_file import NewFile, new_file


def proof_file(path: Path | None, *, source: Path, force: bool) -> NewFile | None:
    """Check where a proof picture shall go before anything is measured.

    Raises
    ------
    WrongUsageError
        If it is no PNG file, lies in no folder or in one that cannot be written to, is the input, or is there
        already and not forced.
    """
    if path is None:
        return None
    if _is_one(path, source):
        raise WrongUsageError(
            f"--proof got '{path}', which is the file to be measured; give the proof another name."
        )
    return new_file(
        path, option="--proof", named="proof picture", ending=".png", kind="PNG pictures", force=force
    )


def _is_one(path: Path, source: Path) -> bool:
    try:
        return path.samefile(source)
    except OSError:
        return False
