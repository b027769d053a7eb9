"""The centre line of a cord along a run that is roughly known, to a fraction of a pixel.

Along the straightened run a cord is a nearly straight ridge; a double drive shows two. Light falls on one
side of a round cord, so its brightest line is not its middle, and half of it may hardly differ from the wall
behind. Therefore the whole profile across the cord is explained, with both its edges.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from ..geometry.ellipse import Points
from .cord_profile import misfits, share_with_cord
from .edges import Pixels
from .runs import BandRun
from .strip import ACROSS_STEP_PX, STATIONS, group_rows, profiles, straightened

#: How far across the strip reaches, and half a cord's usual thickness, as shares of the rim's radius.
STRIP_REACH = 0.035
HALF_CORD = 0.0048
#: A second cord must be at least this share as clear as the first, and this many half cords away from it.
SECOND_CLARITY, SECOND_APART = 0.55, 2.6
#: Doubt of the cord's thickness in the picture: known to the spinner, or only as cords usually are.
KNOWN_THICKNESS_DOUBT, USUAL_THICKNESS_DOUBT = 0.07, 0.28
#: Grid of the search for the cord's middle and thickness; how much a deviation of the thickness weighs.
SHIFT_STEP_PX, THICKNESSES, PRIOR_WEIGHT = 0.2, 9, 0.1
#: So much beside another cord is painted over with it.
COVER_PX = 1.5
#: Twice, so that a second cord lies where it was found, and an unknown thickness is told more finely.
ROUNDS = 2
#: A group's middle lies within this of the straight line.
MOST_WANDER_PX = 1.5


@dataclass(frozen=True, slots=True)
class CordLine:
    """Points (n, 2) on a cord's centre line, and their scatter about the straight line through them.

    ``seen`` is the share of the run along which there is a cord rather than background alone.
    """

    points_px: Points
    scatter_px: float
    seen: float


def cords_along(
    lab: Pixels, run: BandRun, rim_radius_px: float, thickness_px: float | None = None
) -> list[CordLine]:
    """Return the cords near a run: one, two in a double drive, or none; the clearest first.

    Parameters
    ----------
    lab : (h, w, 3) array
    run : BandRun
    rim_radius_px : float
    thickness_px : float, optional
        The cord's thickness in the picture, if the spinner has measured it and the scale is known.
    """
    reach_px = max(STRIP_REACH * rim_radius_px, 8.0)
    half_cord_px = max(HALF_CORD * rim_radius_px, 1.2)
    across_px = np.arange(-reach_px, reach_px + ACROSS_STEP_PX / 2, ACROSS_STEP_PX)
    strip, stations, normal = straightened(lab, run, across_px)
    ridges = _straight_ridges(_ridge(strip, half_cord_px / ACROSS_STEP_PX), across_px, half_cord_px)
    expected = (2 * half_cord_px, USUAL_THICKNESS_DOUBT)
    if thickness_px is not None:
        expected = (thickness_px, KNOWN_THICKNESS_DOUBT)
    found = [_Cord(at_start, at_end, expected) for at_start, at_end in ridges]
    for _ in range(ROUNDS):
        others = [found[:k] + found[k + 1 :] for k in range(len(found))]
        found = [
            _settled(_without(strip, across_px, other), across_px, cord)
            for cord, other in zip(found, others, strict=True)
        ]
    places = stations[0] + group_rows()[:, None] / (STATIONS - 1) * (stations[-1] - stations[0])
    return [
        CordLine(places + cord.at(group_rows())[:, None] * normal, cord.scatter_px, cord.seen)
        for cord in found
    ]


@dataclass(frozen=True, slots=True)
class _Cord:
    """A straight cord in the strip: offsets at start and end, expected thickness with its relative doubt."""

    at_start_px: float
    at_end_px: float
    thickness_px: tuple[float, float]
    scatter_px: float = 0.0
    seen: float = 0.0

    def at(self, rows: NDArray[np.float64]) -> NDArray[np.float64]:
        """Offset (n,) at rows (n,) of the strip."""
        return np.asarray(self.at_start_px + (self.at_end_px - self.at_start_px) * rows / (STATIONS - 1))


def _without(strip: Pixels, across_px: NDArray[np.float64], others: list[_Cord]) -> Pixels:
    """The strip with other cords painted over by what lies to their left and right."""
    clean = strip.copy()
    for cord in others:
        reach = 0.5 * cord.thickness_px[0] + COVER_PX
        for row, middle in enumerate(cord.at(np.arange(STATIONS, dtype=float))):
            hidden = np.abs(across_px - middle) <= reach
            if hidden.any() and not hidden.all():
                for channel in range(3):
                    clean[row, hidden, channel] = np.interp(
                        across_px[hidden], across_px[~hidden], strip[row, ~hidden, channel]
                    )
    return clean


def _ridge(strip: Pixels, half_cord: float) -> NDArray[np.float64]:
    """How much each place (STATIONS, columns) differs from both its sides, in units of the usual one."""
    smooth = gaussian_filter1d(strip.astype(np.float64), 0.6 * half_cord, axis=1)
    aside = round(float(2.2 * half_cord))
    padded = np.pad(smooth, ((0, 0), (aside, aside), (0, 0)), mode="edge")
    left, right = padded[:, : -2 * aside], padded[:, 2 * aside :]
    one, other = smooth - left, smooth - right
    # Only where it differs from both sides in the same sense, channel by channel.
    agreed = np.where(one * other > 0, np.minimum(np.abs(one), np.abs(other)), 0.0)
    size = np.asarray(np.linalg.norm(agreed, axis=2), dtype=np.float64)
    if not size.any():
        return size
    return np.asarray(np.minimum(size / (np.median(size[size > 0]) * 2 + 1e-6), 2.0))


def _straight_ridges(
    ridge: NDArray[np.float64], across_px: NDArray[np.float64], half_cord_px: float
) -> list[tuple[float, float]]:
    """Offsets at the strip's start and end of the one or two clearest straight ridges."""
    columns = np.arange(0, ridge.shape[1], 2)
    rows = np.arange(STATIONS)
    weight = np.linspace(0.0, 1.0, STATIONS)
    starts, ends = np.meshgrid(columns, columns, indexing="ij")
    clarity = np.zeros(starts.shape)
    for row in rows:
        clarity += ridge[row, np.rint(starts + (ends - starts) * weight[row]).astype(np.intp)]
    clarity /= STATIONS
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


