"""What a wheel's file knows of sizes and ratios, as correlated numbers to reckon with; nothing is written."""

from dataclasses import dataclass
from pathlib import Path

from ...calc.fused_numbers import fused_numbers
from ...calc.interval import from_half_width_95
from ...calc.quantity import Quantity
from ...calc.wheel import SPINDLE, Dimension
from ..given.numbers import BAND_HALF_WIDTH_MM, length_mm
from .kept import KeptWheel
from .known_ratios import ratios_of
from .noted_band import noted_thickness_mm
from .store import read_wheel
from .telling import ToldWheel, tell


@dataclass(frozen=True, slots=True)
class KnownWheel:
    """A wheel as its file knows it; what no reading tells is None or left out.

    Attributes
    ----------
    name : str
        The file's name without its ending.
    wheel_mm, centre_distance_mm : Quantity or None
        Pitch diameter of the drive wheel, distance from axle to spindle.
    whirls_mm : dict of str to Quantity
        Pitch diameter of each whirl or groove that turns the flyer, by its label.
    ratios : dict of str to Quantity
        Drive ratios, the flyer's alone; the bobbin's where it alone is driven. Behind an accelerating head
        those of the spindle, by the label of the great wheel's whirl. Where none is known without slip, those
        of a clip at work, in which the band may slip by a per cent or two.
    heads : dict of str to Quantity
        The ratio of each accelerating head's own pair, by its name.
    bobbins_mm : dict of str to Quantity
        Pitch diameters of whirls that turn a bobbin.
    band_mm : Quantity or None
        Thickness of the band, as it is noted among the wheel's parts or was last given with a picture.
    """

    name: str
    wheel_mm: Quantity | None
    centre_distance_mm: Quantity | None
    whirls_mm: dict[str, Quantity]
    ratios: dict[str, Quantity]
    heads: dict[str, Quantity]
    bobbins_mm: dict[str, Quantity]
    band_mm: Quantity | None


def known_wheel(path: Path) -> KnownWheel:
    """Read what a wheel's file knows.

    Raises
    ------
    UnreadableFileError
        If the file cannot be read.
    """
    wheel = read_wheel(path)
    return known_of(path.stem, wheel, tell(path.name, wheel))


def known_of(name: str, wheel: KeptWheel, told: ToldWheel) -> KnownWheel:
    """Give what a wheel is known to be, under a name, from what its file holds and what that tells."""
    labels = told.whirls()
    on_bobbins = {row.groove for row in told.table if row.turned == "bobbin"}
    pitches = {label: Dimension("pitch_mm", label) for label in labels}
    ratios = told.turning()
    heads = {name: Dimension("ratio", SPINDLE, name) for name in told.heads()}
    size, apart = Dimension("pitch_mm"), Dimension("centre_distance_mm")
    numbers = fused_numbers(told.fused, [size, apart, *pitches.values(), *ratios.values(), *heads.values()])
    whirls_mm = {label: numbers[each] for label, each in pitches.items() if each in numbers}
    known = {label: numbers[each] for label, each in ratios.items() if each in numbers} or ratios_of(told)
    return KnownWheel(
        name=name,
        wheel_mm=numbers.get(size),
        centre_distance_mm=numbers.get(apart),
        whirls_mm={label: pitch for label, pitch in whirls_mm.items() if label not in on_bobbins},
        ratios={label: ratio for label, ratio in known.items() if label not in on_bobbins} or known,
        heads={name: numbers[each] for name, each in heads.items() if each in numbers},
        bobbins_mm={label: pitch for label, pitch in whirls_mm.items() if label in on_bobbins},
        band_mm=_band_mm(wheel),
    )


def _band_mm(wheel: KeptWheel) -> Quantity | None:
    noted = noted_thickness_mm(wheel)
    if noted is not None:
        return from_half_width_95(noted.value, noted.half_width)
    typed = [str(each.how["--band"]) for each in wheel.readings if "--band" in each.how]
    return length_mm(typed[-1], "--band", half_width_mm=BAND_HALF_WIDTH_MM) if typed else None
