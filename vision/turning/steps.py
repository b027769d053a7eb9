"""How far a wheel turns from picture to picture: smooth paths through the correlation of neighbours."""

import numpy as np
from numpy.typing import NDArray

Harmonics = NDArray[np.complex64]
Angles = NDArray[np.float64]

#: Fastest turning that is looked for, in rad/s (4 turns a second: nobody treadles faster).
FASTEST_RAD_S = 8 * np.pi
#: How fast the speed of a heavy wheel may change: standard deviation in rad/s per square root of s.
RESTLESSNESS = 6.0
#: Bins of the circle in which neighbouring pictures are compared: more where the pictures follow each other
#: faster than this gap, so that a bin a picture is a small change of speed.
BINS, MANY_BINS, SHORT_GAP_S = 512, 1024, 1 / 45


def neighbour_agreement(rings: Harmonics, gap_s: float) -> NDArray[np.float32]:
    """(n - 1, bins): correlation of each picture, turned by every bin's angle, with the next one.

    ``rings`` (n, r, k) are angular harmonics, ``gap_s`` the usual time from picture to picture.
    """
    bins = MANY_BINS if gap_s < SHORT_GAP_S else BINS
    count = rings.shape[2]
    cross = np.einsum("trk,trk->tk", rings[:-1], np.conj(rings[1:]))
    norm = np.sqrt(np.sum(np.abs(rings) ** 2, axis=(1, 2)))
    spectrum = np.zeros((len(cross), bins // 2 + 1), np.complex64)
    spectrum[:, 1 : count + 1] = np.conj(cross)
    turned = np.fft.irfft(spectrum, n=bins, axis=1) * (bins / 2)
    return np.asarray(turned / (norm[:-1] * norm[1:] + 1e-9)[:, None], dtype=np.float32)


def smoothest_steps(agreement: NDArray[np.float32], gaps_s: Angles) -> Angles:
    """Best path (Viterbi) of the speed through the agreement of neighbours; returns angle steps."""
    usual, circle = float(np.median(gaps_s)), agreement.shape[1]
    fine = 2 * np.pi / circle / usual
    half = int(min(FASTEST_RAD_S, 0.9 * np.pi / usual) / fine)
    speeds = np.arange(-half, half + 1) * fine
    bins = np.round(speeds[None, :] * gaps_s[:, None] / (2 * np.pi) * circle).astype(int)
    gain = np.take_along_axis(agreement, bins % circle, axis=1) * 20.0
    reach = max(2, int(4 * RESTLESSNESS * np.sqrt(usual) / fine))
    moves = np.arange(-reach, reach + 1)
    best = gain[0].astype(float)
    back = np.zeros((len(gain), len(speeds)), int)
    padded, here = np.full(len(speeds) + 2 * reach, -np.inf), np.arange(len(speeds))
    come_from = np.lib.stride_tricks.sliding_window_view(padded, len(moves))
    for t in range(1, len(gain)):
        cost = 0.5 * (moves * fine) ** 2 / (RESTLESSNESS**2 * gaps_s[t])
        padded[reach : reach + len(speeds)] = best
        offers = come_from - cost
        choice = offers.argmax(axis=1)
        back[t] = here + moves[choice]
        best = offers[here, choice] + gain[t]
    path = np.zeros(len(gain), int)
    path[-1] = int(best.argmax())
    for t in range(len(gain) - 1, 0, -1):
        path[t - 1] = back[t, path[t]]
    return np.asarray(speeds[path] * gaps_s, dtype=np.float64)


def ambiguities(agreement: NDArray[np.float32], steps: Angles, gap_s: float, most: int = 7) -> Angles:
    """Angles per picture that could be added to every step: 0 and the other peaks of the agreement.

    None that would make the wheel turn faster than anybody treadles.
    """
    circle = agreement.shape[1]
    bins = np.round(steps / (2 * np.pi) * circle).astype(int)
    columns = (bins[:, None] + np.arange(circle)[None, :]) % circle
    total = np.take_along_axis(agreement, columns, axis=1).mean(axis=0)
    peak = (total > np.roll(total, 1)) & (total >= np.roll(total, -1)) & (total > 0.2 * total.max())
    shifts = np.flatnonzero(peak)
    shifts = shifts[np.argsort(-total[shifts])][:most]
    angles = ((shifts + circle // 2) % circle - circle // 2) * (2 * np.pi / circle)
    moved_on = np.abs(steps + angles[:, None])
    likely = moved_on.max(axis=1) < 0.95 * np.pi
    likely &= np.median(moved_on, axis=1) < FASTEST_RAD_S * gap_s
    return np.unique(np.append(angles[likely], 0.0))
