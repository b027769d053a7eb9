"""The last refinement of a followed phase: each place shows the same whenever the flyer stands the same.

A flyer is no flat picture that turns. It is seen aslant, its arms reach towards the camera, posts hide part
of it. So every angular harmonic of every ring is a Fourier series in the phase, and the turning texture is
only one term of it. The other terms average out where the phase takes all values, but not while the flyer
turns nearly in step with the camera: there they pull the phase. Here they are fitted along with it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .joint_fit import SmoothAngles

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Orders in the phase that are fitted beside that of the turning texture itself.
ORDERS = (-4, -3, -2, -1, 1, 2, 3, 4)
#: Gauss-Newton steps, and the longest of them in rad: a high order forgives no more.
ROUNDS, LONGEST_STEP_RAD = 4, 0.15
#: A picture counts at least so much, where the mean is 1.
LEAST_WEIGHT = 0.01
#: Orders that the clip can hardly tell apart are held small: a prior of so many times the pictures.
RIDGE = 0.01


@dataclass(frozen=True, slots=True)
class Pull:
    """How far each picture by itself would move the phase (n,) rad, and how much it has to say (mean 1)."""

    own_rad: Floats
    weight: Floats


def refined(
    rings: NDArray[np.complex64], phase_rad: Floats, smooth: SmoothAngles, taken_out: Floats | None
) -> tuple[Floats, Pull]:
    """Refine a phase along smooth courses.

    Parameters
    ----------
    rings : (n, r, k) complex array
        Angular harmonics about the axis.
    phase_rad : (n,) array
        Right to about a tenth of a rad.
    taken_out : (n, m) array, optional
        Orthonormal courses that were taken out of the pictures.

    Returns
    -------
    The phase (n,), and how each picture departs from it.
    """
    for _ in range(ROUNDS):
        pull = pull_of(rings, phase_rad, taken_out)
        weighted = smooth.basis * pull.weight[:, None]
        noise = float(np.average((pull.own_rad - pull.own_rad.mean()) ** 2, weights=pull.weight))
        normal = weighted.T @ smooth.basis + noise * smooth.stiffness
        step = smooth.basis @ np.linalg.solve(normal, weighted.T @ pull.own_rad)
        phase_rad = phase_rad + np.clip(step, -LONGEST_STEP_RAD, LONGEST_STEP_RAD)
    return phase_rad, pull_of(rings, phase_rad, taken_out)


def pull_of(rings: NDArray[np.complex64], phase_rad: Floats, taken_out: Floats | None) -> Pull:
    """Tell how far each picture by itself would move the phase."""
    toward, grip = np.zeros(len(rings)), np.zeros(len(rings))
    for k in range(1, rings.shape[2] + 1):
        orders = np.union1d(ORDERS, [-k])
        model, slope, noise = _series(rings[:, :, k - 1], phase_rad, orders, taken_out)
        apart = rings[:, :, k - 1] - model
        toward += np.sum(np.real(apart * np.conj(slope)) / noise, axis=1)
        grip += np.sum(np.abs(slope) ** 2 / noise, axis=1)
    # A picture in which nothing would move says nothing.
    grip = np.maximum(grip, LEAST_WEIGHT * grip.mean() + 1e-30)
    return Pull(toward / grip, grip / grip.mean())


def _series(
    ring: NDArray[np.complex64], phase_rad: Floats, orders: NDArray[np.int_], taken_out: Floats | None
) -> tuple[Complexes, Complexes, Floats]:
    """Model of one harmonic (n, r), its slope by the phase (n, r), and the noise (r,) that it leaves."""
    waves = np.exp(1j * np.outer(phase_rad, orders))
    seen = waves if taken_out is None else waves - taken_out @ (taken_out.T @ waves)
    count = len(waves)
    normal = seen.conj().T @ seen + RIDGE * count * np.eye(len(orders))
    terms = np.linalg.solve(normal, seen.conj().T @ ring)
    noise = np.mean(np.abs(ring - seen @ terms) ** 2, axis=0) * count / max(count - len(orders), 1) + 1e-12
    # Terms no larger than noise would make them are left out (positive-part James-Stein).
    terms = terms * np.maximum(0, 1 - noise / (count * np.abs(terms) ** 2 + 1e-30))
    moving = waves * (1j * orders)
    moving = moving if taken_out is None else moving - taken_out @ (taken_out.T @ moving)
    return seen @ terms, moving @ terms, noise
