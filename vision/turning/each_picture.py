"""Each picture of a wheel held against the texture that is learnt from the whole clip."""

import numpy as np
from numpy.typing import NDArray

from .joint_fit import coherence, texture_of

Harmonics = NDArray[np.complex64]
Angles = NDArray[np.float64]

#: How far to either side of where it is expected the angle of a picture is looked for.
LOOKED_FOR_RAD = np.pi / 36
#: A course may have slipped off by a spoke on its way: bins of the circle in which it is looked for, how many
#: of them it slips at most from one picture to the next, and how likely that is (standard deviation, bins).
SLIP_BINS, SLIPS_MOST, SLIPS_USUALLY = 256, 4, 3.0
#: What a picture that fits the texture wholly weighs against a slip, in the logarithm of likelihoods.
GAIN = 20.0
#: A step that departs by more than a search reaches from the median of so many to either side is a jump.
ROUND_ABOUT = 7
#: A course without jumps is taken if it explains this share.
AS_MUCH = 0.95
#: The samples round a highest one.
BESIDE = np.array([-1, 0, 1])


def refined(rings: Harmonics, angles: Angles, rounds: int = 3, *, stay: bool = False) -> Angles:
    """Compare every picture with the texture learnt from the whole clip, until it settles.

    With ``stay`` a picture that fits best at the border of where it is looked for is left as it is: round by
    round it would wander off to the next spoke.
    """
    k = np.arange(1, rings.shape[2] + 1)
    offsets = np.linspace(-1, 1, 61) * LOOKED_FOR_RAD
    turn = np.exp(1j * np.outer(k, offsets)).astype(np.complex64)
    for _ in range(rounds):
        texture = texture_of(rings, angles)
        weight = np.abs(texture) ** 2
        weight = weight / (weight + np.median(weight) + 1e-12)
        wanted = np.asarray(np.conj(texture) * weight, np.complex64)
        cross = np.sum(rings * wanted, axis=1) * np.exp(1j * np.outer(angles, k)).astype(np.complex64)
        offset = peak_of(np.real(cross @ turn), offsets)
        angles = angles + (np.where(np.abs(offset) < offsets[-1], offset, 0.0) if stay else offset)
    return angles


def set_right(rings: Harmonics, angles: Angles, times_s: Angles) -> Angles:
    """Look for every picture all round the circle; what slipped off by a spoke on its way comes back.

    The texture is learnt from the whole clip, most of which is right. The path of the slip is the likeliest
    one (Viterbi); where nothing slipped it stays at naught, and the course as it is. No heavy wheel jumps: a
    course that does is looked for again along one that turns as fast as the pictures round about say.
    """
    again = _brought_back(rings, angles, angles)
    angles = again if coherence(rings, again) > coherence(rings, refined(rings, angles)) else angles
    if not _jumps(angles, times_s).any():
        return angles
    again = _brought_back(rings, angles, _without_jumps(angles, times_s))
    fewer = np.count_nonzero(_jumps(again, times_s)) < np.count_nonzero(_jumps(angles, times_s))
    # Each picture where it fits best by itself always explains a little more.
    return again if fewer and coherence(rings, again) > AS_MUCH * coherence(rings, angles) else angles


def _brought_back(rings: Harmonics, angles: Angles, along: Angles) -> Angles:
    """The likeliest slip off a course, by the texture that the angles show."""
    texture = texture_of(rings, angles)
    k = np.arange(1, rings.shape[2] + 1)
    turned = np.exp(1j * np.outer(along, k))
    spectrum = np.zeros((len(rings), SLIP_BINS // 2 + 1), np.complex128)
    spectrum[:, k] = np.einsum("trk,rk->tk", rings, np.conj(texture)) * turned
    level = np.linalg.norm(rings.reshape(len(rings), -1), axis=1) * np.linalg.norm(texture)
    fit = np.fft.irfft(spectrum, n=SLIP_BINS, axis=1) * SLIP_BINS / 2 / (level[:, None] + 1e-9)
    return refined(rings, along + _likeliest_slip(GAIN * fit) * (2 * np.pi / SLIP_BINS), stay=True)


def _usual_speed(angles: Angles, times_s: Angles) -> Angles:
    """(n - 1,) median speed of each step and those round about."""
    speed = np.diff(angles) / np.diff(times_s)
    padded = np.pad(speed, ROUND_ABOUT, mode="reflect" if len(speed) > ROUND_ABOUT else "edge")
    return np.median(np.lib.stride_tricks.sliding_window_view(padded, 2 * ROUND_ABOUT + 1), axis=1)


def _jumps(angles: Angles, times_s: Angles) -> NDArray[np.bool_]:
    """(n - 1,) steps that no wheel makes that turns as the pictures round about say."""
    usual = _usual_speed(angles, times_s) * np.diff(times_s)
    return np.abs(np.diff(angles) - usual) > LOOKED_FOR_RAD


def _without_jumps(angles: Angles, times_s: Angles) -> Angles:
    usual = _usual_speed(angles, times_s) * np.diff(times_s)
    steps = np.where(_jumps(angles, times_s), usual, np.diff(angles))
    return np.concatenate([angles[:1], angles[0] + np.cumsum(steps)])


def _likeliest_slip(gain: Angles) -> NDArray[np.int_]:
    """(n,) bins by which a course has slipped off in each picture, from what each bin gains (n, bins)."""
    moves = np.arange(-SLIPS_MOST, SLIPS_MOST + 1)
    cost = 0.5 * (moves / SLIPS_USUALLY) ** 2
    come_from = (np.arange(SLIP_BINS) - moves[:, None]) % SLIP_BINS
    best, back = gain[0], []
    for row in gain[1:]:
        offers = best[come_from] - cost[:, None]
        back.append(offers.argmax(axis=0))
        best = offers.max(axis=0) + row
    at = int(best.argmax())
    slips = [0]
    for choice in reversed(back):
        slips.append(slips[-1] - int(moves[choice[at]]))
        at = (at - int(moves[choice[at]])) % SLIP_BINS
    return np.array(slips[::-1])


def peak_of(curves: NDArray[np.float32], at: Angles) -> Angles:
    """Places of the highest points of evenly sampled curves (n, m), between samples by a parabola."""
    top = curves.argmax(axis=1)
    inner = np.minimum(np.maximum(top, 1), curves.shape[1] - 2)
    around = curves[np.arange(len(curves))[:, None], inner[:, None] + BESIDE].astype(np.float64)
    left, mid, right = around.T
    bend = left - 2 * mid + right
    below = bend < 0
    shift = 0.5 * (left - right) / np.where(below, bend, 1.0) * below
    return np.asarray(np.where(top == inner, at[inner] + shift * (at[1] - at[0]), at[top]))
