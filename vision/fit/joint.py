"""Nonlinear least squares over all observations and priors at once, with the covariance of the result."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from uncertainties import UFloat, correlated_values

from .observations import InPlane, Observation, Slopes
from .plane_points import plane_points
from .scene import Scene
from .unknowns import UnknownTable

#: Beyond so many deviations a point is taken for a stray one and pulls less.
STRAY_BEYOND = 2.5
#: Nothing a spinner can see hangs on a smaller change of the misfit; weakly held unknowns would creep on for
#: hundreds of steps.
TOLERANCE, MOST_STEPS = 1e-6, 60
#: Priors stretch by two deviations now and then. A fit that stretches one further leaves something out, and
#: its doubt grows with the square of that.
USUAL_STRAIN = 2.0
#: Unknowns that neither picture nor priors hold get this deviation (in units of their scale) at the most.
WIDEST = 1e4
#: Trial step, as a share of the scale, for observations that don't know their own slopes.
TRIAL_STEP = 1e-5


@dataclass(frozen=True, slots=True)
class Fit:
    """Outcome of a joint fit.

    Attributes
    ----------
    values : mapping of str to float
    covariance : (n, n) array
        In the order of ``values``.
    cost : float
        Half the sum of squared (and for strays, tempered) misfits in deviations.
    reduced_chi_square : float
        Mean squared misfit a degree of freedom: about 1 if the deviations are right.
    strain : float
        The farthest stretch of what is known of wheels and cameras, in standard deviations.
    """

    values: Mapping[str, float]
    covariance: NDArray[np.float64]
    cost: float
    reduced_chi_square: float
    strain: float = 0.0

    @property
    def scene(self) -> Scene:
        """The fitted geometry."""
        return Scene(self.values)

    def measured(self, *names: str) -> tuple[UFloat, ...]:
        """Fitted values with their joint covariance, as correlated numbers."""
        order = [list(self.values).index(name) for name in names]
        chosen = self.covariance[np.ix_(order, order)]
        return tuple(correlated_values([self.values[n] for n in names], chosen))


def fit_jointly(table: UnknownTable, observations: Sequence[Observation]) -> Fit:
    """Fit all unknowns to all observations and priors.

    Parameters
    ----------
    table : UnknownTable
    observations : sequence of Observation
        Their residuals must be in standard deviations.

    Returns
    -------
    Fit
        The covariance is that of the linearised problem, (J^T J)^-1 at the solution, enlarged by the reduced
        chi-square where the misfit is greater than the deviations say, and further where the fit has to
        stretch what is known of wheels and cameras.

    Notes
    -----
    JCGM 101 (Monte Carlo) is the check on the linearisation, in the tests.
    """
    tried = _Tried(table, observations)
    found = least_squares(
        tried.misfits,
        table.start,
        tried.slopes,
        x_scale=table.scale,
        method="lm",
        ftol=TOLERANCE,
        xtol=TOLERANCE,
        max_nfev=MOST_STEPS,
    )
    freedom = max(len(found.fun) - len(table.start), 1)
    chi_square = 2 * float(found.cost) / freedom
    # In units of the scales, with a faint hold on what nothing else holds, so that the matrix inverts.
    scaled = found.jac * table.scale
    information = scaled.T @ scaled + np.eye(len(table.start)) / WIDEST**2
    strain = table.strain(found.x)
    enlarged = max(chi_square, 1.0) * max(strain / USUAL_STRAIN, 1.0) ** 4
    covariance = np.linalg.inv(information) * np.outer(table.scale, table.scale) * enlarged
    return Fit(table.values(found.x), covariance, float(found.cost), chi_square, strain)


def misfit_at_start(table: UnknownTable, observations: Sequence[Observation]) -> float:
    """The cost of a fit that stays where it begins."""
    misfits = _Tried(table, observations).misfits(table.start)
    return 0.5 * float(misfits @ misfits)


class _Tried:
    """Misfits and slopes at the vectors that the search tries.

    Slopes are asked for where misfits were asked for last, and more than once at the first vector and at the
    last one, so both are kept. There are many small observations: the pixels of all that lie in planes are
    carried there at once.
    """

    def __init__(self, table: UnknownTable, observations: Sequence[Observation]) -> None:
        self._table = table
        pixels = [each.pixels_px if isinstance(each, InPlane) else np.zeros((0, 2)) for each in observations]
        self._pixels = np.concatenate(pixels)
        ends = np.cumsum([0, *map(len, pixels)]).tolist()
        #: Each with the rows of its pixels.
        self._observations = list(zip(observations, map(slice, ends, ends[1:]), strict=False))
        self._vector: NDArray[np.float64] | None = None
        self._scene = Scene({})
        self._heights_mm = np.zeros(0)
        self._rays = np.zeros((0, 2))
        self._slopes: NDArray[np.float64] | None = None
        self._residuals: list[NDArray[np.float64]] = []

    def misfits(self, vector: NDArray[np.float64]) -> NDArray[np.float64]:
        """What is seen, tempered, and then how far the priors are stretched."""
        self._at(vector)
        return np.concatenate([_tempered(self._seen()), self._table.prior_residuals(vector)])

    def slopes(self, vector: NDArray[np.float64]) -> NDArray[np.float64]:
        """How all misfits grow with each unknown, (misfits, unknowns)."""
        self._at(vector)
        if self._slopes is None:
            self._slopes = self._reckoned_slopes()
        return self._slopes

    def _reckoned_slopes(self) -> NDArray[np.float64]:
        seen = self._seen()
        jacobian = np.zeros((len(seen) + len(self._table.prior_slopes), len(self._table.start)))
        jacobian[len(seen) :] = self._table.prior_slopes
        # Without pixels there may be no camera among the unknowns.
        points = None
        if len(self._pixels):
            points = plane_points(self._scene, self._pixels, self._rays, self._heights_mm)
        first = 0
        for (observation, rows), misfit in zip(self._observations, self._residuals, strict=True):
            part = jacobian[first : first + len(misfit)]
            if points is not None and isinstance(observation, InPlane):
                self._fill_in(part, observation.growth(self._scene, points.of(rows)))
            else:
                self._try_out(part, observation, misfit)
            first += len(misfit)
        jacobian[: len(seen)] *= _tempering(seen)[:, None]
        return jacobian

    def _seen(self) -> NDArray[np.float64]:
        """The misfits of all that is seen, one after the other; of nothing, none."""
        return np.concatenate([np.zeros(0), *self._residuals])

    def _at(self, vector: NDArray[np.float64]) -> None:
        if self._vector is not None and np.array_equal(vector, self._vector):
            return
        self._vector, self._slopes = vector.copy(), None
        self._scene = scene = Scene(self._table.values(vector))
        self._heights_mm = np.empty(len(self._pixels))
        for each, rows in self._observations:
            if isinstance(each, InPlane):
                self._heights_mm[rows] = each.heights_mm(scene)
        points_mm = self._pixels
        if len(points_mm):
            self._rays = scene.plane.camera.rays_from_pixels(self._pixels)
            points_mm = scene.plane.plane_from_rays(self._rays, self._heights_mm)
        self._residuals = [
            each.misfits(scene, points_mm[rows]) if isinstance(each, InPlane) else each.residuals(scene)
            for each, rows in self._observations
        ]

    def _fill_in(self, jacobian: NDArray[np.float64], slopes: Slopes) -> None:
        """Put slopes into the rows (n, unknowns) of an observation, still 0."""
        for name, slope in slopes.items():
            jacobian[:, self._table.place[name]] = slope

    def _try_out(
        self, jacobian: NDArray[np.float64], observation: Observation, misfit: NDArray[np.float64]
    ) -> None:
        """Fill in the rows (n, unknowns) of an observation that does not know its slopes."""
        assert self._vector is not None
        for unknown, step in enumerate(TRIAL_STEP * self._table.scale):
            aside = np.array(self._vector)
            aside[unknown] += step
            moved = observation.residuals(Scene(self._table.values(aside)))
            jacobian[:, unknown] = (moved - misfit) / step


def _tempering(misfit: NDArray[np.float64]) -> NDArray[np.float64]:
    """Derivative (n,) of tempered misfits.

    With u = misfit^2 / limit^2 and w = sqrt(1 + u), the tempered misfit is misfit sqrt(2 / (w + 1)), and its
    derivative that factor times 1 - u / (2 w (w + 1)).
    """
    squared = (misfit / STRAY_BEYOND) ** 2
    root = np.sqrt(1 + squared)
    return np.asarray(np.sqrt(2 / (root + 1)) * (1 - squared / (2 * root * (root + 1))))


def _tempered(misfit: NDArray[np.float64]) -> NDArray[np.float64]:
    """Residuals whose squares grow linearly, not squarely, for strays (SciPy's soft_l1).

    Only what was seen is tempered: a prior is meant as it stands. The textbook form subtracts nearly equal
    numbers where the misfit is small; this one is equal and does not.
    """
    squared = (misfit / STRAY_BEYOND) ** 2
    return np.asarray(misfit * np.sqrt(2 / (np.sqrt(1 + squared) + 1)))
