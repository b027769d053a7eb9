"""The joint fit's covariance by Monte Carlo, after JCGM 101:2008: draw all that goes in and fit again."""

from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats
from tests.vision.drawn_scenes import BAND_AND_FLANGE, TRUTH, Noise, band_and_flange, unknowns
from uncertainties import UFloat, correlation_matrix

from whirlwise.vision.fit.joint import Fit, fit_jointly
from whirlwise.vision.fit.unknowns import UnknownTable

DRAWS = 200
#: Bounds that a right covariance leaves once in a thousand times.
CERTAINTY = 0.999

WANTED = ("ratio", "pitch_radius", "loop1_radius", "spindle_distance", "flange_radius", "tilt_x", "tilt_y")
TRUE = np.array([273.0 / 21.0, *(TRUTH[name] for name in WANTED[1:])])


@dataclass(frozen=True)
class Draws:
    """Values found and deviations claimed, (draws, quantities), and the claimed correlation of the radii."""

    values: NDArray[np.float64]
    claimed: NDArray[np.float64]
    radii_correlation: float


def wanted(fit: Fit) -> tuple[UFloat, ...]:
    radii_and_more = fit.measured(*WANTED[1:])
    return (radii_and_more[0] / radii_and_more[1], *radii_and_more)


@pytest.fixture(scope="module")
def draws() -> Draws:
    """Fits to fresh edge points and fresh means of all priors; the rim's radius is the scale.

    The searches start at the truth, which spares steps; other tests start elsewhere.
    """
    rng = np.random.default_rng(101)
    found = []
    for _ in range(DRAWS):
        table = UnknownTable(unknowns(BAND_AND_FLANGE, rng)).restarted(TRUTH)
        fit = fit_jointly(table, [band_and_flange(Noise(rng, 0.4))])
        found.append(wanted(fit))
    correlations = [correlation_matrix(one[1:3])[0, 1] for one in found]
    return Draws(
        np.array([[quantity.n for quantity in one] for one in found]),
        np.array([[quantity.s for quantity in one] for one in found]),
        float(np.median(correlations)),
    )


@pytest.mark.parametrize("index", range(len(WANTED)), ids=WANTED)
def test_intervals_hold_as_often_as_they_say(draws: Draws, index: int) -> None:
    away = np.abs(draws.values[:, index] - TRUE[index]) / draws.claimed[:, index]
    inside = int(np.sum(away < stats.norm.ppf(0.975)))
    fewest, most = stats.binom.interval(CERTAINTY, DRAWS, 0.95)
    assert fewest <= inside <= most


@pytest.mark.parametrize("index", range(len(WANTED)), ids=WANTED)
def test_claimed_deviations_are_those_of_the_draws(draws: Draws, index: int) -> None:
    away = (draws.values[:, index] - TRUE[index]) / draws.claimed[:, index]
    narrowest, widest = np.sqrt(np.array(stats.chi2.interval(CERTAINTY, DRAWS - 1)) / (DRAWS - 1))
    # Tempering strays costs nothing but makes the claim 4 % wider than normal noise deserves (computed: the
    # sandwich variance of SciPy's soft_l1 beyond 2.5 deviations against its Gauss-Newton information).
    assert narrowest / 1.04 <= np.std(away, ddof=1) <= widest
    assert abs(np.mean(away)) < stats.norm.ppf(0.5 + CERTAINTY / 2) / np.sqrt(DRAWS)


def test_claimed_correlation_is_that_of_the_draws(draws: Draws) -> None:
    drawn = float(np.corrcoef(draws.values[:, 1], draws.values[:, 2])[0, 1])
    # Fisher's transformation of a correlation is normal with variance 1 / (n - 3).
    apart = np.arctanh(drawn) - np.arctanh(draws.radii_correlation)
    assert abs(apart) < stats.norm.ppf(0.5 + CERTAINTY / 2) / np.sqrt(DRAWS - 3)
