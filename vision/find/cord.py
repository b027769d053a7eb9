"""The centre line of a cord along a run that is roughly known, to a fraction of a pixel.

The picture along the run is straightened into a strip: a row a station along the run, a column a distance
across it. A cord is a nearly straight ridge from the strip's top to its bottom; a double drive shows two.

Light falls on one side of a round cord, so its brightest line is not its middle: often half of it hardly
differs from the wall behind. The middle is therefore taken between the cord's two outer edges.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from ..geometry.ellipse import Points
from .edges import Pixels
from .runs import BandRun

STATIONS = 160
#: How far across the strip reaches, and half a cord's usual thickness, as shares of the rim's radius.
STRIP_REACH = 0.035
HALF_CORD = 0.0048
ACROSS_STEP_PX = 0.5
#: A second cord must be at least this share as clear as the first, and this many half cords away from it.
SECOND_CLARITY, SECOND_APART = 0.55, 2.6
#: Stations are averaged in groups, which evens out the twist of the cord.
GROUPS = 12
#: Doubt of the cord's thickness in the picture: known to the spinner, or only as cords usually are.
KNOWN_THICKNESS_DOUBT, USUAL_THICKNESS_DOUBT = 0.07, 0.25
STRAY_BEYOND_PX = 1.5


@dataclass(frozen=True, slots=True)
class CordLine:
    """Points (n, 2) on a cord's centre line, and their scatter about the straight line through them."""

    points_px: Points
    scatter_px: float
    clarity: float


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
    strip, stations, normal = _straightened(lab, run, across_px)
    ridge = _ridge(strip, half_cord_px / ACROSS_STEP_PX)
    lines = []
    for at_start, at_end, clarity in _straight_ridges(ridge, across_px, half_cord_px):
        guess_px = np.linspace(at_start, at_end, STATIONS)
        expected = (2 * half_cord_px, USUAL_THICKNESS_DOUBT)
        if thickness_px is not None:
            expected = (thickness_px, KNOWN_THICKNESS_DOUBT)
        across, scatter_px = _middle(strip, across_px, guess_px, expected)
        rows = _group_rows()
        points = stations[0] + rows[:, None] / (STATIONS - 1) * (stations[-1] - stations[0])
        lines.append(CordLine(points + across[:, None] * normal, scatter_px, clarity))
    return lines


