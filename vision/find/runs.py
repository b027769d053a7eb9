"""The band's two straight runs: thin lines that leave the wheel as tangents and meet beyond the whirl.

Every tangent of the wheel is tried. A cord shows as a thin ridge, darker or lighter than both its sides.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Ellipse, Points
from .edges import Pixels, lab_pixels

#: The rim's mean radius in the picture that is searched.
SEARCH_RADIUS_PX = 260.0
#: Blur that a cord is looked for with, in pixels of that picture: thin and thick cords.
CORD_BLURS_PX = (1.0, 1.8)
DIRECTION_STEP_RAD = np.radians(0.25)
#: Where the pitch circle's tangents may lie, as shares of the rim's outline.
PITCH_SHARES = np.arange(0.89, 1.015, 0.006)
SAMPLE_STEP_PX = 1.5
LONGEST_RUN = 2.6  # in rim radii
#: What a sample must show, in units of the neighbourhood's ridges, to speak for a cord rather than against.
USUAL_RIDGE = 0.35

#: Half the angle between the runs: a whirl as large as half the wheel, or one that nearly touches it.
LEAST_HALF_ANGLE_RAD, MOST_HALF_ANGLE_RAD = np.radians(12.0), np.radians(55.0)
RUNS_KEPT = 12


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
        along = self.end_px - self.start_px
        return np.asarray(along / np.linalg.norm(along))

    @property
    def length_px(self) -> float:
        """How far the run is seen."""
        return float(np.linalg.norm(self.end_px - self.start_px))


@dataclass(frozen=True, slots=True)
class RunPair:
    """Two runs that close on each other, and the pixel in which they meet."""

    runs: tuple[BandRun, BandRun]
    meeting_px: Points
    score: float


def find_run_pairs(
    bgr: NDArray[np.uint8], rim: Ellipse, whirl_px: tuple[float, float] | None = None
) -> list[RunPair]:
    """Pairs of band runs, the likeliest first.

    Parameters
    ----------
    bgr : (h, w, 3) array of uint8
    rim : Ellipse
        An outer edge of the rim, in pixels of the picture.
    whirl_px : tuple of float, optional
        A click on the whirl; pairs that don't close round it are left out.
    """
    scale = min(1.0, SEARCH_RADIUS_PX / rim.mean_radius_px)
    ridges = [_ridge_map(lab_pixels(bgr, scale), blur) for blur in CORD_BLURS_PX]
    small_rim = rim.rescaled(scale)
    runs = {side: _strongest(list(_tangents(ridges, small_rim, side))) for side in (1, -1)}
    full = {side: [_in_full_picture(run, scale) for run in found] for side, found in runs.items()}
    pairs = [
        pair
        for one in full[1]
        for other in full[-1]
        if (pair := _paired(one, other, rim, whirl_px)) is not None
    ]
    return sorted(pairs, key=lambda pair: -pair.score)


def _ridge_map(lab: Pixels, blur_px: float) -> NDArray[np.float32]:
    """Second derivatives (h, w, 3: xx, xy, yy) of the lightness, with their local level taken out."""
    smooth = cv2.GaussianBlur(lab[..., 0], (0, 0), blur_px)
    second = [cv2.Sobel(smooth, cv2.CV_32F, *order, ksize=3) for order in ((2, 0), (1, 1), (0, 2))]
    second = [values * np.float32(blur_px**2 / 4) for values in second]
    size = second[0] ** 2 + 2 * second[1] ** 2 + second[2] ** 2
    level = np.sqrt(cv2.GaussianBlur(size, (0, 0), 8.0)) + 1.0
    return np.dstack([values / level for values in second])


def _tangents(ridges: list[NDArray[np.float32]], rim: Ellipse, side: int) -> Iterator[BandRun]:
    """The best tangent of each direction on one side of the wheel."""
    for angle in np.arange(0.0, 2 * np.pi, DIRECTION_STEP_RAD):
        along = np.array([np.cos(angle), np.sin(angle)])
        outward = side * np.array([-along[1], along[0]])
        touch, _ = rim.support(outward[None])
        starts = rim.centre_px + PITCH_SHARES[:, None] * (touch[0] - rim.centre_px)
        # Up to where it leaves the rim's outline the cord lies hidden in its groove.
        hidden_px = rim.mean_radius_px * np.sqrt(np.maximum(1 - PITCH_SHARES**2, 0.0)) * 1.02 + 4
        evidence, reach_px = _evidence(ridges, starts, along, outward, hidden_px)
        best = int(evidence.argmax())
        yield BandRun(
            side,
            starts[best] + hidden_px[best] * along,
            starts[best] + reach_px[best] * along,
            float(PITCH_SHARES[best]),
            float(evidence[best]),
        )


def _evidence(
    ridges: list[NDArray[np.float32]],
    starts: Points,
    along: Points,
    outward: Points,
    hidden_px: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Evidence (n,) for a cord on each ray, summed to where it is greatest, and that distance."""
    distances = hidden_px[:, None] + np.arange(0.0, LONGEST_RUN * SEARCH_RADIUS_PX, SAMPLE_STEP_PX)
    x = (starts[:, :1] + along[0] * distances).astype(np.float32)
    y = (starts[:, 1:] + along[1] * distances).astype(np.float32)
    height, width = ridges[0].shape[:2]
    outside = (x < 2) | (x > width - 3) | (y < 2) | (y > height - 3)
    weights = np.array([outward[0] ** 2, 2 * outward[0] * outward[1], outward[1] ** 2], np.float32)
    best, reach = np.full(len(starts), -np.inf), np.zeros(len(starts))
    for ridge in ridges:
        curvature = cv2.remap(ridge, x, y, cv2.INTER_LINEAR) @ weights
        for polarity in (-1.0, 1.0):  # lighter than its sides, darker than its sides
            says = np.clip(polarity * curvature, -0.5, 1.2) - USUAL_RIDGE
            says[outside] = -0.3
            total = np.cumsum(says, axis=1) * SAMPLE_STEP_PX
            last = total.argmax(axis=1)
            value = total[np.arange(len(total)), last]
            better = value > best
            best = np.where(better, value, best)
            reach = np.where(better, distances[np.arange(len(last)), last], reach)
    return best, reach


def _strongest(runs: list[BandRun]) -> list[BandRun]:
    """The strongest runs, none within a degree or so of a stronger one."""
    kept: list[BandRun] = []
    for run in sorted(runs, key=lambda r: -r.strength):
        if all(float(run.direction @ other.direction) < np.cos(0.018) for other in kept):
            kept.append(run)
        if len(kept) == RUNS_KEPT:
            break
    return kept


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
    past_meeting = float(np.maximum(seen / reach - 1.0, 0.0).sum())
    unequal = abs(float(np.log(seen[0] / seen[1])))
    strength = 2 * np.sqrt(max(one.strength, 0.0) * max(other.strength, 0.0))
    unlikely_pitch = sum(abs(run.share - 0.975) / 0.025 for run in (one, other))
    score = strength * np.exp(-4 * past_meeting - 1.5 * unequal - 0.15 * unlikely_pitch)
    pair = RunPair((one, other), meeting, float(score))
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
    return near > 0 and ahead > 0 and far < 0.45 * rim.mean_radius_px and near > 0.15 * far
