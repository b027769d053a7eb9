"""Intervals and first-order propagation against JCGM 100 (GUM) and JCGM 101."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import t as student_t
from uncertainties import correlated_values, correlated_values_norm, correlation_matrix, ufloat, umath

from whirlwise.calc.interval import from_half_width_95, interval_95, reciprocal_interval_95
from whirlwise.calc.quantity import Quantity


def expansion(alpha_s: Quantity, theta: Quantity, d_alpha: Quantity, d_theta: Quantity) -> Quantity:
    """Give the relative correction of JCGM 100:2008 H.1, equation (H.3)."""
    return d_alpha * theta + alpha_s * d_theta


def test_end_gauge_as_in_gum_h1() -> None:
    # JCGM 100:2008, H.1: 50.000838 mm with a standard uncertainty of 32 nm.
    standard_nm = ufloat(50_000_623, 25)
    difference_nm = ufloat(215, 9.7)
    relative = expansion(ufloat(11.5e-6, 1.2e-6), ufloat(-0.1, 0.41), ufloat(0, 0.58e-6), ufloat(0, 0.029))
    length_nm = standard_nm + difference_nm - standard_nm * relative
    assert length_nm.n == pytest.approx(50_000_838, abs=0.5)
    assert length_nm.s == pytest.approx(32, abs=0.5)
    # H.1.6: with 16 effective degrees of freedom 99 % takes t = 2.92: 93 nm. Our intervals take the normal
    # distribution at 95 %, which for so many degrees of freedom falls 7 % short of t's.
    assert float(student_t.ppf(0.995, 16)) * length_nm.s == pytest.approx(93, abs=1)
    assert interval_95(length_nm).half_width == pytest.approx(
        0.925 * student_t.ppf(0.975, 16) * length_nm.s, rel=1e-3
    )


def test_straight_line_as_in_gum_h3() -> None:
    # JCGM 100:2008, H.3: corrections of a thermometer over its readings less 20 degrees: -0.1712(29) and
    # 0.00218(67), correlated by -0.930; at 30 degrees -0.1494(41).
    readings = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
    corrections = [0.171, 0.169, 0.166, 0.159, 0.164, 0.165, 0.156, 0.157, 0.159, 0.161, 0.160]
    design = np.column_stack([np.ones(11), np.array(readings) - 20])
    (offset, slope), (misfit,), *_ = np.linalg.lstsq(design, -np.array(corrections), rcond=None)
    assert misfit == pytest.approx(0.000110096583, abs=1e-10)
    covariance = np.linalg.inv(design.T @ design) * misfit / 9
    line = correlated_values([offset, slope], covariance)
    assert [line[0].n, line[0].s] == pytest.approx([-0.1712, 0.0029], abs=5e-5)
    assert [line[1].n, line[1].s] == pytest.approx([0.00218, 0.00067], abs=5e-6)
    assert correlation_matrix(line)[0, 1] == pytest.approx(-0.930, abs=5e-4)
    at_30 = interval_95(line[0] + 10 * line[1])
    # Without the correlation the uncertainty would be 0.0073.
    assert [at_30.value, at_30.half_width / 1.959964] == pytest.approx([-0.1494, 0.0041], abs=5e-5)


def test_impedance_with_correlations_as_in_gum_h2() -> None:
    # JCGM 100:2008, H.2, with the rounded inputs of the text; the text's own figures come from the raw table,
    # so R's uncertainty of 0.071 is 0.070 here.
    correlations = [[1, -0.36, 0.86], [-0.36, 1, -0.65], [0.86, -0.65, 1]]
    volt, ampere, phase_rad = correlated_values_norm(
        [(4.999, 0.0032), (19.661e-3, 9.5e-6), (1.04446, 7.5e-4)], correlations
    )
    resistance = volt / ampere * umath.cos(phase_rad)
    reactance = volt / ampere * umath.sin(phase_rad)
    impedance = volt / ampere
    assert [resistance.n, reactance.n, impedance.n] == pytest.approx([127.732, 219.847, 254.260], abs=1e-3)
    assert [resistance.s, reactance.s, impedance.s] == pytest.approx([0.0700, 0.2957, 0.2366], abs=2e-4)
    found = correlation_matrix([resistance, reactance, impedance])
    assert [found[0, 1], found[0, 2], found[1, 2]] == pytest.approx([-0.591, -0.491, 0.993], abs=2e-3)


def test_end_gauge_by_monte_carlo_shows_what_first_order_leaves_out() -> None:
    # JCGM 101:2008, 9.5: 838 nm, u 36 nm, 99 % interval 745 to 932 nm, where first order gives 32 nm.
    # Distributions as in its table 10 (shapes and limits from memory; the published results check them).
    rng = np.random.default_rng(95)
    draws = 1_000_000

    def curved_trapezoid(low: float, high: float, fuzz: float) -> np.ndarray:
        edge = low - fuzz + 2 * fuzz * rng.uniform(size=draws)
        return edge + ((low + high) - 2 * edge) * rng.uniform(size=draws)

    standard_nm = 50_000_623 + 25 * rng.standard_t(18, draws)
    difference_nm = (
        215 + 6 * rng.standard_t(24, draws) + 4 * rng.standard_t(5, draws) + 7 * rng.standard_t(8, draws)
    )
    alpha_s = rng.uniform(9.5e-6, 13.5e-6, draws)
    theta = rng.normal(-0.1, 0.2, draws) + 0.5 * np.sin(rng.uniform(0, 2 * np.pi, draws))
    d_alpha = curved_trapezoid(-1.0e-6, 1.0e-6, 0.1e-6)
    d_theta = curved_trapezoid(-0.050, 0.050, 0.025)
    length_nm = (standard_nm * (1 + alpha_s * (theta - d_theta)) + difference_nm) / (
        1 + (alpha_s + d_alpha) * theta
    )
    beyond_nominal_nm = length_nm - 50_000_000
    assert beyond_nominal_nm.mean() == pytest.approx(838, abs=1)
    assert beyond_nominal_nm.std() == pytest.approx(36, abs=0.5)
    assert np.quantile(beyond_nominal_nm, [0.005, 0.995]) == pytest.approx([745, 932], abs=2)


def test_sum_of_four_normal_numbers() -> None:
    # JCGM 101:2008, 9.2.2: u 2.0, 95 % interval +/- 3.92.
    total = sum(ufloat(0, 1) for _ in range(4))
    assert interval_95(total).low == pytest.approx(-3.92, abs=0.005)
    assert interval_95(total).high == pytest.approx(3.92, abs=0.005)


def test_interval_of_four_rectangular_numbers_errs_on_the_safe_side() -> None:
    # JCGM 101:2008, 9.2.3: the true 95 % interval is +/- 3.88, ours for a normal distribution +/- 3.92.
    draws = np.random.default_rng(92).uniform(-np.sqrt(3), np.sqrt(3), (4, 1_000_000)).sum(axis=0)
    assert np.quantile(draws, [0.025, 0.975]) == pytest.approx([-3.88, 3.88], abs=0.01)
    ours = interval_95(ufloat(0, float(draws.std())))
    inside = np.mean((draws >= ours.low) & (draws <= ours.high))
    assert 0.95 < inside < 0.96


def test_exact_numbers_have_no_width() -> None:
    assert interval_95(12.5).low == interval_95(12.5).high == 12.5


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e6))
def test_half_widths_come_back(value: float, half_width: float) -> None:
    found = interval_95(from_half_width_95(value, half_width))
    assert found.value == value
    assert found.half_width == pytest.approx(half_width, rel=1e-6, abs=1e-6 * abs(value) * 1e-3)


@pytest.mark.parametrize("half_width", [0.0, -1.0, float("nan")])
def test_a_half_width_must_be_above_zero(half_width: float) -> None:
    with pytest.raises(ValueError, match="the half-width of an interval must be above zero, not"):
        from_half_width_95(17, half_width)


@given(st.floats(0.01, 0.5), st.floats(0.001, 0.45))
def test_reciprocal_interval_is_where_the_draws_lie(share: float, relative: float) -> None:
    found = reciprocal_interval_95(ufloat(share, share * relative))
    assert found is not None
    # The 2.5 % and 97.5 % points of a normal distribution, carried through 1/x point by point.
    assert found.high == pytest.approx(1 / (share * (1 - 1.959964 * relative)), rel=1e-5)
    assert found.low == pytest.approx(1 / (share * (1 + 1.959964 * relative)), rel=1e-5)
    assert found.low < found.value < found.high


def test_a_share_that_may_be_zero_bounds_no_ratio() -> None:
    assert reciprocal_interval_95(ufloat(0.1, 0.06)) is None
