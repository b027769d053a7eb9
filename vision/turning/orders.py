"""The order spectrum: what turns at which multiple of the wheel's speed.

Pictures are not taken as samples in time but in wheel angle. A treadled wheel never turns evenly, so the
aliases that an even frame rate causes do not line up in wheel angle. And what turns about an axis that points
roughly at the camera also winds round that axis in the picture: the part that winds k times must turn k times
as fast. Both together tell the ratio of the turning thing itself from its multiples (two like arms look the
same after half a turn, but they wind twice) and from mirror images that wind the wrong way.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: Length of the windows, in turns of the wheel: slip is steady within one, and noise is low enough.
WINDOW_TURNS = 2.5
#: Ratios that are looked for.
LOWEST, HIGHEST = 2.5, 36.0


@dataclass(frozen=True, slots=True)
class OrderSpectrum:
    """Strength of turning at each ratio to the wheel.

    Attributes
    ----------
    ratios : (q,) array
        Negative where it would turn against the wheel.
    power : (q,) array
        Sum over the winding numbers of power above the usual power, 0 where there is nothing.
    """

    ratios: Floats
    power: Floats


def path_of(angles_rad: Floats) -> Floats:
    """Way turned since the first picture, back and forth both counted."""
    return np.concatenate([[0.0], np.cumsum(np.abs(np.diff(angles_rad)))])


def window_weights(path_rad: Floats, turns: float = WINDOW_TURNS) -> Floats:
    """(w, n) smooth windows over the way turned, each overlapping the next by half."""
    whole = float(path_rad[-1]) / (2 * np.pi)
    centres = np.linspace(turns / 2, max(whole - turns / 2, turns / 2), max(1, int(2 * whole / turns) - 1))
    away = (path_rad[None, :] / (2 * np.pi) - centres[:, None]) / turns
    return np.where(np.abs(away) < 0.5, np.cos(np.pi * away) ** 2, 0.0)


def winding_power(
    rings: NDArray[np.complex64], angles_rad: Floats, ratios: Floats, weights: Floats
) -> Floats:
    """(w, k, q): power of what winds k times and turns ``k * ratio`` times as far as the wheel.

    Parameters
    ----------
    rings : (n, r, k) complex array
        Angular harmonics about the axis of what turns.
    weights : (w, n) array
        Windows of :func:`window_weights`.
    """
    return _both_ways(rings, angles_rad, ratios, weights)[0]


def _both_ways(
    rings: NDArray[np.complex64], angles_rad: Floats, ratios: Floats, weights: Floats
) -> tuple[Floats, Floats]:
    """:func:`winding_power` of what turns with the wheel, and of what turns against it."""
    with_it, against = (np.zeros((len(weights), rings.shape[2], len(ratios))) for _ in range(2))
    for w, weight in enumerate(weights):
        some = np.flatnonzero(weight > 0)
        if len(some) < 4:
            continue
        part = rings[some] * weight[some, None, None]
        part = part - weight[some, None, None] * (part.sum(axis=0) / weight[some].sum())
        both = np.concatenate([part.real, part.imag], axis=1).astype(np.float32).transpose(2, 0, 1)
        phase_rad = np.outer(ratios, angles_rad[some] - angles_rad[some[len(some) // 2]])
        waves = _waves(phase_rad.astype(np.float32), len(both))
        # Real parts, then imaginary ones, along the cosine and along the sine.
        along = (waves @ np.ascontiguousarray(both)).reshape(len(both), 2, len(ratios), 2, -1)
        (one, two), (three, four) = np.moveaxis(along, (1, 3), (0, 1))
        power = np.einsum("kcqir,kcqir->kq", along, along)
        mixed = np.einsum("kqr,kqr->kq", two, three) - np.einsum("kqr,kqr->kq", one, four)
        with_it[w] = (power + 2 * mixed) / weight[some].sum()
        against[w] = (power - 2 * mixed) / weight[some].sum()
    return with_it, against


def _waves(phase_rad: NDArray[np.float32], most: int) -> NDArray[np.float32]:
    """(most, 2 q, n): cosines, and below them sines, of 1, 2 ... times the phases (q, n).

    From one multiple to the next by 2 cos(x) cos(k x) = cos((k + 1) x) + cos((k - 1) x), and so for the sine:
    that costs less than another exponential.
    """
    count = len(phase_rad)
    waves = np.empty((most, 2 * count, phase_rad.shape[1]), np.float32)
    waves[0, :count], waves[0, count:] = np.cos(phase_rad), np.sin(phase_rad)
    twice = 2 * np.tile(waves[0, :count], (2, 1))
    before = np.zeros_like(twice)
    before[:count] = 1
    for k in range(1, most):
        np.multiply(twice, waves[k - 1], out=waves[k])
        waves[k] -= before
        before = waves[k - 1]
    return waves


def order_spectrum(rings: NDArray[np.complex64], angles_rad: Floats) -> OrderSpectrum:
    """Strength at every ratio, both ways round."""
    one_way = np.arange(LOWEST, HIGHEST, 0.1 / WINDOW_TURNS)
    ratios = np.concatenate([-one_way[::-1], one_way])
    with_it, against = _both_ways(rings, angles_rad, one_way, window_weights(path_of(angles_rad)))
    power = np.concatenate([against.sum(axis=0)[:, ::-1], with_it.sum(axis=0)], axis=1)
    usual = np.median(power, axis=1, keepdims=True) + 1e-12
    return OrderSpectrum(ratios, np.maximum(power / usual - 1, 0).sum(axis=0))


def peaks(spectrum: OrderSpectrum, most: int = 6, apart: float = 0.35) -> list[int]:
    """Find the indices of the highest peaks, highest first, none within ``apart`` orders of a higher one."""
    power = spectrum.power
    inner = (power[1:-1] > power[:-2]) & (power[1:-1] >= power[2:])
    order = sorted(np.flatnonzero(inner) + 1, key=lambda i: -power[i])
    kept: list[int] = []
    for i in order:
        if len(kept) < most and all(abs(spectrum.ratios[i] - spectrum.ratios[j]) > apart for j in kept):
            kept.append(int(i))
    return kept
