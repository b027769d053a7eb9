"""The band's two straight runs: thin lines that leave the wheel as tangents and meet beyond the whirl.

Every tangent of the wheel is tried, in a small picture first; the likely ones are then tried closely. A cord
shows as a thin ridge, darker or lighter than both its sides.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Ellipse, Points
from .edges import Pixels, lab_pixels
from .ridges import cord_evidence, ridge_map

#: The rim's mean radius in the picture that is searched, and by how much that of the first search is smaller.
SEARCH_RADIUS_PX, ROUGHLY = 260.0, 0.5
#: Blur that a cord is looked for with, in pixels of that picture: thin and thick cords; in the first search.
CORD_BLURS_PX, ROUGH_BLURS_PX = (1.0, 1.8), (0.8,)
#: Over so many pixels the usual strength of ridges is taken.
LEVEL_PX = 8.0
DIRECTION_STEP_RAD = np.radians(0.25)
#: Where the pitch circle's tangents may lie, as shares of the rim's outline.
PITCH_SHARES = np.arange(0.89, 1.015, 0.006)
#: How far a run is followed, in rim radii; in the first search only as far as a short one reaches.
LONGEST_RUN, ROUGH_RUN = 2.6, 1.6
#: So many of the likeliest tangents of the first search are tried closely, so many steps to either side.
LIKELY, CLOSE_STEPS = 36, 2

#: Half the angle between the runs: a whirl as large as half the wheel, or one that nearly touches it.
LEAST_HALF_ANGLE_RAD, MOST_HALF_ANGLE_RAD = np.radians(12.0), np.radians(55.0)
RUNS_KEPT = 12
#: A pair of this score needs no closer search: on pictures with known truth true ones have 80 to 500.
CLEAR_SCORE = 120.0
#: Where somebody points at the band, a run lies within so many rim radii; so many of the runs there are kept.
POINTED_REACH, POINTED_KEPT = 0.03, 3
#: A run may go on so many times as far as it is seen.
GOES_ON = 1.5
#: On a real wheel a run is longer than this, in rim radii, even where the whirl stands close to the rim;
#: edges of what stands about there are not.
SHORTEST_RUN = 0.35
#: A cord vanishes at the whirl, so of what it would need to reach the other run, no more is missing than the
#: whirl's share of the wheel, which is a third at most. What hides it may hide a little more: a pair counts
#: the less the more is missing. In 260 pictures and rooms of known truth true pairs miss 0.0 to 0.42, and
#: most of the false ones that are as strong 0.55 to 0.8.
MOST_MISSING, MISSING_COSTS = 0.3, 4.0
#: Between the runs the whirl's middle is nearer to either than this (in rim radii); nearly midway.
MOST_GAP, NEAR_GAP = 0.45, 0.15


@dataclass(frozen=True, slots=True)
class BandRun:
    """A straight run of the band as found, in pixels of the full picture.

    Attributes
    ----------
    side : int
        +1 or -1: the wheel lies to the right or to the left of the run as seen from the wheel outwards.
    start_px, end_px : (2,) array
        Where it leaves the wheel and where it was last seen.
    share : float
        Distance from the rim ellipse's centre as a share of the ellipse's reach in that direction.
    strength : float
        Sum of what its samples say for a cord.
    """

    side: int
    start_px: Points
    end_px: Points
    share: float
    strength: float

    @property
    def direction(self) -> Points:
        """Unit vector (2,) from the wheel outwards."""
        return np.asarray((self.end_px - self.start_px) / self.length_px)

    @property
    def length_px(self) -> float:
        """How far the run is seen."""
        along = self.end_px - self.start_px
        return math.sqrt(along @ along)

    def passes(self, place_px: Points, reach_px: float) -> bool:
        """Whether a place outside the wheel lies within reach of the run, or where it may go on unseen."""
        x, y = place_px - self.start_px
        along, across = self.direction @ (x, y), self.direction[0] * y - self.direction[1] * x
        return bool(-reach_px < along < GOES_ON * self.length_px and abs(across) < reach_px)


@dataclass(frozen=True, slots=True)
class RunPair:
    """Two runs that close on each other, the pixel in which they meet, and runs seen beside either.

    ``rim_radius_px`` is that of the edge whose tangents they are. It tells how thick a cord may be, so that
    nothing about the cords changes with the edge that is taken for the rim's in the end.
    """

    runs: tuple[BandRun, BandRun]
    meeting_px: Points
    score: float
    rim_radius_px: float
    beside: tuple[BandRun | None, BandRun | None] = (None, None)


def find_run_pairs(
    bgr: NDArray[np.uint8],
    rim: Ellipse,
    whirl_px: tuple[float, float] | None = None,
    band_px: Sequence[tuple[float, float]] = (),
) -> list[RunPair]:
    """Pairs of band runs, the likeliest first.

    Parameters
    ----------
    bgr : (h, w, 3) array of uint8
    rim : Ellipse
        An outer edge of the rim, in pixels of the picture.
    whirl_px : tuple of float, optional
        A click on the whirl; pairs that don't close round it are left out.
    band_px : sequence of tuples of float
        Clicks on the runs, outside the wheel; pairs that don't pass all of them are left out.
    """
    scale = min(1.0, SEARCH_RADIUS_PX / rim.mean_radius_px)
    small = lab_pixels(bgr, scale)
    close = [ridge_map(small, blur, LEVEL_PX) for blur in CORD_BLURS_PX]
    rough = [ridge_map(_shrunk(small), blur, LEVEL_PX * ROUGHLY) for blur in ROUGH_BLURS_PX]
    pairs: list[RunPair] = []
    # A thin cord before a rough wall is lost in the smaller picture; then the search is done in the larger.
    for ridges, share in ((rough, ROUGHLY), (close, 1.0)):
        runs = {}
        for side in (1, -1):
            whirl = None if whirl_px is None else (np.asarray(whirl_px) + 0.5) * scale * share - 0.5
            places = [(np.array(place) + 0.5) * scale * share - 0.5 for place in band_px]
            guesses = _likely_tangents(ridges, rim.rescaled(scale * share), side, whirl, places)
            tried = _tangents(close, rim.rescaled(scale), side, *_about(guesses), LONGEST_RUN)
            full = [_in_full_picture(run, scale) for run in tried]
            kept = [*_strongest(full), *_pointed_at(full, band_px, rim)]
            runs[side] = list({id(run): run for run in kept}.values())
        paired = (_paired(one, other, rim, whirl_px) for one in runs[1] for other in runs[-1])
        found = (pair for pair in paired if pair is not None and _passes_all(pair, band_px, rim))
        pairs = sorted(found, key=lambda pair: -pair.score)
        if pairs and pairs[0].score > CLEAR_SCORE:
            break
    return pairs


def _shrunk(lab: Pixels) -> Pixels:
    return np.asarray(
        cv2.resize(lab, None, fx=ROUGHLY, fy=ROUGHLY, interpolation=cv2.INTER_AREA), dtype=np.float32
    )


def _likely_tangents(
    ridges: list[NDArray[np.float32]],
    rim: Ellipse,
    side: int,
    whirl_px: Points | None,
    places_px: Sequence[Points] = (),
) -> list[BandRun]:
    """The likeliest tangents of a small picture; with a click only those that pass by the whirl.

    Of those that pass places where somebody points at the band, the likeliest are among them.
    """
    angles = np.arange(0.0, 2 * np.pi, 2 * DIRECTION_STEP_RAD)
    if whirl_px is not None:
        along = np.column_stack([np.cos(angles), np.sin(angles)])
        inward = -side * np.column_stack([-along[:, 1], along[:, 0]])
        away = whirl_px - rim.support(-inward)[0]
        gap, ahead = np.sum(away * inward, axis=1), np.sum(away * along, axis=1)
        reach = MOST_GAP * rim.mean_radius_px
        angles = angles[(gap > -NEAR_GAP * reach) & (gap < reach) & (ahead > 0)]
    shares = np.broadcast_to(PITCH_SHARES[::2], (len(angles), len(PITCH_SHARES[::2])))
    runs = _tangents(ridges, rim, side, angles, shares, ROUGH_RUN)
    strength = np.array([0.0, *(run.strength for run in runs), 0.0])
    # Weak runs are tried as well where they are stronger than what lies next to them.
    tops = set(np.flatnonzero((strength[1:-1] >= strength[:-2]) & (strength[1:-1] > strength[2:])).tolist())
    ranked = [k for k in np.argsort(-strength[1:-1]).tolist() if runs[k].length_px > 0]
    likely = dict.fromkeys(ranked[:LIKELY] + [k for k in ranked if k in tops][:LIKELY])
    reach_px = POINTED_REACH * rim.mean_radius_px
    for place in places_px:
        likely |= dict.fromkeys([k for k in ranked if runs[k].passes(place, reach_px)][:LIKELY])
    return [runs[k] for k in likely]


def _about(guesses: list[BandRun]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Directions (n,) next to those of guesses, and for each the shares (n, m) next to the guess's own."""
    steps = np.arange(-CLOSE_STEPS, CLOSE_STEPS + 1)
    angles = [float(np.arctan2(run.direction[1], run.direction[0])) for run in guesses]
    step = float(PITCH_SHARES[1] - PITCH_SHARES[0])
    shares = np.array([run.share for run in guesses])
    return (
        (np.array(angles)[:, None] + DIRECTION_STEP_RAD * steps).ravel(),
        np.repeat((shares[:, None] + step * steps), len(steps), axis=0),
    )


