"""The centre line of a cord along a run that is roughly known, to a fraction of a pixel.

Along the straightened run a cord is a nearly straight ridge; a double drive shows two. Light falls on one
side of a round cord, so its brightest line is not its middle, and half of it may hardly differ from the wall
behind. Therefore the whole profile across the cord is explained, with both its edges.
"""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from ..geometry.ellipse import Points
from .cord_fit import CordLines, CordStrip
from .cord_profile import share_with_cord
from .edges import Pixels
from .runs import BandRun
from .strip import ACROSS_STEP_PX, STATIONS, profiles, straightened

#: How far across the strip reaches, and half a cord's usual thickness, as shares of the rim's radius.
STRIP_REACH = 0.035
HALF_CORD = 0.0048
#: A second cord must be at least this share as clear as the first, and this many half cords away from it.
SECOND_CLARITY, SECOND_APART = 0.55, 2.6
#: Doubt of the cord's thickness in the picture: known to the spinner, or only as cords usually are.
KNOWN_THICKNESS_DOUBT, USUAL_THICKNESS_DOUBT = 0.07, 0.28
#: So much beside another cord is painted over with it; rounds of that.
COVER_PX, ROUNDS = 1.5, 2
#: Both runs of a band are of one cord: this much its thickness may differ from one to the other.
UNLIKE_THICKNESS = 0.07
#: Ways to see two cords that explain the strips so little worse than the best are given too, so many at most.
NEARLY_AS_GOOD, MOST_WAYS = 2.0, 3
#: Ways whose cords lie nearer to each other than this all along are one.
SAME_PX = 0.7

#: A run hides here and there behind a spoke or a hand. Where it hides along more than a tenth, what stands
#: before it pulls the line, by as much of half the cord's thickness.
USUALLY_SEEN = 0.9

Pair = tuple["CordLine", "CordLine"]


@dataclass(frozen=True, slots=True)
class CordLine:
    """Points (n, 2) on a cord's centre line, and their scatter about the straight line through them.

    ``seen`` is the share of the run along which there is a cord rather than background alone; ``doubt_px``
    tells how far the whole line may lie across from where it is, where part of the cord looks like the wall
    or something else stands before it.
    """

    points_px: Points
    scatter_px: float
    seen: float
    doubt_px: float = 0.0


def cords_along(
    lab: Pixels,
    runs: Sequence[BandRun],
    rim_radius_px: float,
    thicknesses_px: Sequence[float | None] | None = None,
) -> tuple[list[CordLine], ...]:
    """Return the cords near each run: one, two that keep apart, or none; the clearest first.

    Parameters
    ----------
    lab : (h, w, 3) array
    runs : sequence of BandRun
        Those of one band, on which the clearest cord is equally thick.
    rim_radius_px : float
    thicknesses_px : sequence of float or None, optional
        The cord's thickness on each run in the picture, if the spinner has measured it and the scale is
        known.
    """
    strips = [
        _Strip(lab, run, rim_radius_px, thickness_px)
        for run, thickness_px in zip(runs, thicknesses_px or [None] * len(runs), strict=True)
    ]
    found = [_each_alone(strip) for strip in strips]
    if len(found) == 2 and all(found):
        clearest = _alike_thick([cords[0] for cords in found])
        found = [[first, *cords[1:]] for first, cords in zip(clearest, found, strict=True)]
    return tuple([cord.strip.line(cord.lines, 0) for cord in cords] for cords in found)


@dataclass(frozen=True, slots=True)
class _Cord:
    """One cord in a strip in which others are painted over."""

    strip: "_Strip"
    lines: CordLines


def _each_alone(strip: "_Strip") -> list[_Cord]:
    """The one or two clearest cords of a strip, each fitted with the others painted over."""
    found = [CordLines(np.array([ridge]), 0.0, strip.half_px) for ridge in strip.ridges()]
    # Twice, so that they are where they were found.
    for _ in range(ROUNDS):
        beside = [strip.without(found[:k] + found[k + 1 :]) for k in range(len(found))]
        fits = [each.fits() for each in beside]
        found = [fit.fitted(fit.roughly(lines)) for fit, lines in zip(fits, found, strict=True)]
    return [_Cord(each, lines) for each, lines in zip(beside, found, strict=True)] if found else []


def _alike_thick(cords: Sequence[_Cord]) -> Sequence[_Cord]:
    """The cord on either run, as thick as the one on the other where that explains both better.

    What looks like the wall on one run, or runs beside it, seldom does so on the other.
    """
    again = [
        _Cord(
            one.strip,
            one.strip.as_thick_as(other.lines).fitted(replace(one.lines, half_px=other.lines.half_px)),
        )
        for one, other in zip(cords, cords[::-1], strict=True)
    ]
    misfits = [
        one.strip.fits().compared([one.lines, new.lines]) for one, new in zip(cords, again, strict=True)
    ]
    ways = [(0, 0), (0, 1), (1, 0)]
    said = [
        sum(misfits[k][way[k]] for k in range(2))
        + _unlike(*((cords, again)[way[k]][k].lines.half_px for k in range(2)))
        for way in ways
    ]
    best = ways[int(np.argmin(said))]
    return [(cords, again)[best[k]][k] for k in range(2)]


def _unlike(one_px: float, other_px: float) -> float:
    """What speaks against one band being so thick on one run and so thick on the other."""
    return float((np.log(one_px / other_px) / UNLIKE_THICKNESS) ** 2)


