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
from scipy.special import erf

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
KNOWN_THICKNESS_DOUBT, USUAL_THICKNESS_DOUBT = 0.07, 0.28
#: Grid of the search for the cord's middle and thickness.
SHIFT_STEP_PX, THICKNESSES = 0.2, 9
#: Blur of lightness, and of the two chroma channels, which pictures store at half the resolution.
CHANNEL_BLURS_PX = (0.9, 1.7, 1.7)
#: So much background is looked at beside the cord; so much beside another cord is painted over with it.
BACKGROUND_PX, COVER_PX = 4.0, 1.5
#: Twice, so that a second cord lies where it was found, and an unknown thickness is told more finely.
ROUNDS = 2
#: Grey values squared below which a misfit is noise, the most that one group may say against a place, and
#: how much a deviation of the thickness weighs.
NOISE_FLOOR, MOST_MISFIT, PRIOR_WEIGHT = 1.0, 4.0, 0.1
#: A group's middle lies within this of the straight line.
MOST_WANDER_PX = 1.5


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
    ridges = _straight_ridges(_ridge(strip, half_cord_px / ACROSS_STEP_PX), across_px, half_cord_px)
    expected = (2 * half_cord_px, USUAL_THICKNESS_DOUBT)
    if thickness_px is not None:
        expected = (thickness_px, KNOWN_THICKNESS_DOUBT)
    found = [_Cord(at_start, at_end, expected, 0.0) for at_start, at_end, _ in ridges]
    for _ in range(ROUNDS):
        others = [found[:k] + found[k + 1 :] for k in range(len(found))]
        found = [
            _settled(_without(strip, across_px, other), across_px, cord)
            for cord, other in zip(found, others, strict=True)
        ]
    places = stations[0] + _group_rows()[:, None] / (STATIONS - 1) * (stations[-1] - stations[0])
    return [
        CordLine(places + cord.at(_group_rows())[:, None] * normal, cord.scatter_px, clarity)
        for cord, (_, _, clarity) in zip(found, ridges, strict=True)
    ]


@dataclass(frozen=True, slots=True)
class _Cord:
    """A straight cord in the strip: offsets at start and end, expected thickness with its relative doubt."""

    at_start_px: float
    at_end_px: float
    thickness_px: tuple[float, float]
    scatter_px: float

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


def _settled(strip: Pixels, across_px: NDArray[np.float64], cord: _Cord) -> _Cord:
    """The cord where the strip shows it best: a straight line through all groups, and a thickness."""
    usual, doubt = cord.thickness_px
    shifts = np.arange(-0.7 * usual, 0.7 * usual + SHIFT_STEP_PX, SHIFT_STEP_PX)
    steps = np.linspace(-2.0, 2.0, THICKNESSES)
    thicknesses = usual * (1 + doubt * steps)
    profiles = _profiles(strip, across_px, cord.at(np.arange(STATIONS, dtype=float)))
    misfit = _misfits(profiles, across_px, shifts, thicknesses) + PRIOR_WEIGHT * steps**2
    start, end, k = _straightest(misfit, shifts)
    rows = _group_rows()
    line = start + (end - start) * rows / (STATIONS - 1)
    near = np.abs(shifts[None] - line[:, None]) <= MOST_WANDER_PX
    best = shifts[np.where(near, misfit[:, :, k], np.inf).argmin(axis=1)]
    fit, scatter_px = _robust_line(rows, best)
    return _Cord(
        cord.at_start_px + float(fit(0.0)),
        cord.at_end_px + float(fit(STATIONS - 1.0)),
        (float(thicknesses[k]), min(doubt, KNOWN_THICKNESS_DOUBT)),
        scatter_px,
    )


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


def _profiles(
    strip: Pixels, across_px: NDArray[np.float64], guess_px: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Profiles (GROUPS, columns, 3) across the cord, the strip straightened along the guess.

    Lightness is made linear in the light: a lens blurs light, not its square root.
    """
    columns = np.arange(strip.shape[1], dtype=np.float32)
    x = columns[None, :] + (guess_px / ACROSS_STEP_PX).astype(np.float32)[:, None]
    y = np.broadcast_to(np.arange(STATIONS, dtype=np.float32)[:, None], x.shape)
    straight = cv2.remap(strip, x, np.ascontiguousarray(y), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    groups = np.array_split(straight.astype(np.float64), GROUPS)
    profiles = np.stack([np.median(group, axis=0) for group in groups])
    profiles[..., 0] = 255 * ((profiles[..., 0] / 2.55 + 16) / 116) ** 3
    return profiles


def _misfits(
    profiles: NDArray[np.float64],
    across_px: NDArray[np.float64],
    shifts: NDArray[np.float64],
    thicknesses: NDArray[np.float64],
) -> NDArray[np.float64]:
    """How badly each shift and thickness of a cord explains each profile, (GROUPS, shifts, thicknesses).

    A profile is a sloping background, and between the cord's two edges a curved brightness of its own, all
    blurred a little. Relative to the best of each group, and capped, so that a hidden cord says nothing.
    """
    window = np.abs(across_px) <= np.abs(shifts).max() + 0.5 * thicknesses.max() + BACKGROUND_PX
    x = across_px[window]
    total = np.zeros((len(profiles), len(shifts), len(thicknesses)))
    for channel, blur_px in enumerate(CHANNEL_BLURS_PX):
        q, _ = np.linalg.qr(_models(x, shifts, thicknesses, blur_px))
        seen = profiles[:, window, channel]
        explained = np.einsum("stnk,gn->gstk", q, seen, optimize=True)
        rest = np.maximum((seen**2).sum(axis=1)[:, None, None] - (explained**2).sum(axis=3), 0.0)
        # Chroma carries less than lightness; all are weighed by what is left when the cord fits best.
        total += rest / (rest.min(axis=(1, 2), keepdims=True) + NOISE_FLOOR * len(x))
    total -= total.min(axis=(1, 2), keepdims=True)
    return np.minimum(total, MOST_MISFIT)


def _models(
    x: NDArray[np.float64], shifts: NDArray[np.float64], thicknesses: NDArray[np.float64], blur_px: float
) -> NDArray[np.float64]:
    """Columns (shifts, thicknesses, len(x), 5) whose sums are the profiles that a cord can have."""
    half = 0.5 * thicknesses[None, :, None]
    u = x[None, None, :] - shifts[:, None, None]
    inside = 0.5 * (erf((u + half) / (np.sqrt(2) * blur_px)) - erf((u - half) / (np.sqrt(2) * blur_px)))
    share = np.clip(u / half, -1.5, 1.5)
    background = np.broadcast_to(np.stack([np.ones_like(x), x / x.max()], axis=-1), (*inside.shape, 2))
    cord = np.stack([inside, inside * share, inside * share**2], axis=-1)
    return np.concatenate([background, cord], axis=-1)


def _straightest(misfit: NDArray[np.float64], shifts: NDArray[np.float64]) -> tuple[float, float, int]:
    """Shift at the strip's start and end, and index of the thickness, of the best straight cord."""
    share = _group_rows() / (STATIONS - 1)
    i, j = np.meshgrid(np.arange(len(shifts)), np.arange(len(shifts)), indexing="ij")
    total = np.zeros((*i.shape, misfit.shape[2]))
    for group, t in zip(misfit, share, strict=True):
        total += group[np.rint(i + (j - i) * t).astype(np.intp)]
    start, end, k = np.unravel_index(int(total.argmin()), total.shape)
    return float(shifts[start]), float(shifts[end]), int(k)
