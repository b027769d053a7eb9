"""Order spectra, phases and courses against slow oracles, SciPy and exact sums."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import lombscargle, savgol_filter

from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.turning.course import turns_of
from whirlwise.vision.turning.orders import order_spectrum, path_of, peaks, winding_power, window_weights
from whirlwise.vision.turning.polar import TurningPlane
from whirlwise.vision.turning.rhythm import rhythm_of
from whirlwise.vision.turning.smoothing import local_fit, scatter_about_course

RNG = np.random.default_rng(11)
TIMES_S = np.arange(300) / 30
ANGLES = 7.0 * TIMES_S + 0.3 * np.sin(7.0 * TIMES_S)


def rings(
    ratio: float, winding: int, noise: float
) -> "np.ndarray[tuple[int, int, int], np.dtype[np.complex64]]":
    made = RNG.normal(0, noise, (300, 2, 4)) + 1j * RNG.normal(0, noise, (300, 2, 4))
    made[:, :, winding - 1] += np.exp(-1j * winding * ratio * ANGLES)[:, None]
    return made.astype(np.complex64)


@pytest.mark.parametrize(("ratio", "winding"), [(6.3, 1), (11.7, 2), (-8.2, 1), (23.4, 2)])
def test_spectrum_peaks_at_the_ratio_whatever_the_winding(ratio: float, winding: int) -> None:
    spectrum = order_spectrum(rings(ratio, winding, 0.5), ANGLES)
    assert spectrum.ratios[peaks(spectrum)[0]] == pytest.approx(ratio, abs=0.1)


def test_noise_has_no_outstanding_peak() -> None:
    spectrum = order_spectrum(rings(9.0, 1, 0.5) * 0 + rings(9.0, 1, 1e3), ANGLES)
    assert spectrum.power.max() < 12


def test_power_against_the_sum_written_out() -> None:
    """Slow oracle: |sum over pictures of weight * ring * exp(i k ratio angle)|^2, loop by loop."""
    made, ratios = rings(9.0, 2, 0.3), np.array([5.5, 9.0])
    weights = window_weights(path_of(ANGLES))
    fast = winding_power(made, ANGLES, ratios, weights)
    for w in (0, len(weights) - 1):
        for k in (1, 2):
            for q, ratio in enumerate(ratios):
                slow = 0.0
                for r in range(2):
                    series = made[:, r, k - 1] * weights[w]
                    series = series - weights[w] * series.sum() / weights[w].sum()
                    slow += abs(np.sum(series * np.exp(1j * k * ratio * ANGLES))) ** 2
                assert fast[w, k - 1, q] == pytest.approx(slow / weights[w].sum(), rel=2e-3)


def test_peak_lies_where_scipy_puts_it() -> None:
    """SciPy's Lomb-Scargle, with the wheel angle as its uneven time, is an independent order spectrum."""
    series = np.cos(12.37 * ANGLES) + RNG.normal(0, 1, 300)
    orders = np.arange(3, 30, 0.01)
    scipy_peak = orders[np.argmax(lombscargle(ANGLES, series - series.mean(), orders))]
    made = series.astype(np.complex64)[:, None, None]
    whole = np.ones((1, 300))
    ours = orders[np.argmax(winding_power(made, ANGLES, orders, whole)[0, 0])]
    assert ours == pytest.approx(scipy_peak, abs=0.02)


def test_an_even_frame_rate_folds_orders_and_an_uneven_wheel_does_not() -> None:
    """Nyquist folding, closed form: of an even wheel, orders a picture rate apart look alike."""
    ratio, even = 21.3, 7.0 * TIMES_S
    folded = ratio - 2 * np.pi / (even[1] - even[0])
    for angles, alike in ((even, True), (ANGLES, False)):
        made = np.exp(-1j * ratio * angles).astype(np.complex64)[:, None, None]
        orders = np.array([ratio, folded])
        true, alias = winding_power(made, angles, orders, window_weights(path_of(angles))).sum(axis=(0, 1))
        assert (alias == pytest.approx(true, rel=1e-3)) == alike
        assert alike or alias < 0.1 * true