def _straightened(lab: Pixels, run: BandRun, across_px: NDArray[np.float64]) -> tuple[Pixels, Points, Points]:
    """Strip (STATIONS, len(across_px), 3), the stations' pixels (STATIONS, 2) and the direction across."""
    along = np.linspace(0.0, 1.0, STATIONS)[:, None]
    stations = run.start_px + along * (run.end_px - run.start_px)
    normal = np.array([-run.direction[1], run.direction[0]])
    x = (stations[:, :1] + across_px * normal[0]).astype(np.float32)
    y = (stations[:, 1:] + across_px * normal[1]).astype(np.float32)
    strip = cv2.remap(lab, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(gaussian_filter1d(strip, 0.7, axis=0)), stations, normal


def _ridge(strip: Pixels, half_cord: float) -> NDArray[np.float64]:
    """How much each place (STATIONS, columns) differs from both its sides, in units of the usual one."""
    smooth = gaussian_filter1d(strip.astype(np.float64), 0.6 * half_cord, axis=1)
    aside = round(float(2.2 * half_cord))
    padded = np.pad(smooth, ((0, 0), (aside, aside), (0, 0)), mode="edge")
    left, right = padded[:, : -2 * aside], padded[:, 2 * aside :]
    one, other = smooth - left, smooth - right
    # Only where it differs from both sides in the same sense, channel by channel.
    agreed = np.where(one * other > 0, np.minimum(np.abs(one), np.abs(other)), 0.0)
    size = np.linalg.norm(agreed, axis=2)
    return np.asarray(np.minimum(size / (np.median(size[size > 0]) * 2 + 1e-6), 2.0))


def _straight_ridges(
    ridge: NDArray[np.float64], across_px: NDArray[np.float64], half_cord_px: float
) -> list[tuple[float, float, float]]:
    """Offsets at the strip's start and end, and clarity, of the one or two clearest straight ridges."""
    columns = np.arange(0, ridge.shape[1], 2)
    rows = np.arange(STATIONS)
    weight = np.linspace(0.0, 1.0, STATIONS)
    starts, ends = np.meshgrid(columns, columns, indexing="ij")
    clarity = np.zeros(starts.shape)
    for row in rows:
        clarity += ridge[row, np.rint(starts + (ends - starts) * weight[row]).astype(np.intp)]
    clarity /= STATIONS
    found: list[tuple[float, float, float]] = []
    apart = SECOND_APART * half_cord_px
    for _ in range(2):
        i, j = np.unravel_index(int(clarity.argmax()), clarity.shape)
        best = float(clarity[i, j])
        if found and best < SECOND_CLARITY * found[0][2]:
            break
        at_start, at_end = float(across_px[columns[i]]), float(across_px[columns[j]])
        found.append((at_start, at_end, best))
        offsets = across_px[columns]
        # Two cords of one band hardly cross: a second one keeps its distance over most of the run.
        near = (
            np.minimum(np.abs(offsets[:, None] - at_start), np.abs(offsets[None, :] - at_end)) < 0.4 * apart
        )
        same_side = (offsets[:, None] - at_start) * (offsets[None, :] - at_end) > 0
        mean_gap = 0.5 * np.abs(offsets[:, None] - at_start + offsets[None, :] - at_end)
        clarity[near | ~same_side | (mean_gap < apart)] = 0.0
    return found


def _group_rows() -> NDArray[np.float64]:
    """Middle row of each group of stations."""
    return np.asarray((np.arange(GROUPS) + 0.5) * STATIONS / GROUPS - 0.5)


def _middle(
    strip: Pixels,
    across_px: NDArray[np.float64],
    guess_px: NDArray[np.float64],
    thickness_px: tuple[float, float],
) -> tuple[NDArray[np.float64], float]:
    """Offsets (GROUPS,) of the cord's middle on a straight line through all groups, and their scatter.

    ``thickness_px`` is the expected thickness and its relative doubt.
    """
    steepness = _group_steepness(strip, across_px, guess_px)
    window = np.arange(-0.75, 0.76, ACROSS_STEP_PX / 4 / thickness_px[0]) * thickness_px[0]
    middle, thickness = _edge_pair(steepness.mean(axis=0), across_px, window, thickness_px)
    near = middle + np.arange(-1.5, 1.51, 0.1)
    both = np.stack([_pair_strength(row, across_px, near, thickness) for row in steepness])
    best = near[both.argmax(axis=1)]
    rows = _group_rows()
    keep = np.ones(GROUPS, dtype=bool)
    for _ in range(4):
        line = np.polynomial.Polynomial.fit(rows[keep], best[keep], 1)
        residual = best - line(rows)
        spread = 1.4826 * float(np.median(np.abs(residual)))
        keep = np.abs(residual) < min(max(2.5 * spread, 0.3), STRAY_BEYOND_PX)
        if keep.sum() < GROUPS // 2:
            keep = np.abs(residual) <= np.median(np.abs(residual))
    guess = np.interp(rows, np.arange(STATIONS), guess_px)
    return guess + line(rows), float(residual[keep].std())


def _group_steepness(
    strip: Pixels, across_px: NDArray[np.float64], guess_px: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Colour change a pixel (GROUPS, columns) across the cord, the strip straightened along the guess."""
    columns = np.arange(strip.shape[1], dtype=np.float32)
    shift = (guess_px / ACROSS_STEP_PX).astype(np.float32)
    x = columns[None, :] + shift[:, None]
    y = np.broadcast_to(np.arange(STATIONS, dtype=np.float32)[:, None], x.shape)
    straight = cv2.remap(strip, x, np.ascontiguousarray(y), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    groups = np.array_split(straight.astype(np.float64), GROUPS)
    profiles = np.stack([np.median(group, axis=0) for group in groups])
    smooth = gaussian_filter1d(profiles, 0.7 / ACROSS_STEP_PX, axis=1)
    return np.asarray(np.linalg.norm(np.gradient(smooth, ACROSS_STEP_PX, axis=1), axis=2))


def _pair_strength(
    steepness: NDArray[np.float64],
    across_px: NDArray[np.float64],
    middle_px: NDArray[np.float64],
    thickness_px: float | NDArray[np.float64],
) -> NDArray[np.float64]:
    """How clearly a cord of some thickness is outlined about each middle: a lone edge counts little."""
    left = np.interp(middle_px - 0.5 * thickness_px, across_px, steepness)
    right = np.interp(middle_px + 0.5 * thickness_px, across_px, steepness)
    return np.asarray(np.sqrt(left * right) + 0.25 * (left + right))


def _edge_pair(
    steepness: NDArray[np.float64],
    across_px: NDArray[np.float64],
    window_px: NDArray[np.float64],
    thickness_px: tuple[float, float],
) -> tuple[float, float]:
    """Middle and thickness of the best outlined cord, the thickness held near what is expected."""
    expected, doubt = thickness_px
    shares = 1 + doubt * np.linspace(-2.5, 2.5, 41)
    middles, thicknesses = np.meshgrid(window_px, expected * shares, indexing="ij")
    strength = _pair_strength(steepness, across_px, middles, thicknesses)
    strength *= np.exp(-0.5 * ((thicknesses / expected - 1) / doubt) ** 2 / 2)
    i, j = np.unravel_index(int(strength.argmax()), strength.shape)
    return float(middles[i, j]), float(thicknesses[i, j])
