"""A wheel's dimensions, and readings of them.

A reading is a handful of dimensions with their values, how far each may be off, and how they go together: two
diameters from one picture share its scale, so their ratio is better known than either. All of them are above
zero and enter as logarithms, in which a ratio is a difference and a doubt is a share of the value.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from math import exp, log1p
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat

from .interval import COVERAGE_FACTOR_95, Interval

#: ``ratio_at_work`` holds the slip of the band; ``ratio`` is that of the pitch circles. ``whole_ratio`` is
#: what a great wheel and the head behind it make together, from the wheel to the spindle.
What: TypeAlias = Literal[
    "outer_mm",
    "groove_mm",
    "pitch_mm",
    "centre_distance_mm",
    "ratio",
    "ratio_at_work",
    "whole_ratio",
    "whole_ratio_at_work",
]
WHATS: Final[tuple[What, ...]] = (
    "outer_mm",
    "groove_mm",
    "pitch_mm",
    "centre_distance_mm",
    "ratio",
    "ratio_at_work",
    "whole_ratio",
    "whole_ratio_at_work",
)
#: The part that is no whirl.
WHEEL: Final = "wheel"
#: The one whirl of a head's own pair; its wheel is called ``WHEEL`` too.
SPINDLE: Final = "spindle's whirl"
#: A variance that rounding alone may make negative; less than the least one that a solve reckons with.
ROUNDING: Final = 5e-11


@dataclass(frozen=True, slots=True, order=True)
class Dimension:
    """One thing to know of a wheel.

    Attributes
    ----------
    what : str
        A diameter, the distance from axle to spindle, or a drive ratio.
    part : str
        ``"wheel"``, or the label of a whirl. Ratios belong to the whirl that makes them, the distance from
        axle to spindle belongs to the wheel.
    head : str
        Name of an accelerating head. Of a whole ratio it is the one behind the great wheel; else the
        dimension is of the head's own pair, of which ``part`` is ``WHEEL`` or ``SPINDLE``. Empty where there
        is no head in it.
    """

    what: What
    part: str = WHEEL
    head: str = ""

    @property
    def in_head(self) -> bool:
        """Whether it belongs to a head's own pair of wheel and whirl."""
        return bool(self.head) and not self.what.startswith("whole_ratio")

    @property
    def of_circles(self) -> "Dimension":
        """The ratio of the circles, of a ratio at work; any other dimension itself."""
        circles: dict[What, What] = {"ratio_at_work": "ratio", "whole_ratio_at_work": "whole_ratio"}
        return replace(self, what=circles.get(self.what, self.what))

    @property
    def at_work(self) -> "Dimension":
        """The ratio at work, of a ratio of the circles."""
        at_work: dict[What, What] = {"ratio": "ratio_at_work", "whole_ratio": "whole_ratio_at_work"}
        return replace(self, what=at_work.get(self.what, self.what))