def test_local_fit_is_savitzky_golay_where_times_are_even() -> None:
    noisy = np.sin(TIMES_S) + RNG.normal(0, 0.1, 300)
    value, slope = local_fit(TIMES_S, noisy, 5.01 / 30)
    inner = slice(10, -10)
    np.testing.assert_allclose(value[inner], savgol_filter(noisy, 11, 2)[inner], atol=1e-9)
    np.testing.assert_allclose(
        slope[inner], savgol_filter(noisy, 11, 2, deriv=1, delta=1 / 30)[inner], atol=1e-8
    )


@pytest.mark.parametrize("noise", [0.001, 0.05])
def test_scatter_is_the_noise(noise: float) -> None:
    times_s = np.sort(RNG.uniform(0, 40, 1200))
    course = 7 * times_s + 0.3 * np.sin(5 * times_s)
    found = scatter_about_course(times_s, course + RNG.normal(0, noise, 1200))
    assert found == pytest.approx(noise, rel=0.15)


@given(st.floats(-1.5, 1.5), st.floats(0.05, 0.8), st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))
@settings(max_examples=40)
def test_ring_of_a_plane_is_an_ellipse_with_its_squeeze(
    turn: float, radius: float, one: float, other: float
) -> None:
    plane = TurningPlane((50.0, 40.0), 100.0, (one, other))
    ring = plane.points_px(np.array(radius), np.linspace(0, 2 * np.pi, 400, endpoint=False))
    spread = np.sqrt(np.linalg.eigvalsh(np.cov(ring.T, bias=True)) * 2) / (100 * radius)
    assert spread == pytest.approx([1 - np.hypot(one, other), 1.0], abs=1e-6)
    assert ring.mean(axis=0) == pytest.approx(plane.centre_px, abs=1e-9)


def test_turns_count_the_path() -> None:
    angles = 12 * np.sin(2 * np.pi * TIMES_S / 10)
    turned = turns_of(TIMES_S, angles, 0.01)
    assert turned.turns.n == pytest.approx(np.abs(np.diff(angles)).sum() / (2 * np.pi), rel=2e-3)
    assert turned.direction == "both"


def test_cadence_is_told_while_it_turns() -> None:
    angles = np.where(TIMES_S < 4, 0.0, -6.0 * (TIMES_S - 4))
    turned = turns_of(TIMES_S, angles, 0.01)
    assert turned.cadence_per_min.n == pytest.approx(6 * 30 / np.pi, rel=0.03)
    assert turned.direction == "clockwise"


def test_rhythm_within_the_turn() -> None:
    """A speed of 1 + 0.1 cos(angle - 50 degrees) is slowest at 230 degrees and swings by 10 %."""
    angle = np.linspace(0, 20 * np.pi, 40001)
    time = np.concatenate(
        [[0], np.cumsum(np.diff(angle) / (7 * (1 + 0.1 * np.cos(angle[1:] - np.radians(50)))))]
    )
    times_s = np.arange(0, time[-1], 1 / 30)
    angles = np.interp(times_s, time, angle)
    rhythm = rhythm_of(times_s, angles, angles, 0.002)
    assert not isinstance(rhythm, NotMeasured)
    assert not isinstance(rhythm.within_turn_percent, NotMeasured)
    assert rhythm.within_turn_percent.n == pytest.approx(10, abs=0.5)
    assert not isinstance(rhythm.slowest_at_deg, NotMeasured)
    assert rhythm.slowest_at_deg.n == pytest.approx(230, abs=4)
    assert rhythm.cv_percent.n < 0.1
    assert abs(rhythm.drift_percent_per_min.n) < 0.5


def test_too_few_turns_for_a_rhythm() -> None:
    angles = np.linspace(0, 12, 100)
    rhythm = rhythm_of(np.arange(100) / 30, angles, angles, 0.01)
    assert rhythm == NotMeasured(
        "The wheel makes 1 whole turns in this clip, too few for a rhythm.",
        "Film at least 8 turns of steady treadling.",
    )
