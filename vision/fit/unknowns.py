"""What a fit may change: named unknowns with a start, a scale and, where known, a prior."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

#: How names of the unknowns of a round part of the spindle begin.
PART = "part"
#: The width of the parts' rounded edges, in mm, is common to all of them.
EDGE_WIDTH = f"{PART}_edge_width"


@dataclass(frozen=True, slots=True)
class Unknown:
    """One unknown of a fit.

    Attributes
    ----------
    name : str
    start : float
        Where the search begins.
    scale : float
        A change that matters; steps and tolerances are measured in it.
    prior : tuple of float, optional
        Mean and standard deviation of what is known without the picture.
    """

    name: str
    start: float
    scale: float
    prior: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        if self.scale <= 0 or (self.prior is not None and self.prior[1] <= 0):
            raise ValueError(f"{self.name}: a scale and a prior's deviation must be positive")


def known_about(name: str, mean: float, deviation: float) -> Unknown:
    """Return an unknown that starts at its prior's mean."""
    return Unknown(name, mean, deviation, (mean, deviation))


class UnknownTable:
    """The unknowns of one fit in a fixed order."""

    def __init__(self, unknowns: Iterable[Unknown]) -> None:
        self.unknowns = tuple(unknowns)
        self.names = tuple(u.name for u in self.unknowns)
        if len(set(self.names)) != len(self.names):
            raise ValueError("two unknowns of one fit bear the same name")
        #: Where each name stands in a vector.
        self.place = {name: k for k, name in enumerate(self.names)}
        self.start = np.array([u.start for u in self.unknowns])
        self.scale = np.array([u.scale for u in self.unknowns])
        priors = [(i, *u.prior) for i, u in enumerate(self.unknowns) if u.prior is not None]
        self._nuisance = np.array([not self.names[p[0]].startswith(PART) for p in priors], dtype=bool)
        self._prior_index = np.array([p[0] for p in priors], dtype=np.intp)
        self._prior_mean = np.array([p[1] for p in priors])
        self._prior_deviation = np.array([p[2] for p in priors])
        #: How the stretch of each prior grows with each unknown, (priors, unknowns).
        self.prior_slopes = np.zeros((len(priors), len(self.unknowns)))
        self.prior_slopes[np.arange(len(priors)), self._prior_index] = 1 / self._prior_deviation

    def values(self, vector: NDArray[np.float64]) -> Mapping[str, float]:
        """Name the entries of a vector."""
        return dict(zip(self.names, vector.tolist(), strict=True))

    def prior_residuals(self, vector: NDArray[np.float64]) -> NDArray[np.float64]:
        """How far (in standard deviations) the priors are stretched."""
        return np.asarray((vector[self._prior_index] - self._prior_mean) / self._prior_deviation)

    def strain(self, vector: NDArray[np.float64]) -> float:
        """The farthest stretch of a prior, in standard deviations.

        Priors of the spindle's single parts are left out: of many parts one or two are no parts at all.
        """
        stretched = np.abs(self.prior_residuals(vector))[self._nuisance]
        return float(stretched.max(initial=0.0))

    def restarted(self, values: Mapping[str, float]) -> "UnknownTable":
        """Return the same unknowns, those named in ``values`` starting there."""
        return UnknownTable(
            Unknown(u.name, values.get(u.name, u.start), u.scale, u.prior) for u in self.unknowns
        )

    def joined(self, more: Iterable[Unknown]) -> "UnknownTable":
        """Return these unknowns followed by more."""
        return UnknownTable((*self.unknowns, *more))
