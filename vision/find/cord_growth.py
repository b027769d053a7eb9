"""How what lines of cords leave unexplained grows as a cord moves across its run or gets thicker.

A motion is that of one cord's middle, cord by cord, and then the growth of the thickness' logarithm: in one
group of a strip nothing else matters. How the light and the colour that explain a group best change along
with a motion follows from their normal equations (Golub and Pereyra, 1973).
"""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.special import erf

from .cord_light import BACKGROUND, BEYOND, Alike, normal_equations

Numbers = NDArray[np.float64]


def covers(
    x_px: Numbers, middles_px: Numbers, half_px: float, blurs_px: Sequence[float], free: Numbers
) -> Iterator[tuple[Numbers, Numbers, Numbers]]:
    """Of each cord places across it, what is seen of it, and how that grows with each motion.

    Parameters
    ----------
    x_px : (columns,) array
    middles_px : (cords, groups) array
        The cord nearest to the camera first.
    half_px : float
    blurs_px : sequence of float
        Blur of each channel.
    free : (groups, columns) array
        What may be seen at all.

    Yields
    ------
    tuple of (groups, columns), (channels, groups, columns) and (motions, channels, groups, columns) array
    """
    spreads = np.sqrt(2) * np.array(blurs_px)[:, None, None]
    free = np.broadcast_to(free, (len(spreads), *free.shape))
    free_grows = np.zeros((len(middles_px) + 1, *free.shape))
    for k, middle_px in enumerate(middles_px):
        away_px = x_px - middle_px[:, None]
        one, other = (away_px + half_px) / spreads, (away_px - half_px) / spreads
        inside = 0.5 * (erf(one) - erf(other))
        rise, fall = (np.exp(-edge * edge) / (np.sqrt(np.pi) * spreads) for edge in (one, other))
        covered_grows = inside * free_grows
        covered_grows[k] += (fall - rise) * free
        covered_grows[-1] += half_px * (rise + fall) * free
        covered = inside * free
        yield away_px / half_px, covered, covered_grows
        free, free_grows = free - covered, free_grows - covered_grows


def curved_light_grows(k: int, u: Numbers, covered: Numbers, grows: Numbers, half_px: float) -> list[Numbers]:
    """How the light that is even, slopes and curves over the ``k``-th cord grows with each motion.

    ``u``, ``covered`` and ``grows`` are what :func:`covers` says of it in one channel; each of the three is
    (motions, groups, columns).
    """
    sloping = np.where(np.abs(u) < BEYOND, covered, 0.0)
    u = np.clip(u, -BEYOND, BEYOND)
    slopes = grows * u
    curves = slopes * u
    # The place u across the cord grows by -1 / half with its middle, by -u with the thickness' logarithm.
    for motion, u_grows in ((k, sloping / -half_px), (-1, -sloping * u)):
        slopes[motion] += u_grows
        curves[motion] += 2 * u * u_grows
    return [grows, slopes, curves]


def left_as_it_grows(
    design: Numbers, moves: Numbers, seen: Numbers, alike: Alike | None = None
) -> tuple[Numbers, Numbers]:
    """What is left (groups, n) of what is seen, and how that grows with each motion, (motions, groups, n).

    Parameters
    ----------
    design : (groups, columns, BACKGROUND + k) array
        What may explain the seen, background first.
    moves : (motions, groups, columns, k) array
        How all but the background grows with each motion.
    seen : (groups, columns, channels) array
    alike : Alike, optional
        Departures from the light as it is all along are among what is left; of one channel.
    """
    normal, right = normal_equations(design, seen, alike)
    light = np.linalg.solve(normal, right)
    left, shifts = seen - design @ light, moves @ light[:, BACKGROUND:]
    across = -design.swapaxes(-1, -2) @ shifts
    across[..., BACKGROUND:, :] += moves.swapaxes(-1, -2) @ left
    light_grows = np.linalg.solve(normal[None], across)
    grows = -(shifts + design @ light_grows)
    left, grows = left.reshape(len(left), -1), grows.reshape(*grows.shape[:2], -1)
    if alike is None:
        return left, grows
    firm = np.sqrt(alike.firmness)
    unlike = firm * (light[:, BACKGROUND:, 0] - alike.light)
    return (
        np.concatenate([left, unlike], axis=-1),
        np.concatenate([grows, firm * light_grows[..., BACKGROUND:, 0]], axis=-1),
    )
