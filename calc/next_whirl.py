"""Which whirl a wheel lacks most: one that halves the widest step, or reaches the end of a wished range."""

from collections.abc import Sequence
from contextlib import suppress

from uncertainties import nominal_value

from .comparing import Stretch
from .ladder import SAME_IN_USE, Ladder
from .whirl_set import best_set

#: A step narrower than this has no room for another whirl: both halves of it would be one in use.
NARROWEST = SAME_IN_USE**2


def ratios_to_add(ladder: Ladder, wish: Stretch | None = None) -> tuple[float, ...]:
    """Give the ratio of the whirl to make next.

    Parameters
    ----------
    ladder : Ladder
        What is there.
    wish : (float, float), optional
        The range of ratios that is wished for; left out, the one that is there.

    Returns
    -------
    tuple of float
        One ratio; two where both ends of the wish lie beyond all whirls; none where nothing is missing, or
        where there is one whirl only and no wish.

    Examples
    --------
    >>> from whirlwise.calc.ladder import ladder_of
    >>> [round(ratio, 3) for ratio in ratios_to_add(ladder_of({"large": 6.0, "small": 12.0}))]
    [8.485]
    >>> ratios_to_add(ladder_of({"large": 6.0, "small": 12.0}), wish=(6, 18))
    (18,)
    """
    existing = [float(nominal_value(rung.ratio)) for rung in ladder.rungs]
    low, high = wish or (existing[0], existing[-1])
    if not low < high:
        return ()
    beyond = _ends_not_reached(low, high, existing)
    if beyond:
        return beyond
    widest = best_set(low, high, 0, existing).widest_step
    return best_set(low, high, 1, existing).new if widest > NARROWEST else ()


def _ends_not_reached(low: float, high: float, existing: Sequence[float]) -> tuple[float, ...]:
    """The ends of the range that no whirl comes near."""
    for count in (0, 1):
        with suppress(ValueError):
            return best_set(low, high, count, existing).new
    return best_set(low, high, 2, existing).new
