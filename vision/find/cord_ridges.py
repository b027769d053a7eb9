"""Straight ridges in a strip along a run: where its cord is about, and whether another one runs beside it."""

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from .edges import Pixels
from .runs import BandRun
from .strip import ACROSS_STEP_PX, STATIONS, straightened

#: Half a cord's usual thickness, as a share of the rim's radius, and the least that is looked for.
HALF_CORD, LEAST_HALF_PX = 0.0048, 1.2
#: A second cord must be at least this share as clear as the first, and this many half cords away from it.
SECOND_CLARITY, SECOND_APART = 0.55, 2.6
#: A cord of the other loop may run further beside this one than a strip reaches: so far, as shares of the
#: rim's radius, about as clear, and nearly parallel.
BESIDE, AS_CLEAR, PARALLEL = (0.028, 0.066), 0.75, 0.02
#: The run's own cord lies so near to where it is looked for, and stands out at most so many times more.
NEAR, FAINTER = 0.02, 2.0


def usual_half_px(rim_radius_px: float) -> float:
    """Half a cord's usual thickness beside a rim of such a radius."""
    return max(HALF_CORD * rim_radius_px, LEAST_HALF_PX)


def straight_ridges(
    strip: Pixels, across_px: NDArray[np.float64], half_cord_px: float
) -> list[tuple[float, float]]:
    """Offsets at a strip's start and end of the one or two clearest straight ridges.

    Parameters
    ----------
    strip : (stations, columns, 3) array
    across_px : (columns,) array
        Distance of each column across the run.
    half_cord_px : float
        Half a cord's usual thickness.
    """
    starts, _, clarity = _clarities(_ridge(_heights(strip, half_cord_px / ACROSS_STEP_PX)))
    columns = starts[:, 0]
    found: list[tuple[float, float]] = []
    clearest = float(clarity.max())
    apart = SECOND_APART * half_cord_px
    for _ in range(2):
        i, j = np.unravel_index(int(clarity.argmax()), clarity.shape)
        if clarity[i, j] < SECOND_CLARITY * clearest:
            break
        at_start, at_end = float(across_px[columns[i]]), float(across_px[columns[j]])
        found.append((at_start, at_end))
        offsets = across_px[columns]
        # Two cords of one band hardly cross: a second one keeps its distance over most of the run.
        near = (
            np.minimum(np.abs(offsets[:, None] - at_start), np.abs(offsets[None, :] - at_end)) < 0.4 * apart
        )
        same_side = (offsets[:, None] - at_start) * (offsets[None, :] - at_end) > 0
        mean_gap = 0.5 * np.abs(offsets[:, None] - at_start + offsets[None, :] - at_end)
        clarity[near | ~same_side | (mean_gap < apart)] = 0.0
    return found


def cord_beside(lab: Pixels, run: BandRun, rim_radius_px: float) -> BandRun | None:
    """A line beside a run that looks like a second cord, nearly parallel to it; None if there is none."""
    reach_px = BESIDE[1] * rim_radius_px
    across_px = np.arange(-reach_px, reach_px + ACROSS_STEP_PX / 2, ACROSS_STEP_PX)
    pixels, stations_px, normal = straightened(lab, run, across_px)
    heights = _heights(pixels, usual_half_px(rim_radius_px) / ACROSS_STEP_PX)
    starts, ends, clarity = _clarities(_ridge(heights))
    at_start, at_end = across_px[starts] / rim_radius_px, across_px[ends] / rim_radius_px
    away = 0.5 * np.abs(at_start + at_end)
    aside = (away > BESIDE[0]) & (np.abs(at_start - at_end) < PARALLEL) & (at_start * at_end > 0)
    clearest, own = (
        np.unravel_index(int(np.where(where, clarity, 0.0).argmax()), clarity.shape)
        for where in (aside, away < NEAR)
    )
    height, own_height = (
        np.median(heights[np.arange(STATIONS), columns.astype(np.intp)])
        for columns in (np.linspace(starts[line], ends[line], STATIONS) for line in (clearest, own))
    )
    if clarity[clearest] < AS_CLEAR * clarity[own] or FAINTER * height < own_height:
        return None
    start_px, end_px = (
        place + rim_radius_px * float(share[clearest]) * normal
        for place, share in zip(stations_px[[0, -1]], (at_start, at_end), strict=True)
    )
    return BandRun(run.side, start_px, end_px, run.share, run.strength)


def _heights(strip: Pixels, half_cord: float) -> NDArray[np.float64]:
    """How much each place (STATIONS, columns) differs from both its sides."""
    smooth = gaussian_filter1d(strip.astype(np.float64), 0.6 * half_cord, axis=1)
    aside = round(float(2.2 * half_cord))
    padded = np.pad(smooth, ((0, 0), (aside, aside), (0, 0)), mode="edge")
    left, right = padded[:, : -2 * aside], padded[:, 2 * aside :]
    one, other = smooth - left, smooth - right
    # Only where it differs from both sides in the same sense, channel by channel.
    agreed = np.where(one * other > 0, np.minimum(np.abs(one), np.abs(other)), 0.0)
    return np.asarray(np.linalg.norm(agreed, axis=2), dtype=np.float64)


def _ridge(heights: NDArray[np.float64]) -> NDArray[np.float64]:
    """Heights in units of the usual one; beyond twice that a ridge is a ridge."""
    if not heights.any():
        return heights
    return np.asarray(np.minimum(heights / (np.median(heights[heights > 0]) * 2 + 1e-6), 2.0))


def _clarities(
    ridge: NDArray[np.float64],
) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.float64]]:
    """Columns at start and end of straight lines along a strip, all pairs of them, and how clear each is."""
    columns = np.arange(0, ridge.shape[1], 2)
    weight = np.linspace(0.0, 1.0, STATIONS)
    starts, ends = np.meshgrid(columns, columns, indexing="ij")
    clarity = np.zeros(starts.shape)
    for row in range(STATIONS):
        clarity += ridge[row, np.rint(starts + (ends - starts) * weight[row]).astype(np.intp)]
    return starts, ends, clarity / STATIONS
