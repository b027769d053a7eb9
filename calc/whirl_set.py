"""The best set of whirls for a range of ratios, given those that are there.

Ratios are steps on a ladder of factors, so the best set has even steps in the logarithm of the ratio: every
ratio wished for is then as near, in percent of cadence, to a whirl as it can be. With some whirls given,
each stretch between two of them is divided evenly, and the next new whirl always goes where the step is
widest. That greedy rule is optimal here: a stretch that is divided by n has its widest step longer than one
divided by n + 1, so no whirl is better spent elsewhere.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import log
from typing import Final

from .ladder import SAME_IN_USE

#: More than these nobody changes or carries.
MOST_WHIRLS: Final = 12


@dataclass(frozen=True, slots=True)
class WhirlSet:
    """New whirls beside the old ones.

    Attributes
    ----------
    new : tuple of float
        Ratios to make, from low to high.
    all : tuple of float
        Those ratios and the old ones that serve the range.
    widest_step : float
        Widest step between neighbours, as a factor.
    """

    new: tuple[float, ...]
    all: tuple[float, ...]
    widest_step: float


def best_set(lowest: float, highest: float, count: int, existing: Sequence[float] = ()) -> WhirlSet:
    """Choose `count` new ratios so that from `lowest` to `highest` the widest step is as small as can be.

    Parameters
    ----------
    lowest, highest : float
        The range that is wished for.
    count : int
        How many whirls shall be made.
    existing : sequence of float
        Ratios that are there. An end of the range is reached by one at or beyond it, or so near that no foot
        tells the difference.

    Raises
    ------
    ValueError
        If the range is none, or so few whirls do not reach its ends.

    Examples
    --------
    >>> [round(ratio, 3) for ratio in best_set(6, 18, 3).new]
    [6, 10.392, 18]
    >>> [round(ratio, 3) for ratio in best_set(6, 18, 1, existing=[6, 12, 18]).new]
    [8.485]
    """
    if not 0 < lowest < highest < float("inf"):
        raise ValueError("a range of ratios goes from the lower to the higher, both above zero")
    if not 0 <= count <= MOST_WHIRLS:
        raise ValueError(f"the number of whirls to make must lie between 0 and {MOST_WHIRLS}")
    serving = _serving(lowest, highest, existing)
    ends = _not_reached(lowest, highest, serving)
    if count < len(ends):
        missing = " and ".join(f"{end:g}" for end in ends)
        whirls = f"{len(ends)} new whirls" if len(ends) > 1 else "1 new whirl"
        raise ValueError(
            f"reaching from {lowest:g} to {highest:g} takes at least {whirls}, for nothing there reaches "
            f"{missing}"
        )
    marks = sorted({*serving, *ends})
    parts = _divided(marks, count - len(ends))
    between = [
        low * (high / low) ** (place / pieces)
        for low, high, pieces in zip(marks, marks[1:], parts, strict=False)
        for place in range(1, pieces)
    ]
    new = tuple(sorted([*ends, *between]))
    whole = tuple(sorted([*serving, *new]))
    steps = [high / low for low, high in pairwise(whole)]
    return WhirlSet(new, whole, max(steps, default=1.0))


def fewest_for_step(
    lowest: float, highest: float, widest_step: float, existing: Sequence[float] = ()
) -> WhirlSet:
    """Choose as few new ratios as leave no step wider than `widest_step`, a factor.

    Raises
    ------
    ValueError
        If the range is none, the step is none, or more whirls than anybody carries would be needed.

    Examples
    --------
    >>> len(fewest_for_step(6, 18, 1.5).new)
    4
    """
    if not widest_step > 1:
        raise ValueError("the widest step must be above 1")
    for count in range(MOST_WHIRLS + 1):
        try:
            found = best_set(lowest, highest, count, existing)
        except ValueError:
            if not 0 < lowest < highest < float("inf"):
                raise
            continue
        if found.widest_step <= widest_step * (1 + 1e-9):
            return found
    raise ValueError(
        f"steps of {100 * (widest_step - 1):.0f} % from {lowest:g} to {highest:g} would take more than "
        f"{MOST_WHIRLS} whirls"
    )


def _serving(lowest: float, highest: float, existing: Sequence[float]) -> list[float]:
    """Old ratios inside the range, and the nearest on either side of it if the end itself isn't reached."""
    inside = [ratio for ratio in existing if lowest / SAME_IN_USE <= ratio <= highest * SAME_IN_USE]
    if not any(ratio <= lowest * SAME_IN_USE for ratio in inside):
        inside += sorted(ratio for ratio in existing if ratio < lowest / SAME_IN_USE)[-1:]
    if not any(ratio >= highest / SAME_IN_USE for ratio in inside):
        inside += sorted(ratio for ratio in existing if ratio > highest * SAME_IN_USE)[:1]
    return sorted(inside)


def _not_reached(lowest: float, highest: float, serving: Sequence[float]) -> list[float]:
    """Those ends of the range to which nothing comes near."""
    low_reached = any(ratio <= lowest * SAME_IN_USE for ratio in serving)
    high_reached = any(ratio >= highest / SAME_IN_USE for ratio in serving)
    return [*([] if low_reached else [lowest]), *([] if high_reached else [highest])]


def _divided(marks: Sequence[float], count: int) -> list[int]:
    """Into how many pieces each stretch between marks goes when `count` whirls are put in between."""
    lengths = [log(high / low) for low, high in pairwise(marks)]
    pieces = [1] * len(lengths)
    for _ in range(count if lengths else 0):
        longest = max(range(len(lengths)), key=lambda place: lengths[place] / pieces[place])
        pieces[longest] += 1
    return pieces
