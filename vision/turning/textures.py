"""Each picture of a wheel turned onto the texture of others, about as far as the steps between them say."""

import numpy as np
from numpy.typing import NDArray

from .each_picture import LOOKED_FOR_RAD, peak_of
from .joint_fit import texture_of

Harmonics = NDArray[np.complex64]
Angles = NDArray[np.float64]

#: Memory of the running texture, in pictures; so many in a row that fit it well are surely right.
MEMORY, SURE_PICTURES = 60.0, 15


def follow_learnt_texture(rings: Harmonics, steps: Angles, angles: Angles) -> Angles:
    """Follow once more, both ways in time, from where the pictures fit the texture of the whole clip best.

    The first pictures were turned onto the texture of hardly any others, and may lie far off.
    """
    texture = texture_of(rings, angles)
    turned = np.exp(1j * np.outer(angles, np.arange(1, rings.shape[2] + 1)))
    fit = np.real(np.einsum("trk,rk,tk->t", rings, np.conj(texture), turned, optimize=True))
    at = int(np.argmax(np.convolve(fit, np.ones(SURE_PICTURES), "same")))
    learnt, begin = np.conj(texture).astype(np.complex64)[None], angles[at : at + 1]
    after = _follow_from(rings[at:], steps[None, at:], learnt, begin, MEMORY)[0]
    before = _follow_from(rings[at::-1], -steps[None, :at][:, ::-1], learnt, begin, MEMORY)[0]
    return np.concatenate([before[::-1], after[1:]])


def follow_running_texture(rings: Harmonics, steps: Angles) -> Angles:
    """Turn each picture onto the texture of those before it; all readings (b, n - 1) side by side."""
    first = np.repeat(np.conj(rings[:1]), len(steps), axis=0)
    return _follow_from(rings, steps, first, np.zeros(len(steps)), 1)


def _follow_from(rings: Harmonics, steps: Angles, texture: Harmonics, begin: Angles, seen: float) -> Angles:
    """Follow from the angle that the steps give to the one at which a picture fits the texture.

    The texture (b, r, k) grows by every picture; ``seen`` is how many pictures it stands for at the start.
    """
    k = np.arange(1, rings.shape[2] + 1)
    offsets = np.linspace(-1, 1, 41) * LOOKED_FOR_RAD
    turn = np.exp(1j * np.outer(k, offsets)).astype(np.complex64)
    # Real part of a product: real parts one by one, then imaginary ones.
    turn_parts = np.stack([turn.real, -turn.imag], axis=1).reshape(2 * len(k), -1)
    texture, mirrored = texture.copy(), np.conj(rings)
    angles = np.repeat(begin[:, None], len(rings), axis=1)
    drift = np.zeros(len(steps))
    for t in range(1, len(rings)):
        guess = angles[:, t - 1] + steps[:, t - 1] + drift
        guessed = np.exp(1j * guess[:, None] * k).astype(np.complex64)
        cross = np.einsum("rk,brk->bk", rings[t], texture) * guessed
        offset = peak_of(cross.view(np.float32) @ turn_parts, offsets)
        angles[:, t] = guess + offset
        drift += 0.1 * (offset - drift)
        back = np.exp(-1j * angles[:, t, None] * k).astype(np.complex64)
        new = mirrored[t] * back[:, None, :]
        new -= texture
        new *= np.float32(1 / min(t + seen, MEMORY))
        texture += new
    return angles
