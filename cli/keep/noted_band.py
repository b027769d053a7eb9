"""The band that is noted in a wheel's file, for commands that need its thickness."""

from pathlib import Path

from ...calc.interval import Interval
from .kept import KeptWheel
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
    thickness_mm = noted_thickness_mm(read_wheel(path))
    return _typed(thickness_mm) if thickness_mm else None


def noted_thickness_mm(wheel: KeptWheel) -> Interval | None:
    """Give the thickness of the wheel's band; None where none or several of them are noted."""
    known = [band.thickness_mm for band in wheel.parts.bands if band.thickness_mm is not None]
    return known[0] if len(known) == 1 else None


def _typed(thickness_mm: Interval) -> str:
    return f"{thickness_mm.value:g}+-{thickness_mm.half_width:g}mm"
