"""How large the drive wheel is and how thick its band: by its file, a tape, or a whirl that is there."""

from dataclasses import dataclass, replace

from uncertainties import nominal_value

from ...calc.cord import pitch_with_other_band
from ...calc.groove import GrooveShape, pitch_of_groove, wheel_pitch_from_whirl
from ...calc.quantity import Quantity
from ..keep.known_wheel import KnownWheel
from ..trouble import WrongUsageError
from .making import groove_mm, ratio_typed, wheel_groove_mm
from .numbers import BAND_HALF_WIDTH_MM, length_mm

U = GrooveShape("u")
NO_SIZE = (
    "Nothing tells the wheel's size; give --wheel FILE of a wheel whose size is known, --wheel-groove 556mm, "
    "or --from-whirl 12.6=41.5mm."
)


@dataclass(frozen=True, slots=True)
class WheelSize:
    """Pitch diameter of the drive wheel with this band, and a sentence that says what tells it.

    ``behind`` is the ratio of the head between a great wheel's whirl and its spindle; 1 where there is none.
    """

    pitch_mm: Quantity
    band_mm: Quantity
    told_by: str
    behind: Quantity = 1.0

    @property
    def turning_mm(self) -> Quantity:
        """Pitch diameter of a wheel that would make the same ratio by one pair."""
        return self.pitch_mm * self.behind


def band_thickness_mm(text: str | None, known: KnownWheel | None) -> Quantity:
    """Give the band's thickness as typed, else as the wheel's file knows it.

    Raises
    ------
    WrongUsageError
        If neither tells it, or what was typed is no thickness.
    """
    if text is not None:
        return length_mm(text, "--band", half_width_mm=BAND_HALF_WIDTH_MM, example="2.5mm")
    if known is None or known.band_mm is None:
        raise WrongUsageError("Nothing tells how thick the band is; give --band 2.5mm.")
    return known.band_mm


def wheel_size(
    known: KnownWheel | None,
    wheel_groove: str | None,
    from_whirl: str | None,
    band: str | None,
    shape: GrooveShape,
) -> WheelSize:
    """Give the wheel's size from the one thing that tells it.

    Raises
    ------
    WrongUsageError
        If nothing does, or more than one thing.
    """
    if (known is not None) + (wheel_groove is not None) + (from_whirl is not None) > 1:
        raise WrongUsageError(
            "--wheel, --wheel-groove and --from-whirl each tell the wheel's size; give one of them."
        )
    band_mm = band_thickness_mm(band, known)
    if wheel_groove is not None:
        pitch_mm = pitch_of_groove(wheel_groove_mm(wheel_groove, "--wheel-groove"), band_mm, U)
        return WheelSize(pitch_mm, band_mm, "The wheel's size is the groove that you measured and the band.")
    if from_whirl is not None:
        return WheelSize(
            _from_whirl(from_whirl, band_mm, shape),
            band_mm,
            "The wheel's size is that of the whirl that you measured, times its ratio.",
        )
    if known is None or known.wheel_mm is None:
        raise WrongUsageError(NO_SIZE)
    return WheelSize(
        _with_band(known, known.wheel_mm, band_mm), band_mm, "The wheel's size comes from its file."
    )


def with_head(size: WheelSize, known: KnownWheel | None) -> WheelSize:
    """Reckon with the head that a wheel's file knows: a ratio is then that of the spindle.

    Raises
    ------
    WrongUsageError
        If the file knows several heads, because it stays open which is meant.
    """
    heads = known.heads if known else {}
    if not heads:
        return size
    if len(heads) > 1:
        raise WrongUsageError(
            f"The wheel's file knows several heads ({', '.join(heads)}), and the groove for a ratio hangs on "
            "the head. Give --wheel-groove instead of --wheel, and the ratio of the great wheel's own pair."
        )
    ((name, ratio),) = heads.items()
    told_by = f"{size.told_by} The ratio is that of the spindle, behind head {name}."
    return replace(size, behind=ratio, told_by=told_by)


def _from_whirl(text: str, band_mm: Quantity, shape: GrooveShape) -> Quantity:
    ratio, _, groove = text.partition("=")
    if not groove:
        raise WrongUsageError.of_option(
            "--from-whirl", text, "a ratio and the diameter of its groove, such as 12.6=41.5mm"
        )
    pitch_mm = pitch_of_groove(groove_mm(groove, "--from-whirl"), band_mm, shape)
    return wheel_pitch_from_whirl(ratio_typed(ratio, "--from-whirl"), pitch_mm)


def _with_band(known: KnownWheel, pitch_mm: Quantity, band_mm: Quantity) -> Quantity:
    """The file's wheel, with another band in its groove where another one is meant."""
    if known.band_mm is None or nominal_value(known.band_mm) == nominal_value(band_mm):
        return pitch_mm
    return pitch_with_other_band(pitch_mm, known.band_mm, band_mm, U)
