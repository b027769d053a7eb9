"""A fused wheel's dimensions as correlated numbers, to reckon on with."""

from collections.abc import Iterable

import numpy as np
from uncertainties import UFloat, correlated_values

from .fusing import FusedWheel
from .interval import COVERAGE_FACTOR_95
from .solving import Unknown, row_of
from .wheel import Dimension


def fused_numbers(fused: FusedWheel, wanted: Iterable[Dimension]) -> dict[Dimension, UFloat]:
    """Give those of the wanted dimensions that the readings tell.

    Parameters
    ----------
    fused : FusedWheel
    wanted : iterable of Dimension
        None of them a ratio at work, which holds for one reading only.

    Returns
    -------
    dict of Dimension to UFloat
        With their correlations. Each doubt is that of the fused interval's farther end, so that where
        readings contradict each other the numbers reach as far as the intervals do.
    """
    rows: dict[Dimension, dict[Unknown, float]] = {}
    spread: list[float] = []
    for dimension in wanted:
        interval = fused.interval_95(dimension)
        if interval is None or dimension in rows:
            continue
        rows[dimension] = row_of(dimension)
        ends = max(interval.high / interval.value - 1, 1 - interval.low / interval.value)
        spread.append(ends / COVERAGE_FACTOR_95)
    if not rows:
        return {}
    solution = fused.solution
    combine = np.array([[row.get(unknown, 0.0) for unknown in solution.unknowns] for row in rows.values()])
    values = np.exp(combine @ solution.logs)
    covariance = combine @ solution.covariance @ combine.T
    own = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    stretch = np.divide(spread, own, out=np.ones_like(own), where=own > 0) * values
    return dict(zip(rows, correlated_values(values, covariance * np.outer(stretch, stretch)), strict=True))
