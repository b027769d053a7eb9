"""How the band drives a wheel, as people tell it: ratios, diameters, or a wheel's file."""

from dataclasses import dataclass
from pathlib import Path

from ...calc.drive_sizes import DriveSizes
from ...calc.quantity import Quantity
from ...calc.winding import BobbinLed, DoubleDrive, Drive, FlyerLed
from ..keep.known_ratios import driving_ratios
from ..trouble import WrongUsageError
from .numbers import BAND_HALF_WIDTH_MM, DISTANCE_HALF_WIDTH_MM, length_mm, plain_number

EXPECTED = (
    "bobbin expects how the band drives: --flyer-ratio, --bobbin-ratio or both; or --rim and --band with "
    "--flyer-groove, --bobbin-groove or both; or --wheel FILE."
)


@dataclass(frozen=True, slots=True)
class GivenDrive:
    """A drive, and the sizes that it came from where they are known."""

    drive: Drive
    sizes: DriveSizes | None = None


def drive_given(
    *,
    flyer_ratio: str | None,
    bobbin_ratio: str | None,
    rim: str | None,
    flyer_groove: str | None,
    bobbin_groove: str | None,
    band: str | None,
    wheel_file: Path | None,
) -> GivenDrive:
    """Read one of the three ways to tell a drive.

    Raises
    ------
    WrongUsageError
        If none or more than one is told, or what is told winds nothing on.
    UnreadableFileError
        If the wheel's file cannot be read.
    """
    by_ratio = flyer_ratio is not None or bobbin_ratio is not None
    by_size = any(each is not None for each in (rim, flyer_groove, bobbin_groove, band))
    if [by_ratio, by_size, wheel_file is not None].count(True) != 1:
        raise WrongUsageError(EXPECTED)
    try:
        if wheel_file is not None:
            return GivenDrive(_from_file(wheel_file))
        if by_ratio:
            return GivenDrive(
                _of_ratios(_ratio(flyer_ratio, "--flyer-ratio"), _ratio(bobbin_ratio, "--bobbin-ratio"))
            )
        sizes = _sizes(rim, flyer_groove, bobbin_groove, band)
        return GivenDrive(sizes.drive(), sizes)
    except ValueError as problem:
        if isinstance(problem, WrongUsageError):
            raise
        raise WrongUsageError(f"That drive winds nothing on: {problem}.") from problem


def _ratio(text: str | None, option: str) -> Quantity | None:
    return None if text is None else plain_number(text, option, example="12.5")


def _of_ratios(flyer: Quantity | None, bobbin: Quantity | None) -> Drive:
    if flyer is not None and bobbin is not None:
        return DoubleDrive(flyer, bobbin)
    if flyer is not None:
        return FlyerLed(flyer)
    if bobbin is None:
        raise WrongUsageError(EXPECTED)
    return BobbinLed(bobbin)


def _from_file(path: Path) -> Drive:
    """Double drive where the file has a flyer's and a bobbin's ratio, else the only one."""
    flyers, bobbins = driving_ratios(path)
    match list(flyers.values()), list(bobbins.values()):
        case [flyer], [bobbin]:
            return DoubleDrive(flyer, bobbin)
        case [flyer], []:
            return FlyerLed(flyer)
        case [], [bobbin]:
            return BobbinLed(bobbin)
    known = ", ".join([*flyers, *bobbins]) or "no whirl"
    raise WrongUsageError(
        f"--wheel got '{path}', which tells the ratios of {known}; give the one in use as --flyer-ratio (or "
        "--bobbin-ratio)."
    )


def _sizes(rim: str | None, flyer: str | None, bobbin: str | None, band: str | None) -> DriveSizes:
    if rim is None or band is None or (flyer is None and bobbin is None):
        raise WrongUsageError(EXPECTED)
    return DriveSizes(
        wheel_mm=_diameter(rim, "--rim", "560mm"),
        flyer_mm=None if flyer is None else _diameter(flyer, "--flyer-groove", "45mm"),
        bobbin_mm=None if bobbin is None else _diameter(bobbin, "--bobbin-groove", "35mm"),
        band_mm=length_mm(band, "--band", half_width_mm=BAND_HALF_WIDTH_MM, example="2.4mm"),
    )


def _diameter(text: str, option: str, example: str) -> Quantity:
    return length_mm(text, option, half_width_mm=DISTANCE_HALF_WIDTH_MM, example=example)
