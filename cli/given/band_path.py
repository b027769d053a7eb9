"""Round what a band is laid: whirls and distances from a wheel's file or as typed, made into paths."""

from collections.abc import Sequence

from uncertainties import nominal_value

from ...calc.cord import BandPath, Lay, pitch_with_other_band
from ...calc.groove import GrooveShape, pitch_of_groove
from ...calc.quantity import Quantity
from ..keep.known_wheel import KnownWheel
from ..trouble import WrongUsageError
from .making import APART_HALF_WIDTH_MM, named_grooves_mm
from .numbers import length_mm
from .wheel_size import U, WheelSize

Pitches = dict[str, Quantity]


def whirl_pitches_mm(
    known: KnownWheel | None,
    named: Sequence[str],
    grooves: Sequence[str],
    size: WheelSize,
    shape: GrooveShape,
    lay: Lay,
) -> Pitches:
    """Give the pitch diameters of the whirls that are meant, with the band of now.

    Raises
    ------
    WrongUsageError
        If none is known, one is named that is not in the file, or their number does not suit the lay.
    """
    if grooves:
        typed = named_grooves_mm(grooves, "--whirl-groove")
        pitches = {label: pitch_of_groove(each, size.band_mm, shape) for label, each in typed.items()}
    else:
        pitches = _from_file(known, named, size, shape, lay)
    if lay == "double" and len(pitches) != 2:
        raise WrongUsageError(
            f"A band laid double goes round two whirls, the flyer's and the bobbin's, not {len(pitches)}; "
            "name them with --whirl, or with --whirl-groove flyer=60mm --whirl-groove bobbin=46mm."
        )
    return pitches


def _from_file(
    known: KnownWheel | None, named: Sequence[str], size: WheelSize, shape: GrooveShape, lay: Lay
) -> Pitches:
    told = {**known.whirls_mm, **known.bobbins_mm} if known else {}
    if not told:
        raise WrongUsageError("Nothing tells the whirl's size; give --whirl-groove small=41.5mm.")
    for name in named:
        if name not in told:
            raise WrongUsageError(f"--whirl got '{name}' but the file knows {', '.join(told)}.")
    wanted = named or (told if lay == "double" or not known or not known.whirls_mm else known.whirls_mm)
    before_mm = known.band_mm if known else None
    if before_mm is None or nominal_value(before_mm) == nominal_value(size.band_mm):
        return {label: told[label] for label in wanted}
    return {label: pitch_with_other_band(told[label], before_mm, size.band_mm, shape) for label in wanted}


def apart_mm(known: KnownWheel | None, text: str | None) -> Quantity:
    """Give the distance from axle to spindle as typed, else as the file knows it.

    Raises
    ------
    WrongUsageError
        If neither tells it.
    """
    if text is not None:
        return length_mm(text, "--apart", half_width_mm=APART_HALF_WIDTH_MM, example="430mm or 17in")
    if known is None or known.centre_distance_mm is None:
        raise WrongUsageError(
            "Nothing tells how far the spindle is from the wheel's axle; give --apart 430mm."
        )
    return known.centre_distance_mm


def band_paths(lay: Lay, wheel_mm: Quantity, whirls_mm: Pitches, centre_mm: Quantity) -> tuple[BandPath, ...]:
    """Give a path for each whirl, or in double drive the one round both.

    Raises
    ------
    WrongUsageError
        If wheel and whirl would overlap.
    """
    sets = [whirls_mm] if lay == "double" else [{label: each} for label, each in whirls_mm.items()]
    paths = tuple(BandPath(lay, wheel_mm, centre_mm, each) for each in sets)
    try:
        for path in paths:
            _ = path.length_mm
    except ValueError as problem:
        raise WrongUsageError(f"A band laid {lay} cannot be: {problem}.") from problem
    return paths


def with_other_band(
    size: WheelSize, whirls_mm: Pitches, other_mm: Quantity, shape: GrooveShape
) -> tuple[WheelSize, Pitches]:
    """Give the pitch diameters with another band in the same grooves."""
    wheel_mm = pitch_with_other_band(size.pitch_mm, size.band_mm, other_mm, U)
    whirls = {
        label: pitch_with_other_band(each, size.band_mm, other_mm, shape) for label, each in whirls_mm.items()
    }
    return WheelSize(wheel_mm, other_mm, size.told_by), whirls
