"""How fine wool is: the old grades, and the yarn that a fineness allows."""

from dataclasses import dataclass

from .interval import interval_95
from .quantity import Quantity
from .yarn import tex_of_fibres
from .yarn_facts import FEWEST_FIBRES, FINEST_GRADED_MICRON, WOOL_GRADES


@dataclass(frozen=True, slots=True)
class WoolGrade:
    """A grade with its limits in micron, the lower one open: ``low < micron <= high``."""

    name: str
    low_micron: float
    high_micron: float


def wool_grades() -> tuple[WoolGrade, ...]:
    """Give all grades from fine to coarse."""
    lows = [FINEST_GRADED_MICRON, *(high for _, high in WOOL_GRADES[:-1])]
    return tuple(WoolGrade(name, low, high) for low, (name, high) in zip(lows, WOOL_GRADES, strict=True))


def grades_of(micron: Quantity) -> tuple[WoolGrade, ...]:
    """Name every grade that the 95 % interval of a fibre's diameter touches, from fine to coarse.

    Empty for wool that is finer or coarser than all grades.

    Examples
    --------
    >>> [grade.name for grade in grades_of(24.0)]
    ['60s']
    """
    found = interval_95(micron)
    return tuple(
        grade
        for grade in wool_grades()
        if found.low <= grade.high_micron
        and (found.high > grade.low_micron or (grade.low_micron == FINEST_GRADED_MICRON == found.high))
    )


def grade_named(name: str) -> WoolGrade | None:
    """Find a grade such as ``56s``, also written ``56``; None where there is no such."""
    return next(
        (grade for grade in wool_grades() if grade.name == name.strip().lower().rstrip("s") + "s"), None
    )


def finest_tex(micron: Quantity) -> Quantity:
    """Give the tex of the finest even yarn that such wool makes, by the fewest fibres that hold together."""
    return tex_of_fibres(FEWEST_FIBRES, micron)
