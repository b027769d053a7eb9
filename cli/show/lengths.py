"""Lengths in the unit that the person prefers, mm or inches; what is reckoned stays in mm."""

from dataclasses import dataclass
from typing import Final, Literal

from ...calc.facts import MM_PER_INCH
from ...calc.interval import Interval, interval_95
from ...calc.quantity import Quantity
from .answer import between
from .rounding import texts
from .units import Units, preferred, units_typed

#: Lengths in a cell of a table that are known exactly: to a hundredth of a mm, a thousandth of an inch.
DECIMALS: Final = {"mm": 2, "in": 3}


@dataclass(frozen=True, slots=True)
class Lengths:
    """How lengths are written."""

    unit: Literal["mm", "in"] = "mm"

    @property
    def per_mm(self) -> float:
        """Units in a mm."""
        return 1.0 if self.unit == "mm" else 1 / MM_PER_INCH

    def interval(self, length_mm: Quantity) -> Interval:
        """Give the 95 % interval in this unit."""
        return interval_95(length_mm * self.per_mm)

    def told(self, length_mm: Interval) -> Interval:
        """Give an interval of mm in this unit."""
        ends = (length_mm.value, length_mm.low, length_mm.high)
        return Interval(*(end * self.per_mm for end in ends))

    def say(self, length_mm: Quantity) -> str:
        """Write a length for a sentence, with its interval."""
        return between(self.interval(length_mm), self.unit)

    def cell(self, length_mm: Quantity) -> str:
        """Write a length for a table, with as many digits as its interval deserves."""
        interval = self.interval(length_mm)
        return texts(interval)[0] if interval.half_width else self.exact(interval.value / self.per_mm)

    def exact(self, length_mm: float) -> str:
        """Write a length that is a limit or a wish."""
        return f"{length_mm * self.per_mm:.{DECIMALS[self.unit]}f}"


def lengths(asked: Units | None, *typed: str | None) -> Lengths:
    """Choose the unit: the one asked for, else inches if anything was typed in inches.

    Examples
    --------
    >>> lengths(None, "21.9in").unit, lengths("metric", "21.9in").unit, lengths(None, "556mm", None).unit
    ('in', 'mm', 'mm')
    """
    return Lengths("in" if preferred(asked, *units_typed(*typed)) == "imperial" else "mm")
