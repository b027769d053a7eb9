"""Where something turns, from a clip alone or from a click.

By how much each pixel changes: a turning wheel is a disc that changes, with still things round it. Whether
what changes there does turn is for :mod:`..turning.wheel_angle` to say.

Lengths and points here are in pixels of the gray pictures.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft2, next_fast_len, rfft2

from ..turning.polar import TurningPlane

Map = NDArray[np.float32]

#: The picture is made about this wide before discs are looked for.
SEARCH_WIDTH_PX = 240
#: Pictures whose differences are looked at: more tell nothing new.
SEARCH_PICTURES = 100
#: Radii of discs that are tried, as shares of the picture's longer side.
DISC_RADII = np.geomspace(0.05, 0.5, 20)
#: The ring round a disc that must stand still, in radii of the disc.
RING = (1.08, 1.3)
#: A lamp flickers if without it the usual pixel changes by less than this share of what it does; a few
#: pictures tell that, one in so many.
FLICKERS, FEW = 0.6, 5
#: What a camera adds to the light so that the dark is not taken for nothing.
DARKEST = 8.0
#: A click on the axle lies within this share of the radius of the true axle.
CLICK_REACH = 0.15
#: The wheel's own changes (rim, band) end within so many of its radii.
WHEEL_EDGE = 1.08
#: Activity (log scale, see :func:`activity`) from which a pixel belongs to a patch; its least coarse pixels.
PATCH_ACTIVITY = 0.8
SMALLEST_PATCH = 12
#: Where less than this share (percent) of the picture changes by three times the noise, nothing moves.
MOVES_PERCENT, THREE_TIMES = 1, 1.0


@dataclass(frozen=True, slots=True)
class Activity:
    """How much each (coarse) pixel changes, as a multiple of the still picture's noise, in a log scale.

    ``shrink`` is the number of gray pixels per coarse pixel.
    """

    level: Map
    shrink: int


def activity(gray: NDArray[np.uint8], most: int = SEARCH_PICTURES) -> Activity:
    """Look at how much everything changes from picture to picture, in so many differences at the most."""
    shrink = max(1, round(max(gray.shape[1:]) / SEARCH_WIDTH_PX))
    size = (gray.shape[2] // shrink, gray.shape[1] // shrink)
    # Whole coarse pixels only: what is left at the edges would cost more than all the rest.
    gray = gray[:, : size[1] * shrink, : size[0] * shrink]
    chosen = np.unique(np.linspace(0, len(gray) - 2, min(len(gray) - 1, most)).astype(int))
    changes = np.empty((len(chosen), size[1], size[0]), np.float32)
    for i, change in zip(chosen, changes, strict=True):
        whole = cv2.subtract(gray[i + 1], gray[i], dtype=cv2.CV_32F)
        cv2.resize(whole, size, dst=change, interpolation=cv2.INTER_AREA)
    light = np.array([cv2.resize(gray[i], size, interpolation=cv2.INTER_AREA) for i in chosen[::FEW]])
    usual, steady = (
        float(np.median(_root_mean_square(some)))
        for some in (changes[::FEW], _without_flicker(changes[::FEW], light))
    )
    if steady < FLICKERS * usual:
        light = np.array([cv2.resize(gray[i], size, interpolation=cv2.INTER_AREA) for i in chosen])
        changes = _without_flicker(changes, light)
    change = _root_mean_square(changes)
    noise = max(float(np.median(change)), 0.3)
    level = np.clip(np.log(change / noise + 1e-6) / np.log(3.0), 0, 2)
    return Activity(level.astype(np.float32), shrink)


def _root_mean_square(changes: Map) -> Map:
    return np.asarray(np.sqrt(np.mean(np.square(changes), axis=0)), np.float32)


def _without_flicker(changes: Map, light: NDArray[np.uint8]) -> Map:
    """Take out what a lamp's flicker changes: one share of the light in every row, most of which is still.

    Rows, because a rolling shutter meets the lamp at another moment in each.
    """
    lit = light + np.float32(DARKEST)
    share = np.median(changes / lit, axis=2, keepdims=True)
    return np.asarray(changes - share * lit, np.float32)


def stands_still(seen: Activity) -> bool:
    """Whether hardly anything changes but by noise."""
    return float(np.percentile(seen.level, 100 - MOVES_PERCENT)) < THREE_TIMES


def turning_discs(
    seen: Activity, near_px: tuple[float, float] | None = None, most: int = 4
) -> list[TurningPlane]:
    """Discs that change while what lies round them stands still, best first.

    Parameters
    ----------
    near_px : tuple of float, optional
        A click on the axle: only discs whose centre it may mean are kept.
    """
    found: list[tuple[float, float, float, float]] = []
    half = cv2.resize(seen.level, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    active, shrink = np.asarray(half, np.float32), 2 * seen.shrink
    for share in DISC_RADII:
        radius = share * max(active.shape)
        score = _contrast(active, radius)
        if near_px is not None:
            score = np.where(_near(active.shape, near_px, shrink, CLICK_REACH * radius), score, -np.inf)
        for _ in range(most):
            y, x = np.unravel_index(int(np.argmax(score)), score.shape)
            if not score[y, x] > 0:
                break
            found.append((float(score[y, x]), float(x), float(y), radius))
            score[_near(active.shape, (float(x), float(y)), 1, radius / 2)] = -np.inf
    found.sort(reverse=True)
    kept: list[tuple[float, float, float, float]] = []
    for disc in found:
        if len(kept) < most and all(np.hypot(disc[1] - k[1], disc[2] - k[2]) > 0.5 * k[3] for k in kept):
            kept.append(disc)
    return [
        TurningPlane(((x + 0.5) * shrink - 0.5, (y + 0.5) * shrink - 0.5), radius * shrink)
        for _, x, y, radius in kept
    ]


def changing_patches(
    seen: Activity, without: TurningPlane, near_px: tuple[float, float] | None = None, most: int = 3
) -> list[TurningPlane]:
    """Patches outside a turning wheel that change, as ellipses; the largest first, or the nearest to a click.

    Parameters
    ----------
    without : TurningPlane
        The wheel: patches lie outside it, and are no larger than it.
    near_px : tuple of float, optional
        A click on what turns.
    """
    active, shrink = seen.level, seen.shrink
    outside = ~_coarse(without, shrink).inside((active.shape[0], active.shape[1]), WHEEL_EDGE)
    changing = ((active > PATCH_ACTIVITY) & outside).astype(np.uint8)
    # Thin lines are edges of still things that seem to move with a hand or with the compression.
    opened = cv2.morphologyEx(changing, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    closed = cv2.morphologyEx(opened, cv2.MORPH_CLOSE, np.ones((5, 5), np.uint8))
    count, labels = cv2.connectedComponents(closed)
    limit = np.pi * (without.radius_px / shrink) ** 2
    found: list[tuple[float, TurningPlane]] = []
    for label in range(1, count):
        y, x = np.nonzero(labels == label)
        if not SMALLEST_PATCH <= len(x) <= limit:
            continue
        rank = -float(np.sum(active[y, x]))
        if near_px is not None:
            cx, cy = ((v + 0.5) / shrink - 0.5 for v in near_px)
            rank = float(np.min(np.hypot(x - cx, y - cy)) - 0.02 * np.sqrt(len(x)))
        found.append((rank, _ellipse(x.astype(np.float64), y.astype(np.float64), shrink)))
    found.sort(key=lambda patch: patch[0])
    return [plane for _, plane in found[:most]]


def _ellipse(x: NDArray[np.float64], y: NDArray[np.float64], shrink: int) -> TurningPlane:
    """Ellipse with the same moments as a set of coarse pixels, in gray pixels."""
    sizes, axes = np.linalg.eigh(np.cov(x, y))
    short, long = 2 * np.sqrt(np.maximum(sizes, 0.25))
    along = np.arctan2(-axes[1, 0], axes[0, 0])
    share = 1 - short / long
    centre = tuple(float((v.mean() + 0.5) * shrink - 0.5) for v in (x, y))
    squeeze = (float(share * np.cos(2 * along)), float(share * np.sin(2 * along)))
    return TurningPlane((centre[0], centre[1]), float(long * shrink), squeeze)


def _coarse(plane: TurningPlane, shrink: int) -> TurningPlane:
    x, y = ((v + 0.5) / shrink - 0.5 for v in plane.centre_px)
    return TurningPlane((x, y), plane.radius_px / shrink, plane.squeeze)


def _contrast(active: Map, radius: float) -> NDArray[np.float64]:
    """Score every centre: mean activity in the disc less that in the ring round it; large discs first.

    Means over discs and rings by products of spectra, with room round the map for the ring.
    """
    reach = int(np.ceil(RING[1] * radius)) + 1
    size = tuple(next_fast_len(side + 2 * reach, real=True) for side in active.shape)
    y, x = (np.minimum(np.arange(n), n - np.arange(n), dtype=np.float32) for n in size)
    distance = np.hypot(y[:, None], x[None, :])
    disc = (distance <= radius) & (distance > 0.2 * radius)
    ring = (distance > RING[0] * radius) & (distance <= RING[1] * radius)
    spectra = rfft2(np.stack([active, np.ones_like(active)]), size)
    kernels = rfft2(np.stack([disc, ring]).astype(np.float32))
    height, width = active.shape
    sums = irfft2(spectra * kernels[:, None], size)[:, :, :height, :width]
    (total, inside), (total_round, inside_round) = sums
    means = total / np.maximum(inside, 0.5) - total_round / np.maximum(inside_round, 0.5)
    # In a picture of a few pixels the smallest discs hold none.
    share = np.clip(inside / max(float(disc.sum()), 1.0), 0, 1)
    return np.asarray(means * np.sqrt(radius) * np.sqrt(share), dtype=np.float64)


def _near(
    shape: tuple[int, ...], point_px: tuple[float, float], shrink: int, reach: float
) -> NDArray[np.bool_]:
    y, x = np.mgrid[: shape[0], : shape[1]]
    cx, cy = ((v + 0.5) / shrink - 0.5 for v in point_px)
    return np.asarray(np.hypot(x - cx, y - cy) <= max(reach, 1.5))
