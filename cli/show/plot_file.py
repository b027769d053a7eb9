"""The file of a plot: written only where asked, and never over one that is there without ``--force``."""

from pathlib import Path

from .new_file import NewFile, new_file


def plot_file(path: Path | None, *, force: bool) -> NewFile | None:
    """Check where a plot shall go before any work is done; None where none is wanted.

    Raises
    ------
    WrongUsageError
        If the name does not end in ``.png``, or nothing can or may be written there.
    """
    if path is None:
        return None
    return new_file(path, option="--plot", named="plot", ending=".png", kind="PNG pictures", force=force)
