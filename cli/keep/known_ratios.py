"""The drive ratios that a wheel's file knows, for reckoning with them; nothing is written."""

from pathlib import Path

from uncertainties import UFloat

from ...calc.fusing import FusedWheel, fuse
from ...calc.interval import Interval, from_half_width_95
from ...calc.seating import seated
from ...calc.wheel import Dimension
from .kept import KeptWheel
from .store import read_wheel

#: What is too sure to have a width is given this share, so that it stays a number with a doubt.
LEAST_SHARE = 1e-6


def known_ratios(path: Path) -> dict[str, UFloat]:
    """Give the ratio of every whirl in a wheel's file by its label.

    Where a clip at work tells how much of it the slipping band leaves, that is given, the last taken.

    Raises
    ------
    UnreadableFileError
        If the file cannot be read.
    """
    wheel = read_wheel(path)
    readings, _ = seated([kept.reading for kept in wheel.readings])
    fused = fuse(readings)
    labels = [d.part for reading in readings for d in reading.values if d.what.startswith("ratio")]
    found = {label: _ratio(label, wheel, fused) for label in dict.fromkeys(labels)}
    return {label: ratio for label, ratio in found.items() if ratio is not None}


def _ratio(label: str, wheel: KeptWheel, fused: FusedWheel) -> UFloat | None:
    at_work = Dimension("ratio_at_work", label)
    clips = [kept for kept in wheel.readings if at_work in kept.reading.values]
    for kept in sorted(clips, key=lambda each: each.taken, reverse=True):
        interval = fused.interval_95(at_work, kept.id)
        if interval is not None:
            return _number(interval)
    interval = fused.interval_95(Dimension("ratio", label))
    return None if interval is None else _number(interval)


def _number(interval: Interval) -> UFloat:
    """A number whose interval covers the one told, which leans a little to the high side."""
    half_width = max(interval.high - interval.value, interval.value - interval.low)
    return from_half_width_95(interval.value, max(half_width, LEAST_SHARE * interval.value))
