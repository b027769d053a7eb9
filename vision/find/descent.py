"""Least squares for a handful of unknowns whose misfits come with their slopes: steps of Gauss and Newton.

SciPy's solvers take as long about such a step as it takes to reckon the misfits.
"""

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
#: Misfits (n,) at unknowns, and how they grow with these, (n, unknowns).
Explained = Callable[[Numbers], tuple[Numbers, Numbers]]

#: Where much stays unexplained all steps fall short alike. So each is lengthened by as much as the last one
#: fell short in its own direction, so far at the most.
LONGEST: Final = 3.0
#: A faint hold, in units of the scales, on what the misfits do not hold.
HELD: Final = 1e-6


def descended(
    explained: Explained, start: Numbers, scale: Numbers, near_enough: float, most_trials: int
) -> tuple[Numbers, Numbers]:
    """The unknowns (k,) near a start at which the squares of the misfits are least, and the slopes there.

    Parameters
    ----------
    explained : callable
    start, scale : (k,) array
        The scale is a usual change of each unknown.
    near_enough : float
        A step that lessens the squares, or moves the unknowns, by no more than this share is the last one.
    most_trials : int
        How often the misfits are reckoned at the most.
    """
    vector, (misfits, slopes) = start, explained(start)
    step, longer = _step(misfits, slopes * scale), 1.0
    for _ in range(most_trials - 1):
        tried = vector + longer * step * scale
        seen = explained(tried)
        squares = float(misfits @ misfits)
        gained = squares - float(seen[0] @ seen[0])
        reach = float(np.linalg.norm(tried / scale))
        near = longer * float(np.linalg.norm(step)) < near_enough * (near_enough + reach)
        if gained < 0:
            longer *= 0.5
        else:
            vector, (misfits, slopes), before = tried, seen, step
            step = _step(misfits, slopes * scale)
            done = float((before - step) @ before) / longer
            longer = float(np.clip(before @ before / done, 1.0, LONGEST)) if done > 0 else LONGEST
        if near or 0 <= gained <= near_enough * squares:
            break
    return vector, slopes


def _step(misfits: Numbers, slopes: Numbers) -> Numbers:
    """The step (k,), in units of the scales, that would explain the most if all slopes stayed as they are."""
    square = slopes.T @ slopes
    return np.asarray(-np.linalg.solve(square + HELD * np.eye(len(square)), slopes.T @ misfits))
