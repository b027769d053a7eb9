"""The small least squares against certified answers (NIST), and where a full step leads uphill."""

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.test_joint_fit_certified import SETS

from whirlwise.vision.find.descent import descended

Numbers = NDArray[np.float64]

NEAR_ENOUGH, MOST_TRIALS = 1e-8, 100


def test_certified_answers() -> None:
    data = SETS["Eckerle4"]

    def explained(b: Numbers) -> tuple[Numbers, Numbers]:
        curve, away = data.model(b, data.x), (data.x - b[2]) / b[1]
        return curve - data.y, curve[:, None] * np.stack(
            [1 / b[0] + 0 * away, (away**2 - 1) / b[1], away / b[1]], 1
        )

    scale = np.array(data.deviations) * 10
    found, slopes = descended(explained, np.array(data.starts[0]), scale, NEAR_ENOUGH, MOST_TRIALS)
    assert found == pytest.approx(np.array(data.values), rel=1e-5)
    assert (explained(found)[0] ** 2).sum() == pytest.approx(data.residual_sum, rel=1e-8)
    variance = data.residual_sum / (len(data.y) - len(found))
    deviations = np.sqrt(np.diag(np.linalg.inv(slopes.T @ slopes)) * variance)
    assert deviations == pytest.approx(np.array(data.deviations), rel=1e-3)


def test_a_step_that_leads_uphill_is_shortened() -> None:
    """From far out the straight line at an arc tangent's flat end overshoots ever further."""

    def explained(x: Numbers) -> tuple[Numbers, Numbers]:
        return np.arctan(x), np.diag(1 / (1 + x**2))

    found, _ = descended(explained, np.array([3.0]), np.ones(1), NEAR_ENOUGH, MOST_TRIALS)
    assert abs(float(found[0])) < 1e-6


def test_what_nothing_holds_stays_where_it_is() -> None:
    def explained(x: Numbers) -> tuple[Numbers, Numbers]:
        return x[:1] - 2.0, np.array([[1.0, 0.0]])

    found, _ = descended(explained, np.array([0.0, 5.0]), np.ones(2), NEAR_ENOUGH, MOST_TRIALS)
    assert found == pytest.approx(np.array([2.0, 5.0]))
