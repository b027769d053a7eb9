"""What speaks for a cord along rays: it shows as a thin ridge, darker or lighter than both its sides."""

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from .edges import Pixels

SAMPLE_STEP_PX = 1.5
#: So many rays are looked along in one go: as many as stay in the processor's cache.
BATCH = 250
#: What a sample must show, in units of the neighbourhood's ridges, to speak for a cord rather than against.
USUAL_RIDGE = 0.35


def ridge_map(lab: Pixels, blur_px: float, level_px: float) -> NDArray[np.float32]:
    """Second derivatives (h, w, 3: xx, xy, yy) of the lightness, with their local level taken out."""
    smooth = cv2.GaussianBlur(lab[..., 0], (0, 0), blur_px)
    second = [cv2.Sobel(smooth, cv2.CV_32F, *order, ksize=3) for order in ((2, 0), (1, 1), (0, 2))]
    second = [values * np.float32(blur_px**2 / 4) for values in second]
    size = second[0] ** 2 + 2 * second[1] ** 2 + second[2] ** 2
    level = np.sqrt(cv2.GaussianBlur(size, (0, 0), level_px)) + 1.0
    return np.dstack([values / level for values in second])


def cord_evidence(
    ridges: list[NDArray[np.float32]],
    starts: Points,
    along: Points,
    hidden_px: NDArray[np.float64],
    longest_px: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Evidence (n,) for a cord on each ray, summed to where it is greatest, and that distance (n,) in pixels.

    Parameters
    ----------
    ridges : list of (h, w, 3) array
        Maps of one picture, each for cords of another thickness.
    starts, along : (n, 2) array
        Where the rays start, and their unit directions.
    hidden_px : (n,) array
        Over so long a way no cord is to be seen.
    longest_px : float
        How far they are followed after that; not beyond the picture.
    """
    lengths_px = np.minimum(_leaves_after(starts, along, ridges[0].shape) - hidden_px, longest_px)
    evidence, reach_px = np.empty(len(starts)), np.empty(len(starts))
    # Those go together that leave the picture after about the same way.
    order = np.argsort(lengths_px)
    for some in np.array_split(order, -(-len(order) // BATCH)):
        evidence[some], reach_px[some] = _evidence(
            ridges, starts[some], along[some], hidden_px[some], float(lengths_px[some[-1]])
        )
    return evidence, reach_px


def _leaves_after(starts: Points, along: Points, shape: tuple[int, ...]) -> NDArray[np.float64]:
    """How far (n,) rays run until they are outside the picture for good."""
    away = np.array([shape[1], shape[0]]) - 1 - starts
    with np.errstate(divide="ignore", invalid="ignore"):
        ways = np.where(along > 0, away / along, np.where(along < 0, -starts / along, np.inf))
    return np.asarray(ways.min(axis=1))


def _evidence(
    ridges: list[NDArray[np.float32]],
    starts: Points,
    along: Points,
    hidden_px: NDArray[np.float64],
    length_px: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Evidence (n,) for a cord on each ray, summed to where it is greatest, and that distance.

    Rays are followed over a length behind what is hidden; what lies farther away is outside the picture.
    """
    steps = np.arange(0.0, max(length_px, SAMPLE_STEP_PX), SAMPLE_STEP_PX)
    distances = (hidden_px[:, None] + steps).astype(np.float32)
    x = starts[:, :1].astype(np.float32) + along[:, :1].astype(np.float32) * distances
    y = starts[:, 1:].astype(np.float32) + along[:, 1:].astype(np.float32) * distances
    height, width = ridges[0].shape[:2]
    outside = (x < 2) | (x > width - 3) | (y < 2) | (y > height - 3)
    # The second derivative across the ray, whose normal is (-y, x), from those along x and y.
    squares = np.column_stack([along[:, 1] ** 2, -2 * along[:, 0] * along[:, 1], along[:, 0] ** 2])
    across = squares.astype(np.float32)[:, :, None]
    best, last = np.full(len(starts), -np.inf), np.zeros(len(starts), dtype=np.intp)
    for ridge in ridges:
        seen = cv2.remap(ridge, x, y, cv2.INTER_LINEAR)
        curvature = (seen @ across)[..., 0]
        for polarity in (np.float32(-1), np.float32(1)):  # lighter than its sides, darker than its sides
            says = polarity * curvature
            np.clip(says, -0.5, 1.2, out=says)
            says -= np.float32(USUAL_RIDGE)
            np.copyto(says, np.float32(-0.3), where=outside)
            total = np.cumsum(says, axis=1, out=says)
            top = total.argmax(axis=1)
            value = total[np.arange(len(total)), top] * SAMPLE_STEP_PX
            better = value > best
            best, last = np.where(better, value, best), np.where(better, top, last)
    return best, distances[np.arange(len(last)), last].astype(np.float64)