def cord_pairs(
    lab: Pixels, runs: tuple[BandRun, BandRun], rim_radius_px: float, thickness_px: float | None = None
) -> list[tuple[Pair, Pair]]:
    """The ways to see two cords of one band along both its runs, also where they cross; the likeliest first.

    Parameters
    ----------
    lab, rim_radius_px, thickness_px
        As for :func:`cords_along`.
    runs : pair of BandRun

    Returns
    -------
    list of pairs of pairs of CordLine
        For each run its two cords, the one that seems nearer to the camera first; empty if either run shows
        nothing.
    """
    strips = [_Strip(lab, run, rim_radius_px, thickness_px) for run in runs]
    ways = [_pairs_of(strip) for strip in strips]
    joint = sorted(
        (
            one_misfit + other_misfit + _unlike(one.half_px, other.half_px),
            i,
            j,
        )
        for i, (one_misfit, one) in enumerate(ways[0])
        for j, (other_misfit, other) in enumerate(ways[1])
    )
    kept: list[tuple[CordLines, CordLines]] = []
    for misfit, i, j in joint:
        way = (ways[0][i][1], ways[1][j][1])
        if misfit < joint[0][0] + NEARLY_AS_GOOD and not any(_same(way, other) for other in kept):
            kept.append(way)
    return [
        (
            (strips[0].line(one, 0), strips[0].line(one, 1)),
            (strips[1].line(other, 0), strips[1].line(other, 1)),
        )
        for one, other in kept[:MOST_WAYS]
    ]


def _pairs_of(strip: "_Strip") -> list[tuple[float, CordLines]]:
    """Ways to see two cords in a strip, each with what it leaves unexplained."""
    ridges = strip.ridges()
    if not ridges:
        return []
    fits = strip.fits()
    return fits.pairs(fits.fitted(fits.roughly(CordLines(np.array(ridges[:1]), 0.0, strip.half_px))))


def _same(way: tuple[CordLines, CordLines], other: tuple[CordLines, CordLines]) -> bool:
    """Whether both ways put the cords in the same places, whichever is nearer."""
    return all(
        any(np.abs(a.ends_px - order).max() < SAME_PX for order in (b.ends_px, b.ends_px[::-1]))
        for a, b in zip(way, other, strict=True)
    )


class _Strip:
    """The picture along one run, straightened, and what is known of the cord before looking."""

    def __init__(self, lab: Pixels, run: BandRun, rim_radius_px: float, thickness_px: float | None) -> None:
        reach_px = max(STRIP_REACH * rim_radius_px, 8.0)
        self.across_px = np.arange(-reach_px, reach_px + ACROSS_STEP_PX / 2, ACROSS_STEP_PX)
        self.pixels, self._stations, self._normal = straightened(lab, run, self.across_px)
        self._usual_half_px = max(HALF_CORD * rim_radius_px, 1.2)
        self._thickness = (2 * self._usual_half_px, USUAL_THICKNESS_DOUBT)
        if thickness_px is not None:
            self._thickness = (thickness_px, KNOWN_THICKNESS_DOUBT)

    @property
    def half_px(self) -> float:
        """Half the thickness that is expected."""
        return 0.5 * self._thickness[0]

    def ridges(self) -> list[tuple[float, float]]:
        """Offsets at start and end of the one or two clearest straight ridges."""
        ridge = _ridge(self.pixels, self._usual_half_px / ACROSS_STEP_PX)
        return _straight_ridges(ridge, self.across_px, self._usual_half_px)

    def fits(self) -> CordStrip:
        """The strip, ready for cords to be fitted to it."""
        return CordStrip(profiles(self.pixels), self.across_px, self._thickness)

    def as_thick_as(self, lines: CordLines) -> CordStrip:
        """The strip for cords that are about as thick as another one."""
        thickness = (2 * lines.half_px, UNLIKE_THICKNESS)
        return CordStrip(profiles(self.pixels), self.across_px, thickness)

    def without(self, others: Sequence[CordLines]) -> "_Strip":
        """The strip with other cords painted over by what lies to their left and right."""
        clean = copy(self)
        clean.pixels = self.pixels.copy()
        share = np.linspace(0.0, 1.0, STATIONS)
        for cord in others:
            for row, middle in enumerate(cord.at(share)[0]):
                hidden = np.abs(self.across_px - middle) <= cord.half_px + COVER_PX
                if hidden.any() and not hidden.all():
                    for channel in range(3):
                        clean.pixels[row, hidden, channel] = np.interp(
                            self.across_px[hidden],
                            self.across_px[~hidden],
                            self.pixels[row, ~hidden, channel],
                        )
        return clean

    def line(self, lines: CordLines, k: int) -> CordLine:
        """One of the lines in the picture, with how well the profiles agree on it."""
        fits = self.fits()
        offsets_px = lines.at(fits.shares)[k]
        start, end = self._stations[0], self._stations[-1]
        places = start + fits.shares[:, None] * (end - start) + offsets_px[:, None] * self._normal
        wander_px = fits.wander_px(lines, k)
        centred = profiles(self.pixels, lines.at(np.linspace(0.0, 1.0, STATIONS))[k])
        seen = share_with_cord(centred, self.across_px, 2 * lines.half_px)
        scatter_px = float(1.4826 * np.median(np.abs(wander_px)))
        unseen_px = max(USUALLY_SEEN - seen, 0.0) * lines.half_px
        doubt_px = float(np.hypot(fits.shift_doubt_px(lines), unseen_px))
        return CordLine(places, scatter_px, seen, doubt_px)


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
