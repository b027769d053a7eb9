"""What a rule is divided in, told by which of its ticks are longer. No digit is read.

In millimetres every 5th and every 10th tick is longer; in fractions of an inch every 2nd, 4th, 8th and so on.
A pattern that could be two things is none: a row with longer ticks at 2, 4 and 8 may be inches in eighths, or
inches in sixteenths whose half and full inch are equally long.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..find.ticks import Ticks

#: International yard and pound agreement of 1959: 1 in = 25.4 mm exactly.
MM_PER_INCH = 25.4
#: Ticks of each kind, the longest ones too, must come so many times at the least.
LEAST_OF_KIND = 2
#: A longer kind of tick is longer by this share at the least.
LEAST_STEP = 0.12
#: So many of all ticks, and of each kind, must be as long as their kind; no rival pattern may come near.
LEAST_RIGHT, LEAST_RIGHT_OF_KIND, RIVAL_RIGHT = 0.88, 0.75, 0.80


@dataclass(frozen=True, slots=True)
class Division:
    """How a rule is divided: its finest step in mm, and after how many steps come the longer ticks."""

    step_mm: float
    periods: tuple[int, ...]


#: Rules in mm, in half mm, in 1/16 in and in 1/32 in (common practice, no source).
DIVISIONS = (
    Division(1.0, (5, 10)),
    Division(0.5, (2, 10, 20)),
    Division(MM_PER_INCH / 16, (2, 4, 8, 16)),
    Division(MM_PER_INCH / 32, (2, 4, 8, 16, 32)),
)


@dataclass(frozen=True, slots=True)
class _Match:
    """A division laid on the ticks: the share of ticks whose length is as it should be."""

    division: Division
    right: float


def division_of(ticks: Ticks) -> Division | None:
    """How the rule is divided whose ticks these are; None if their lengths don't tell surely."""
    matches = [match for division in DIVISIONS if (match := _best_match(division, ticks)) is not None]
    sure = [match for match in matches if match.right >= LEAST_RIGHT]
    rivals = [match for match in matches if match.right >= RIVAL_RIGHT]
    return sure[0].division if len(sure) == 1 and len(rivals) == 1 else None


def _best_match(division: Division, ticks: Ticks) -> _Match | None:
    """The division shifted along the row to where it fits best; None if it fits nowhere."""
    return max(_matches(division, ticks), key=lambda match: match.right, default=None)


def _matches(division: Division, ticks: Ticks) -> Iterator[_Match]:
    longest = division.periods[-1]
    for shift in range(longest):
        steps = ticks.number - shift
        kind = np.sum([steps % period == 0 for period in division.periods], axis=0)
        if np.bincount(kind, minlength=len(division.periods) + 1).min() < LEAST_OF_KIND:
            continue
        right = _share_right(kind, ticks.length, len(division.periods) + 1)
        if right is not None:
            yield _Match(division, right)


def _share_right(kind: NDArray[np.intp], length: NDArray[np.float64], kinds: int) -> float | None:
    """Share of the ticks that are as long as their kind; None if the kinds don't differ as they should."""
    usual = np.array([np.median(length[kind == k]) for k in range(kinds)])
    if (usual[1:] < (1 + LEAST_STEP) * usual[:-1]).any():
        return None
    seen_kind = np.searchsorted(0.5 * (usual[1:] + usual[:-1]), length)
    of_kind = [float(np.mean(seen_kind[kind == k] == k)) for k in range(kinds)]
    return float(np.mean(seen_kind == kind)) if min(of_kind) >= LEAST_RIGHT_OF_KIND else None