def _settled(strip: Pixels, across_px: NDArray[np.float64], cord: _Cord) -> _Cord:
    """The cord where the strip shows it best: a straight line through all groups, and a thickness."""
    usual, doubt = cord.thickness_px
    shifts = np.arange(-0.7 * usual, 0.7 * usual + SHIFT_STEP_PX, SHIFT_STEP_PX)
    steps = np.linspace(-2.0, 2.0, THICKNESSES)
    thicknesses = usual * (1 + doubt * steps)
    seen = profiles(strip, cord.at(np.arange(STATIONS, dtype=float)))
    misfit = misfits(seen, across_px, shifts, thicknesses) + PRIOR_WEIGHT * steps**2
    start, end, k = _straightest(misfit, shifts)
    rows = group_rows()
    line = start + (end - start) * rows / (STATIONS - 1)
    near = np.abs(shifts[None] - line[:, None]) <= MOST_WANDER_PX
    best = shifts[np.where(near, misfit[:, :, k], np.inf).argmin(axis=1)]
    fit, scatter_px = _robust_line(rows, best)
    settled = _Cord(
        cord.at_start_px + float(fit(0.0)),
        cord.at_end_px + float(fit(STATIONS - 1.0)),
        (float(thicknesses[k]), min(doubt, KNOWN_THICKNESS_DOUBT)),
        scatter_px,
    )
    seen = profiles(strip, settled.at(np.arange(STATIONS, dtype=float)))
    return replace(settled, seen=share_with_cord(seen, across_px, settled.thickness_px[0]))


def _robust_line(
    rows: NDArray[np.float64], offsets: NDArray[np.float64]
) -> tuple[np.polynomial.Polynomial, float]:
    """Straight line through offsets (n,) at rows (n,), stray ones left out, and the others' scatter."""
    keep = np.ones(len(rows), dtype=bool)
    for _ in range(4):
        fit = np.polynomial.Polynomial.fit(rows[keep], offsets[keep], 1)
        residual = offsets - fit(rows)
        spread = 1.4826 * float(np.median(np.abs(residual)))
        keep = np.abs(residual) < min(max(2.5 * spread, 0.3), MOST_WANDER_PX)
        if keep.sum() < len(rows) // 2:
            keep = np.abs(residual) <= np.median(np.abs(residual))
    return fit, float(residual[keep].std())


def _straightest(misfit: NDArray[np.float64], shifts: NDArray[np.float64]) -> tuple[float, float, int]:
    """Shift at the strip's start and end, and index of the thickness, of the best straight cord."""
    share = group_rows() / (STATIONS - 1)
    i, j = np.meshgrid(np.arange(len(shifts)), np.arange(len(shifts)), indexing="ij")
    total = np.zeros((*i.shape, misfit.shape[2]))
    for group, t in zip(misfit, share, strict=True):
        total += group[np.rint(i + (j - i) * t).astype(np.intp)]
    start, end, k = np.unravel_index(int(total.argmin()), total.shape)
    return float(shifts[start]), float(shifts[end]), int(k)
