"""Edges that go on from line to line along an outline, as those of one thing do and chance ones don't."""

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.csgraph import connected_components

#: Edges of one thing on neighbouring lines differ by less than this in their distance from the outline.
STEP_PX = 0.5
#: One line without an edge does not end a chain.
FURTHEST_LINE = 2


def in_chains(
    line: NDArray[np.intp], away_px: NDArray[np.float64], lines: int, least: float
) -> NDArray[np.bool_]:
    """Which edges (n,) belong to a chain that goes on over at least ``least`` lines.

    Parameters
    ----------
    line : (n,) int array
        The line on which each edge was met, 0 to ``lines`` - 1; the last one lies beside the first.
    away_px : (n,) array
        Distance of each edge from the outline, along its line.
    lines : int
    least : float
    """
    if not len(line):
        return np.zeros(0, dtype=bool)
    further = (line[None] - line[:, None]) % lines
    beside = (further > 0) & (further <= FURTHEST_LINE)
    beside &= np.abs(away_px[None] - away_px[:, None]) < STEP_PX
    count, chain = connected_components(beside, directed=False)
    # An edge of a chain may share its line with another one of it.
    met = np.zeros((count, lines), dtype=bool)
    met[chain, line] = True
    return np.asarray(met.sum(axis=1)[chain] >= least)
