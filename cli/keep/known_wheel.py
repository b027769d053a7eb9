"""What a wheel's file knows of sizes and ratios, as correlated numbers to reckon with; nothing is written."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from ...calc.fused_numbers import fused_numbers
from ...calc.fusing import fuse
from ...calc.quantity import Quantity
from ...calc.seating import seated
from ...calc.wheel import WHEEL, Dimension, Reading
from ..given.numbers import BAND_HALF_WIDTH_MM, length_mm
from .kept import KeptWheel
from .store import read_wheel

#: A whirl with this word in its label turns the bobbin, so its ratio is not the wheel's.
BOBBIN: Final = "bobbin"


@dataclass(frozen=True, slots=True)
class KnownWheel:
    """A wheel as its file knows it; what no reading tells is None or left out.

    Attributes
    ----------
    name : str
        The file's name without its ending.
    wheel_mm, centre_distance_mm : Quantity or None
        Pitch diameter of the drive wheel, distance from axle to spindle.
    whirls_mm, ratios : dict of str to Quantity
        Pitch diameter and drive ratio of each whirl or groove by its label, the flyer's alone.
    bobbins_mm : dict of str to Quantity
        Pitch diameters of whirls that turn a bobbin.
    band_mm : Quantity or None
        Thickness of the band, as it was last given with a picture.
    """

    name: str
    wheel_mm: Quantity | None
    centre_distance_mm: Quantity | None
    whirls_mm: dict[str, Quantity]
    ratios: dict[str, Quantity]
    bobbins_mm: dict[str, Quantity]
    band_mm: Quantity | None


def known_wheel(path: Path) -> KnownWheel:
    """Read what a wheel's file knows.

    Raises
    ------
    UnreadableFileError
        If the file cannot be read.
    """
    kept = read_wheel(path)
    readings, _ = seated([each.reading for each in kept.readings])
    labels = _labels(readings)
    pitches = {label: Dimension("pitch_mm", label) for label in labels}
    ratios = {label: Dimension("ratio", label) for label in labels}
    size, apart = Dimension("pitch_mm"), Dimension("centre_distance_mm")
    told = fused_numbers(fuse(readings), [size, apart, *pitches.values(), *ratios.values()])
    return KnownWheel(
        name=path.stem,
        wheel_mm=told.get(size),
        centre_distance_mm=told.get(apart),
        whirls_mm={name: told[d] for name, d in pitches.items() if d in told and BOBBIN not in name},
        ratios={name: told[d] for name, d in ratios.items() if d in told and BOBBIN not in name},
        bobbins_mm={name: told[d] for name, d in pitches.items() if d in told and BOBBIN in name},
        band_mm=_band_mm(kept),
    )


def _labels(readings: Sequence[Reading]) -> list[str]:
    parts = [dimension.part for reading in readings for dimension in reading.values]
    return [part for part in dict.fromkeys(parts) if part != WHEEL]


def _band_mm(kept: KeptWheel) -> Quantity | None:
    typed = [str(each.how["--band"]) for each in kept.readings if "--band" in each.how]
    return length_mm(typed[-1], "--band", half_width_mm=BAND_HALF_WIDTH_MM) if typed else None
