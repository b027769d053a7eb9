"""What a ratio's doubt is made of, against the conditional variance of a normal distribution."""

import numpy as np
import pytest

from whirlwise.vision.fit.budget import shares_of_doubt
from whirlwise.vision.fit.joint import Fit

NAMES = ("loop1_radius", "pitch_radius", "part0_height", "log_focal", "tilt_x")
VALUES = dict(zip(NAMES, (20.0, 220.0, 5.0, 8.0, 0.1), strict=True))


def fit_with(mixing: np.ndarray) -> Fit:
    return Fit(VALUES, mixing @ mixing.T, 0.0, 1.0)


def test_one_cause_alone_makes_all_of_it() -> None:
    """The whirl's radius moves with the part's height and with nothing else."""
    mixing = np.diag([0.0, 0.01, 3.0, 0.02, 0.01])
    mixing[0, 2] = 0.4
    shares = shares_of_doubt(fit_with(mixing))
    assert shares["spindle"] == pytest.approx(1.0, abs=1e-3)
    assert shares["lens"] == shares["tilt"] == pytest.approx(0.0, abs=1e-9)


def test_shares_are_those_of_simulated_draws() -> None:
    """Regression on a cause leaves 1 - R^2 of the variance (Monte Carlo, JCGM 101)."""
    rng = np.random.default_rng(4)
    mixing = rng.normal(size=(5, 5)) * np.array([0.2, 0.5, 2.0, 0.02, 0.01])[:, None]
    draws = rng.multivariate_normal(np.zeros(5), mixing @ mixing.T, 200_000)
    share = draws[:, 0] / 20.0 - draws[:, 1] / 220.0
    told = shares_of_doubt(fit_with(mixing))
    for cause, column in (("spindle", 2), ("lens", 3), ("tilt", 4)):
        explained = np.corrcoef(share, draws[:, column])[0, 1] ** 2
        assert told[cause] == pytest.approx(explained, abs=0.01)