def _tangents(
    ridges: list[NDArray[np.float32]],
    rim: Ellipse,
    side: int,
    angles: NDArray[np.float64],
    shares: NDArray[np.float64],
    longest: float,
) -> list[BandRun]:
    """The best tangent of each direction (n,) on one side of the wheel, of those at shares (n, m)."""
    if not len(angles):
        return []
    along = np.column_stack([np.cos(angles), np.sin(angles)])
    touch, _ = rim.support(side * np.column_stack([-along[:, 1], along[:, 0]]))
    starts = rim.centre_px + shares[..., None] * (touch - rim.centre_px)[:, None]
    hidden_px = _in_groove_px(shares, rim)
    rays = np.repeat(along, shares.shape[1], axis=0)
    told = cord_evidence(ridges, starts.reshape(-1, 2), rays, hidden_px.ravel(), longest * rim.mean_radius_px)
    evidence, reach_px = (each.reshape(shares.shape) for each in told)
    best = np.arange(len(angles)), evidence.argmax(axis=1)
    begins, ends = (starts[best] + way[best][:, None] * along for way in (hidden_px, reach_px))
    seen = zip(begins, ends, shares[best].tolist(), evidence[best].tolist(), strict=True)
    return [BandRun(side, *each) for each in seen]


def _in_groove_px(shares: NDArray[np.float64], rim: Ellipse) -> NDArray[np.float64]:
    """How far from where they touch the rim tangents lie hidden within its outline, in the groove."""
    return np.asarray(rim.mean_radius_px * np.sqrt(np.maximum(1 - shares**2, 0.0)) * 1.02 + 4)


