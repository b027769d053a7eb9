"""Edges that go on from line to line along an outline, as those of one thing do and chance ones don't."""

import numpy as np
from numpy.typing import NDArray

#: Edges of one thing on neighbouring lines differ by less than this in their distance from the outline.
STEP_PX = 0.5
#: One line without an edge does not end a chain.
FURTHEST_LINE = 2


def in_chains(
    line: NDArray[np.intp], away_px: NDArray[np.float64], lines: int, least: float | NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Which edges (n,) belong to a chain that goes on over at least ``least`` lines.

    Several outlines are looked at in one go if their lines are numbered one outline after the other.

    Parameters
    ----------
    line : (n,) int array
        The line on which each edge was met, 0 to ``lines`` - 1; the last one lies beside the first. Those of
        the next outline begin at ``lines``.
    away_px : (n,) array
        Distance of each edge from the outline, along its line.
    lines : int
        Of each outline, at least three.
    least : float or (n,) array
        For all chains, or for those of each edge.
    """
    if not len(line):
        return np.zeros(0, dtype=bool)
    order = np.argsort(line, kind="stable")
    chain = np.empty(len(line), dtype=np.intp)
    chain[order] = _joined(*_beside(line[order], away_px[order], lines), len(line))
    # An edge of a chain may share its line with another one of it.
    all_lines = int(line.max()) + 1
    met = np.unique(chain * all_lines + line) // all_lines
    return np.asarray(np.bincount(met)[chain] >= least)


def _joined(one: NDArray[np.intp], other: NDArray[np.intp], count: int) -> NDArray[np.intp]:
    """The first edge of the chain to which each of so many edges belongs, ``one`` and ``other`` being beside.

    SciPy's graphs do the same, and take longer to be built than this does.
    """
    first = np.arange(count)
    while len(one):
        # A chain that goes on in an earlier one begins where that one does.
        np.minimum.at(first, np.maximum(first[one], first[other]), np.minimum(first[one], first[other]))
        while (first[first] != first).any():
            first = first[first]
        apart = first[one] != first[other]
        one, other = one[apart], other[apart]
    return first


def _beside(
    line: NDArray[np.intp], away_px: NDArray[np.float64], lines: int
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Which edges, given line by line, lie on neighbouring lines and side by side; each two once."""
    all_lines = np.arange(-(-(int(line[-1]) + 1) // lines) * lines)
    counts = np.bincount(line, minlength=len(all_lines))
    # (lines, most on any): the edges of each line, and nothing where it has fewer than others.
    edge = np.full((len(all_lines), int(counts.max())), -1)
    edge[np.arange(edge.shape[1]) < counts[:, None]] = np.arange(len(line))
    away_px = np.where(edge < 0, np.nan, away_px[edge])
    within = all_lines % lines
    beside = (within[:, None] + np.arange(1, FURTHEST_LINE + 1)) % lines + (all_lines - within)[:, None]
    apart_px = np.abs(away_px[beside][:, None] - away_px[:, :, None, None])
    at, one, step, other = np.nonzero(apart_px < STEP_PX)
    return edge[at, one], edge[beside[at, step], other]