@dataclass(frozen=True, slots=True)
class Reading:
    """What one picture or clip told of a wheel.

    Attributes
    ----------
    name : str
        What it is called, such as ``"photo-1"``; no two readings of a wheel share it.
    values : mapping of Dimension to float
    covariance : (n, n) array
        Covariance of the values' logarithms in the order of ``values``, without what ``shared`` holds.
    shared : mapping of str to (n,) array
        Causes that other readings have in common, by name: by how much each logarithm moves when the cause
        moves by one standard uncertainty. A second reading does not make them smaller.
    """

    name: str
    values: Mapping[Dimension, float]
    covariance: NDArray[np.float64]
    shared: Mapping[str, NDArray[np.float64]]

    def __post_init__(self) -> None:
        count = len(self.values)
        if not all(value > 0 and np.isfinite(value) for value in self.values.values()):
            raise ValueError(f"reading {self.name}: a dimension must be above zero")
        if self.covariance.shape != (count, count) or not np.isfinite(self.covariance).all():
            raise ValueError(f"reading {self.name}: the covariance must be {count} x {count} finite numbers")
        if not np.allclose(self.covariance, self.covariance.T, rtol=1e-6, atol=1e-15):
            raise ValueError(f"reading {self.name}: the covariance must be symmetric")
        if count and float(np.linalg.eigvalsh(self.covariance).min()) < -ROUNDING:
            raise ValueError(f"reading {self.name}: the covariance allows less than no doubt")
        if any(moves.shape != (count,) or not np.isfinite(moves).all() for moves in self.shared.values()):
            raise ValueError(f"reading {self.name}: a shared cause must name {count} finite numbers")

    @property
    def logs(self) -> NDArray[np.float64]:
        """Logarithms of the values."""
        return np.asarray(np.log(list(self.values.values())), dtype=np.float64)

    @property
    def whole_covariance(self) -> NDArray[np.float64]:
        """Covariance of the logarithms, shared causes included."""
        moves = [np.outer(each, each) for each in self.shared.values()]
        return np.asarray(self.covariance + sum(moves, np.zeros_like(self.covariance)))

    def only(self, dimensions: Iterable[Dimension]) -> "Reading":
        """Give what the reading tells of these dimensions, their correlations included."""
        wanted = set(dimensions)
        kept = [dimension in wanted for dimension in self.values]
        return Reading(
            self.name,
            {dimension: value for dimension, value in self.values.items() if dimension in wanted},
            self.covariance[np.ix_(kept, kept)],
            {cause: moves[kept] for cause, moves in self.shared.items()},
        )

    def renamed(self, old: str, new: str) -> "Reading":
        """Give the reading with another label for a whirl; unchanged where it would tell one thing twice."""
        values = {
            replace(d, part=new) if d.part == old and not d.in_head else d: value
            for d, value in self.values.items()
        }
        return replace(self, values=values) if len(values) == len(self.values) else self

    def interval_95(self, dimension: Dimension) -> Interval:
        """Give the 95 % interval of one dimension as this reading alone knows it."""
        place = list(self.values).index(dimension)
        deviation = float(np.sqrt(self.whole_covariance[place, place]))
        return interval_of_log(float(self.logs[place]), deviation)


def interval_of_log(mean: float, deviation: float) -> Interval:
    """Give the 95 % interval of a number from its logarithm and the logarithm's standard uncertainty.

    Examples
    --------
    >>> found = interval_of_log(0.0, 0.1)
    >>> round(found.low, 3), found.value, round(found.high, 3)
    (0.822, 1.0, 1.217)
    """
    reach = COVERAGE_FACTOR_95 * deviation
    return Interval(exp(mean), exp(mean - reach), exp(mean + reach))


def reading_of(name: str, numbers: Mapping[Dimension, UFloat]) -> Reading:
    """Make a reading of correlated numbers.

    A variable that carries a tag is a cause that other readings share under that name. The doubt of each
    logarithm is chosen so that its 95 % interval covers that of the number itself, whose lower end is the
    farther one in logarithms: u(log x) = -log(1 - k u(x)/x) / k. A number whose own interval reaches down to
    zero is left out.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> scale, rim = ufloat(1, 0.01), ufloat(500, 1)
    >>> wheel, ratio = Dimension("pitch_mm"), Dimension("ratio", "whirl")
    >>> reading = reading_of("photo-1", {wheel: rim * scale, ratio: ufloat(10, 0.1)})
    >>> [round(float(np.sqrt(u)), 4) for u in np.diag(reading.covariance)]
    [0.0103, 0.0101]
    """
    held = {dimension: number for dimension, number in numbers.items() if _bounded(number)}
    moves = [_moves(number) for number in held.values()]
    variables = list(dict.fromkeys(variable for each in moves for variable in each))
    untagged = [v for v in variables if v.tag is None]
    own = np.array([[each.get(v, 0.0) for v in untagged] for each in moves]).reshape(len(held), len(untagged))
    shared = {
        tag: np.array([sum(each.get(v, 0.0) for v in variables if v.tag == tag) for each in moves])
        for tag in dict.fromkeys(v.tag for v in variables if v.tag is not None)
    }
    values = {dimension: float(number.n) for dimension, number in held.items()}
    return Reading(name, values, own @ own.T, shared)


def _bounded(number: UFloat) -> bool:
    return bool(number.n > 0 and COVERAGE_FACTOR_95 * number.s < number.n)


def _moves(number: UFloat) -> dict[UFloat, float]:
    """By how much the number's logarithm moves with one standard uncertainty of each variable."""
    relative = float(number.s / number.n)
    stretch = -log1p(-COVERAGE_FACTOR_95 * relative) / (COVERAGE_FACTOR_95 * relative) if relative else 1.0
    return {
        variable: float(slope * variable.std_dev / number.n * stretch)
        for variable, slope in number.derivatives.items()
    }