def _strongest(runs: list[BandRun]) -> list[BandRun]:
    """The strongest runs, none within a degree or so of a stronger one."""
    kept: list[BandRun] = []
    directions: list[Points] = []
    for run in sorted(runs, key=lambda r: -r.strength):
        direction = run.direction
        if all(float(direction @ other) < np.cos(0.018) for other in directions):
            kept.append(run)
            directions.append(direction)
        if len(kept) == RUNS_KEPT:
            break
    return kept


def _pointed_at(runs: list[BandRun], band_px: Sequence[tuple[float, float]], rim: Ellipse) -> list[BandRun]:
    """The strongest of the runs that pass each place pointed at, which may be weak beside others."""
    reach_px = POINTED_REACH * rim.mean_radius_px
    passing = ([run for run in runs if run.passes(np.array(place), reach_px)] for place in band_px)
    return [run for some in passing for run in _strongest(some)[:POINTED_KEPT]]


def _passes_all(pair: RunPair, band_px: Sequence[tuple[float, float]], rim: Ellipse) -> bool:
    """Whether one of the runs passes each place pointed at."""
    reach_px = POINTED_REACH * rim.mean_radius_px
    return all(any(run.passes(np.array(place), reach_px) for run in pair.runs) for place in band_px)


def _in_full_picture(run: BandRun, scale: float) -> BandRun:
    start, end = ((point + 0.5) / scale - 0.5 for point in (run.start_px, run.end_px))
    return BandRun(run.side, start, end, run.share, run.strength)


def _paired(
    one: BandRun, other: BandRun, rim: Ellipse, whirl_px: tuple[float, float] | None
) -> RunPair | None:
    """The two as one band, scored; None if no open band round two pulleys looks like that."""
    turn = one.direction[0] * other.direction[1] - one.direction[1] * other.direction[0]
    half_angle = 0.5 * float(np.arctan2(abs(turn), one.direction @ other.direction))
    if turn < 0 or not LEAST_HALF_ANGLE_RAD < half_angle < MOST_HALF_ANGLE_RAD:
        return None
    reach = np.linalg.solve(np.column_stack([one.direction, -other.direction]), other.start_px - one.start_px)
    meeting = one.start_px + reach[0] * one.direction
    if min(reach) < 0.3 * rim.mean_radius_px:
        return None
    # Tangents to two circles are equally long, and the cord vanishes at the whirl, before they meet.
    seen = np.array([one.length_px, other.length_px])
    if min(seen) < SHORTEST_RUN * rim.mean_radius_px:
        return None
    past_meeting = float(np.maximum(seen / reach - 1.0, 0.0).sum())
    unequal = abs(float(np.log(seen[0] / seen[1])))
    strength = 2 * np.sqrt(max(one.strength, 0.0) * max(other.strength, 0.0))
    unlikely_pitch = sum(abs(run.share - 0.975) / 0.025 for run in (one, other))
    hidden = _in_groove_px(np.array([one.share, other.share]), rim)
    missing = max(float(((reach - seen) / (reach + hidden)).min()) - MOST_MISSING, 0.0)
    score = strength * np.exp(
        -4 * past_meeting - 1.5 * unequal - 0.15 * unlikely_pitch - MISSING_COSTS * missing
    )
    pair = RunPair((one, other), meeting, float(score), rim.mean_radius_px)
    return pair if whirl_px is None or _closes_round(pair, whirl_px, rim) else None


def _closes_round(pair: RunPair, whirl_px: tuple[float, float], rim: Ellipse) -> bool:
    """Whether a click on the whirl lies between the runs, nearly midway, before they meet."""
    gaps = []
    for run in pair.runs:
        inward = -run.side * np.array([-run.direction[1], run.direction[0]])
        gaps.append(float((np.asarray(whirl_px) - run.start_px) @ inward))
    ahead = float(
        (pair.meeting_px - np.asarray(whirl_px)) @ (pair.runs[0].direction + pair.runs[1].direction)
    )
    near, far = sorted(gaps)
    return near > 0 and ahead > 0 and far < MOST_GAP * rim.mean_radius_px and near > NEAR_GAP * far
