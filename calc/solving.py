"""Least squares over all readings of a wheel at once.

Everything is linear in the logarithms of diameters and of the distance from axle to spindle, so one solve is
exact: y = A x with covariance V gives x = (A' V^-1 A)^-1 A' V^-1 y (A. C. Aitken, *Proc. Roy. Soc. Edinburgh*
55 (1935) 42, from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solve_triangular
from scipy.stats import chi2

from .wheel import SPINDLE, WHEEL, Dimension, Reading

Array = NDArray[np.float64]

#: Nothing about a wheel of wood is known better than this share; it keeps the matrices from being singular.
FINEST: Final = 1e-5
#: A combination of unknowns that lies farther than this from what was measured is not told by it.
TOLD: Final = 1e-7

#: An unknown: a dimension, or the share of its speed that a slipping band leaves to the flyer in one reading.
Unknown = Dimension | str


@dataclass(frozen=True, slots=True)
class Solution:
    """Outcome of the least squares.

    Attributes
    ----------
    unknowns : tuple of Unknown
    logs, covariance : (n,) and (n, n) arrays
        Logarithms of the unknowns; where only combinations of them are told, one of many answers.
    told : (n, n) array
        Projects on the combinations that the readings tell.
    chi_square, freedom : float, int
        The misfit, and how many numbers stand in it beyond those needed.
    """

    unknowns: tuple[Unknown, ...]
    logs: Array
    covariance: Array
    told: Array
    chi_square: float
    freedom: int

    @property
    def agreement(self) -> float:
        """How often right readings with these doubts would misfit at least so much."""
        return float(chi2.sf(self.chi_square, self.freedom)) if self.freedom else 1.0

    def log_of(self, row: dict[Unknown, float]) -> tuple[float, float] | None:
        """Give a combination's logarithm and its standard uncertainty; None if the readings don't tell it."""
        if not set(row) <= set(self.unknowns):
            return None
        wanted = np.array([row.get(unknown, 0.0) for unknown in self.unknowns])
        if np.linalg.norm(wanted - self.told @ wanted) > TOLD:
            return None
        variance = max(float(wanted @ self.covariance @ wanted), 0.0)
        return float(wanted @ self.logs), float(np.sqrt(variance))


def row_of(dimension: Dimension, reading: str = "") -> dict[Unknown, float]:
    """Write a dimension's logarithm as a sum of unknowns' logarithms.

    Examples
    --------
    >>> list(row_of(Dimension("ratio", "small")).values())
    [1.0, -1.0]
    """
    part, head = dimension.part, dimension.head
    match dimension.what:
        case "ratio":
            return {Dimension("pitch_mm", WHEEL, head): 1.0, Dimension("pitch_mm", part, head): -1.0}
        case "whole_ratio":
            return {**row_of(Dimension("ratio", part)), **row_of(Dimension("ratio", SPINDLE, head))}
        case "ratio_at_work" | "whole_ratio_at_work":
            return {**row_of(dimension.of_circles), speed_kept_in(reading): 1.0}
    return {dimension: 1.0}


def solve(readings: Sequence[Reading]) -> Solution:
    """Solve for all unknowns of the readings at once."""
    rows = [row_of(dimension, reading.name) for reading in readings for dimension in reading.values]
    unknowns = tuple(dict.fromkeys(unknown for row in rows for unknown in row))
    if not rows:
        return Solution((), np.zeros(0), np.zeros((0, 0)), np.zeros((0, 0)), 0.0, 0)
    design = np.array([[row.get(unknown, 0.0) for unknown in unknowns] for row in rows])
    lower = np.linalg.cholesky(_joint_covariance(readings))
    logs = np.concatenate([reading.logs for reading in readings])
    white_design = solve_triangular(lower, design, lower=True)
    white_logs = solve_triangular(lower, logs, lower=True)
    # Ranks are those of the design, whose entries are 0 and 1; whitened, they would drown in its scales.
    told = np.linalg.pinv(design) @ design
    rank = int(np.linalg.matrix_rank(design))
    basis = np.linalg.svd(design)[2][:rank].T
    back = basis @ np.linalg.pinv(white_design @ basis, rcond=1e-12)
    found = back @ white_logs
    misfit = white_logs - white_design @ found
    return Solution(unknowns, found, back @ back.T, told, float(misfit @ misfit), len(rows) - rank)


def _joint_covariance(readings: Sequence[Reading]) -> Array:
    """Covariance of all logarithms: a block for each reading, and what shared causes do to all of them."""
    joint = FINEST**2 * np.eye(sum(len(reading.values) for reading in readings))
    first = 0
    for reading in readings:
        block = slice(first, first + len(reading.values))
        joint[block, block] += reading.covariance
        first = block.stop
    for cause in sorted({cause for reading in readings for cause in reading.shared}):
        moves = np.concatenate([r.shared.get(cause, np.zeros(len(r.values))) for r in readings])
        joint = joint + np.outer(moves, moves)
    return joint


def speed_kept_in(reading: str) -> str:
    """Give the unknown for the share of its speed that a slipping band leaves to the flyer in a reading."""
    return f"speed kept in {reading}"
