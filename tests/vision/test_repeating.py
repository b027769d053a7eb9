"""The refinement of a followed phase, on pictures that are written down as sums of waves."""

import numpy as np
import pytest
from numpy.typing import NDArray

from whirlwise.vision.turning.joint_fit import SmoothAngles, texture_of
from whirlwise.vision.turning.repeating import pull_of, refined
from whirlwise.vision.turning.unturned import Unturned

Floats = NDArray[np.float64]

PICTURES, RINGS, HARMONICS = 260, 6, 3
RNG = np.random.default_rng(5)
NUMBER = np.arange(PICTURES, dtype=np.float64)
#: Nearly in step with the camera: half a turn a picture, and a slow sway about that.
IN_STEP: Floats = np.asarray(2 * np.pi * 0.502 * NUMBER + 1.2 * np.sin(2 * np.pi * NUMBER / 150))
#: Like it, but all phases are seen.
FREE = 2 * np.pi * 0.1618 * NUMBER
TEXTURE = RNG.normal(size=(RINGS, HARMONICS)) + 1j * RNG.normal(size=(RINGS, HARMONICS))
MIRRORED = 0.5j * TEXTURE
#: Polynomials, a smooth family that knows nothing of splines.
COURSES: Floats = np.asarray(
    np.polynomial.legendre.legvander(np.linspace(-1, 1, PICTURES), 8)[:, 1:], np.float64
)
SMOOTH = SmoothAngles(COURSES, 1e-6 * np.eye(COURSES.shape[1]))


def rings(phase_rad: Floats, mirrored: float = 0.0, noise: float = 0.0) -> NDArray[np.complex64]:
    """A texture that turns, a share of it seen in a mirror (a plane seen aslant), and noise."""
    k = np.arange(1, HARMONICS + 1)
    wave = np.exp(-1j * np.outer(phase_rad, k))[:, None, :]
    grain = RNG.normal(0, noise / np.sqrt(2), (2, PICTURES, RINGS, HARMONICS))
    return np.asarray(
        wave * TEXTURE + mirrored * wave.conj() * MIRRORED + grain[0] + 1j * grain[1], np.complex64
    )


def taken_from(seen: NDArray[np.complex64], courses: Floats) -> NDArray[np.complex64]:
    flat = seen.reshape(PICTURES, -1)
    return np.asarray(flat - courses @ (courses.T @ flat), np.complex64).reshape(seen.shape)


def end_error(phase_rad: Floats, truth_rad: Floats) -> float:
    return float(abs((phase_rad[-1] - phase_rad[0]) - (truth_rad[-1] - truth_rad[0])))


def test_what_slow_courses_took_along_is_put_back() -> None:
    """In closed form: of a wave that is known, what a projection takes out is known."""
    slow, _ = np.linalg.qr(np.polynomial.legendre.legvander(np.linspace(-1, 1, PICTURES), 3))
    whole = rings(IN_STEP)
    bare = taken_from(whole, slow)
    assert np.abs(bare - whole).max() > 0.1
    seen = Unturned.of(np.moveaxis(bare, 0, -1), IN_STEP, slow)
    assert seen.texture == pytest.approx(TEXTURE, abs=1e-4)
    # Turned back, every picture is the texture.
    assert np.abs(seen.rings - TEXTURE[:, :, None]).max() < 1e-3
    assert seen.coherence(np.ones(TEXTURE.shape, np.float32)) == pytest.approx(1.0, abs=1e-5)
    left_so = Unturned.of(np.moveaxis(bare, 0, -1), IN_STEP)
    assert np.abs(left_so.rings - TEXTURE[:, :, None]).max() > 0.1


def test_what_is_seen_aslant_does_not_pull_the_phase() -> None:
    seen = rings(IN_STEP, mirrored=1.0)
    # The turning texture alone: the angle by which each picture departs from it, averaged over the beginning.
    k = np.arange(1, HARMONICS + 1)
    still = seen * np.exp(1j * np.outer(IN_STEP, k))[:, None, :]
    alone = np.angle(np.sum(still * np.conj(texture_of(seen, IN_STEP)), axis=(1, 2)))
    assert abs(alone[:12].mean()) > 0.1
    start = IN_STEP + 0.1 * COURSES[:, 2]
    phase, _ = refined(seen, start, SMOOTH, None)
    assert end_error(phase, IN_STEP) < 0.02
    assert np.std(phase - IN_STEP) < 0.02


def test_slow_courses_taken_out_do_not_pull_the_phase() -> None:
    slow, _ = np.linalg.qr(np.polynomial.legendre.legvander(np.linspace(-1, 1, PICTURES), 3))
    phase, _ = refined(taken_from(rings(IN_STEP), slow), IN_STEP + 0.1 * COURSES[:, 0], SMOOTH, slow)
    assert end_error(phase, IN_STEP) < 0.02


def test_each_picture_says_as_much_as_noise_allows() -> None:
    """The phase of known waves in white noise cannot be told better than by the Cramer-Rao bound.

    For complex noise of variance s^2 it is s^2 / (2 sum k^2 |T_k|^2) (Rife and Boorstyn, IEEE Transactions on
    Information Theory 20, 1974, for one tone; from memory).
    """
    noise = 0.4
    own = pull_of(rings(FREE, noise=noise), FREE, None).own_rad
    k = np.arange(1, HARMONICS + 1)
    bound = noise / np.sqrt(2 * np.sum(k**2 * np.abs(TEXTURE) ** 2))
    assert np.std(own) == pytest.approx(bound, rel=0.15)


def test_a_ratio_is_told_as_well_as_a_tones_frequency_can_be() -> None:
    """Cramer-Rao bound of a tone's frequency: sd(phase) / 2 pi x sqrt(12 / N) / T for N pictures in T.

    Rife and Boorstyn, as above (from memory); the bound of the phase is that of the test before.
    """
    noise, time = 0.4, np.arange(PICTURES) / PICTURES
    steady = SmoothAngles((time - time.mean())[:, None], np.zeros((1, 1)))
    rates = []
    for _ in range(60):
        phase, _ = refined(rings(FREE, noise=noise), FREE, steady, None)
        rates.append((phase - FREE)[-1] - (phase - FREE)[0])
    k = np.arange(1, HARMONICS + 1)
    bound = noise / np.sqrt(2 * np.sum(k**2 * np.abs(TEXTURE) ** 2))
    # In rad over the clip, which lasts 1. The scatter of 60 draws is known to 9 %.
    assert np.std(rates) == pytest.approx(bound * np.sqrt(12 / PICTURES), rel=0.3)
