"""Wheels side by side: what each covers of a wished range, what it lacks, and what would close the gap.

At a cadence that feet can change from the slowest to the fastest in comfort, one whirl serves more than its
own ratio: turned faster it does what a higher ratio would at the usual cadence. So each whirl covers a
stretch of the wished range, and what no stretch covers is missing. Shares are of the range's logarithm, in
which every change by a percent counts the same.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, log

from .interval import Interval, interval_95
from .ladder import CadenceRange, Ladder, ladder_of
from .quantity import Quantity
from .speed_class import SpeedClass, speed_class

#: A stretch from one ratio to another.
Stretch = tuple[float, float]


@dataclass(frozen=True, slots=True)
class WheelCompared:
    """One wheel beside others.

    Attributes
    ----------
    name : str
    ladder : Ladder
    speed_class : SpeedClass
    covered_percent : Interval or None
        Share of the wished range that its whirls cover; None where no range is wished for.
    missing : tuple of Stretch
        What they do not cover, by the ratios' own values.
    add_ons : tuple of float
        Ratios of as few whirls as would cover what is missing.
    """

    name: str
    ladder: Ladder
    speed_class: SpeedClass
    covered_percent: Interval | None
    missing: tuple[Stretch, ...]
    add_ons: tuple[float, ...]


def compared(
    wheels: Mapping[str, Mapping[str, Quantity]], *, cadence: CadenceRange, wish: Stretch | None = None
) -> tuple[WheelCompared, ...]:
    """Set wheels side by side, in the order in which they are given.

    Parameters
    ----------
    wheels : mapping of str to mapping of str to Quantity
        By the wheel's name the drive ratios of its whirls.
    cadence : CadenceRange
        That of the spinner.
    wish : (float, float), optional
        The lowest and the highest ratio wished for, at the middle of that cadence.

    Raises
    ------
    ValueError
        If a wheel has no ratio, or the wish is no range.
    """
    if wish is not None and not 0 < wish[0] < wish[1] < float("inf"):
        raise ValueError("a wished range goes from the lower ratio to the higher, both above zero")
    return tuple(_compared(name, ladder_of(ratios), cadence, wish) for name, ratios in wheels.items())


def _compared(name: str, ladder: Ladder, cadence: CadenceRange, wish: Stretch | None) -> WheelCompared:
    several = len(ladder.rungs) > 1
    kind = speed_class(ladder.highest, ladder.lowest if several else None)
    if wish is None:
        return WheelCompared(name, ladder, kind, None, (), ())
    missing = uncovered(_stretches(ladder, cadence, "value"), wish)
    return WheelCompared(
        name, ladder, kind, _covered_percent(ladder, cadence, wish), missing, _add_ons(missing, cadence)
    )


def _stretches(ladder: Ladder, cadence: CadenceRange, sure: str) -> list[Stretch]:
    """What each whirl covers: by its ratio's value, for sure ("low") or perhaps ("high")."""
    half = cadence.reach**0.5
    ends = {"value": ("value", "value"), "low": ("high", "low"), "high": ("low", "high")}[sure]
    found = []
    for rung in ladder.rungs:
        interval = interval_95(rung.ratio)
        found.append((getattr(interval, ends[0]) / half, getattr(interval, ends[1]) * half))
    return found


def uncovered(stretches: Sequence[Stretch], wish: Stretch) -> tuple[Stretch, ...]:
    """Give those parts of the wished range that no stretch covers, from low to high.

    Examples
    --------
    >>> uncovered([(5, 7), (9, 11)], (6, 12))
    ((7, 9), (11, 12))
    """
    missing: list[Stretch] = []
    reached, end = wish
    for low, high in sorted(stretches):
        if high <= low:
            continue
        if low > reached and reached < end:
            missing.append((reached, min(low, end)))
        reached = max(reached, high)
    if reached < end:
        missing.append((reached, end))
    return tuple(missing)


def _covered_percent(ladder: Ladder, cadence: CadenceRange, wish: Stretch) -> Interval:
    whole = log(wish[1] / wish[0])
    value, low, high = (
        100 * (1 - sum(log(b / a) for a, b in uncovered(_stretches(ladder, cadence, sure), wish)) / whole)
        for sure in ("value", "low", "high")
    )
    return Interval(value, min(low, value), max(high, value))


def _add_ons(missing: Sequence[Stretch], cadence: CadenceRange) -> tuple[float, ...]:
    """Ratios of as few whirls as cover every missing stretch, each in the middle of its even share."""
    found: list[float] = []
    for low, high in missing:
        count = max(1, ceil(log(high / low) / log(cadence.reach) - 1e-9))
        found += [low * (high / low) ** ((place + 0.5) / count) for place in range(count)]
    return tuple(found)


def ranked(wheels: Sequence[WheelCompared]) -> tuple[WheelCompared, ...]:
    """Order wheels by what they cover, those that need fewer whirls more first where that is alike."""
    return tuple(sorted(wheels, key=lambda wheel: (-_covered(wheel), len(wheel.add_ons))))


def as_good_as_first(order: Sequence[WheelCompared]) -> tuple[str, ...]:
    """Name the wheels that the doubt does not let us tell from the one that covers most."""
    first = order[0].covered_percent
    if first is None:
        return ()
    return tuple(
        wheel.name
        for wheel in order[1:]
        if wheel.covered_percent is not None and wheel.covered_percent.high >= first.low
    )


def _covered(wheel: WheelCompared) -> float:
    return wheel.covered_percent.value if wheel.covered_percent else 0.0
