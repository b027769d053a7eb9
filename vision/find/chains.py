"""Edges that go on from line to line along an outline, as those of one thing do and chance ones don't."""

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
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
        At least three.
    least : float
    """
    if not len(line):
        return np.zeros(0, dtype=bool)
    order = np.argsort(line, kind="stable")
    count, in_order = connected_components(_beside(line[order], away_px[order], lines), directed=False)
    chain = np.empty_like(in_order)
    chain[order] = in_order
    # An edge of a chain may share its line with another one of it.
    met = np.zeros((count, lines), dtype=bool)
    met[chain, line] = True
    return np.asarray(met.sum(axis=1)[chain] >= least)


def _beside(line: NDArray[np.intp], away_px: NDArray[np.float64], lines: int) -> csr_array:
    """Which edges (n, n), line by line, lie on neighbouring lines and side by side; each two once."""
    counts = np.bincount(line, minlength=lines)
    # (lines, most on any): the edges of each line, and nothing where it has fewer than others.
    edge = np.full((lines, int(counts.max())), -1)
    edge[np.arange(edge.shape[1]) < counts[:, None]] = np.arange(len(line))
    away_px = np.where(edge < 0, np.nan, away_px[edge])
    beside = (np.arange(lines)[:, None] + np.arange(1, FURTHEST_LINE + 1)) % lines
    apart_px = np.abs(away_px[beside][:, None] - away_px[:, :, None, None])
    at, one, step, other = np.nonzero(apart_px < STEP_PX)
    # The rows come in their order, as the matrix wants them.
    ends = np.cumsum(np.bincount(edge[at, one] + 1, minlength=len(line) + 1))
    joined = np.ones(len(at)), edge[beside[at, step], other].astype(np.int32), ends.astype(np.int32)
    return csr_array(joined, shape=(len(line), len(line)))
