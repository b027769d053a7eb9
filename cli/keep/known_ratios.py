"""The drive ratios that a wheel's file knows, for reckoning with them; nothing is written."""

from collections.abc import Mapping
from pathlib import Path

from uncertainties import UFloat

from ...calc.fused_numbers import fused_numbers
from ...calc.interval import Interval, from_half_width_95
from ...calc.wheel import Dimension
from .store import read_wheel
from .telling import ToldWheel, tell


def known_ratios(path: Path) -> dict[str, UFloat]:
    """Give the ratio of every whirl in a wheel's file by its label, with their correlations.

    Where a clip at work tells how much of it the slipping band leaves, that is given, the last taken.

    Raises
    ------
    UnreadableFileError
        If the file cannot be read.
    """
    return ratios_of(tell(path.name, read_wheel(path)))


def twisting_ratios(path: Path) -> dict[str, UFloat]:
    """Give those ratios in a wheel's file by which yarn is twisted.

    Raises
    ------
    UnreadableFileError
        If the file cannot be read.
    """
    told = tell(path.name, read_wheel(path))
    return twisting(ratios_of(told), told)


def ratios_of(told: ToldWheel) -> dict[str, UFloat]:
    """Give the ratio of every whirl that a wheel's readings tell, as :func:`known_ratios` does."""
    turning = told.turning()
    without_slip = fused_numbers(told.fused, turning.values())
    found: dict[str, UFloat] = {}
    for label, dimension in turning.items():
        at_work, ratio = _at_work(dimension, told), without_slip.get(dimension)
        if at_work is not None:
            found[label] = _number(at_work)
        elif ratio is not None:
            found[label] = ratio
    return found


def ratios_at_work(told: ToldWheel) -> dict[str, Interval]:
    """Give the ratio in a clip at work of every whirl of which no ratio without slip is known."""
    turning = told.turning().items()
    clips = {label: _at_work(each, told) for label, each in turning if told.interval_95(each) is None}
    return {label: ratio for label, ratio in clips.items() if ratio is not None}


def driving_ratios(path: Path) -> tuple[dict[str, UFloat], dict[str, UFloat]]:
    """Give the ratios in a wheel's file that turn the flyer, and those that turn the bobbin, by label.

    Where both are turned, one of the two grooves slips while yarn is held back; so both are those of the
    circles, whatever a clip at work counted.

    Raises
    ------
    UnreadableFileError
        If the file cannot be read.
    """
    told = tell(path.name, read_wheel(path))
    on_bobbins = {row.groove for row in told.table if row.turned == "bobbin"}
    ratios = ratios_of(told)
    if on_bobbins & set(ratios) and not set(ratios) <= on_bobbins:
        circles = fused_numbers(told.fused, told.turning().values())
        ratios = {label: circles.get(told.turning()[label], ratio) for label, ratio in ratios.items()}
    return (
        {label: ratio for label, ratio in ratios.items() if label not in on_bobbins},
        {label: ratio for label, ratio in ratios.items() if label in on_bobbins},
    )


def twisting(ratios: Mapping[str, UFloat], told: ToldWheel) -> dict[str, UFloat]:
    """Give those ratios by which yarn is twisted: the flyer's, or the bobbin's where it alone is driven."""
    on_bobbins = {row.groove for row in told.table if row.turned == "bobbin"}
    on_flyers = {label: ratio for label, ratio in ratios.items() if label not in on_bobbins}
    return on_flyers or dict(ratios)


def _at_work(dimension: Dimension, told: ToldWheel) -> Interval | None:
    """Ratio in the clip at work that was taken last; None where no clip tells it."""
    at_work = dimension.at_work
    clips = [kept for kept in told.used if at_work in kept.reading.values]
    clips.sort(key=lambda kept: kept.taken, reverse=True)
    intervals = (told.fused.interval_95(at_work, kept.id) for kept in clips)
    return next((interval for interval in intervals if interval is not None), None)


def _number(interval: Interval) -> UFloat:
    """A number whose interval covers the one told, which leans a little to the high side."""
    half_width = max(interval.high - interval.value, interval.value - interval.low)
    return from_half_width_95(interval.value, half_width)
