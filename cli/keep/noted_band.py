"""The band that is noted in a wheel's file, for commands that need its thickness."""

from pathlib import Path

from ...calc.interval import Interval
from .store import read_wheel


def noted_band(path: Path | None) -> str | None:
    """Give the thickness of the wheel's band as it would be typed, such as ``3.1+-0.2mm``.

    None where there is no file, or where it knows no band or several of them.

    Raises
    ------
    UnreadableFileError
        If the file is there but cannot be read.
    """
    if path is None or not path.exists():
        return None
    known = [band.thickness_mm for band in read_wheel(path).parts.bands if band.thickness_mm is not None]
    return _typed(known[0]) if len(known) == 1 else None


def _typed(thickness_mm: Interval) -> str:
    return f"{thickness_mm.value:g}+-{thickness_mm.half_width:g}mm"
