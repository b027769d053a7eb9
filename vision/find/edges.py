"""Edges: the colour gradient of a picture, and sub-pixel edge positions across a guessed outline."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from ..open.picture import cielab

Pixels = NDArray[np.float32]

#: Step across an outline, in pixels; edges are blurred over more than that.
PROFILE_STEP_PX = 0.5


@dataclass(frozen=True, slots=True)
class Gradient:
    """Gradient of the CIELAB channel that changes most at each pixel, with its local level taken out.

    ``x`` and ``y`` are (h, w), in units of the root mean square gradient of the neighbourhood.
    """

    x: Pixels
    y: Pixels

    @property
    def size(self) -> Pixels:
        """Length of the gradient, (h, w)."""
        return np.hypot(self.x, self.y)


def lab_pixels(bgr: NDArray[np.uint8], scale: float = 1.0) -> Pixels:
    """Pixels as CIELAB (h, w, 3), shrunk by ``scale`` (never enlarged)."""
    if scale < 1.0:
        bgr = np.asarray(cv2.resize(bgr, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA))
    return cielab(bgr)


def colour_gradient(lab: Pixels, neighbourhood_px: float, floor: float = 2.0) -> Gradient:
    """Normalised colour gradient. ``floor`` is the gradient (grey values) below which nothing counts."""
    smooth = cv2.GaussianBlur(lab, (0, 0), 1.0)
    along_x, along_y = (
        np.asarray(cv2.Sobel(smooth, cv2.CV_32F, *order), np.float32) for order in ((1, 0), (0, 1))
    )
    size = np.square(along_x)
    size += np.square(along_y)
    x, y, most = (each[..., 0].copy() for each in (along_x, along_y, size))
    for channel in (1, 2):
        stronger = size[..., channel] > most
        for each, change in ((x, along_x), (y, along_y), (most, size)):
            np.copyto(each, change[..., channel], where=stronger)
    level = np.sqrt(cv2.GaussianBlur(x**2 + y**2, (0, 0), neighbourhood_px)) + floor
    return Gradient(np.asarray(x / level, np.float32), np.asarray(y / level, np.float32))


@dataclass(frozen=True, slots=True)
class EdgePoints:
    """Edges met on lines across an outline.

    Attributes
    ----------
    line : (n,) int array
        Index of the line on which each edge was met.
    points_px : (n, 2) array
    strength : (n,) array
        Gradient in grey values a pixel.
    """

    line: NDArray[np.intp]
    points_px: Points
    strength: NDArray[np.float64]

    def chosen(self, keep: NDArray[np.bool_]) -> "EdgePoints":
        """Return the edges for which ``keep`` is true."""
        return EdgePoints(self.line[keep], self.points_px[keep], self.strength[keep])


def edges_across(
    lab: Pixels,
    outline_px: Points,
    normals: Points,
    reach_px: float,
    *,
    most: int = 3,
    weakest: float = 0.25,
    along: float = 1.0,
) -> EdgePoints:
    """Edges on short lines across an outline, to a fraction of a pixel.

    Parameters
    ----------
    lab : (h, w, 3) array
    outline_px, normals : (n, 2) array
        Midpoints of the lines and their unit directions; neighbours in the array are neighbours along the
        outline, and are averaged a little against noise.
    reach_px : float
        How far the lines reach to either side.
    most : int
        How many edges to keep a line, the strongest first.
    weakest : float
        Edges below this share of the line's strongest are dropped.
    along : float
        Over how many neighbouring lines they are averaged (standard deviation of a Gaussian).
    """
    offsets = np.arange(-reach_px, reach_px + PROFILE_STEP_PX / 2, PROFILE_STEP_PX)
    steepness = _steepness(lab, outline_px, normals, offsets, along)
    lines, columns = _local_maxima(steepness, most, weakest)
    shift = _vertex(steepness, lines, columns)
    distance_px = offsets[columns] + shift * PROFILE_STEP_PX
    points = outline_px[lines] + normals[lines] * distance_px[:, None]
    return EdgePoints(lines, points, steepness[lines, columns])


def highest_on_lines(values: NDArray[np.floating], line: NDArray[np.intp]) -> NDArray[np.floating]:
    """Highest values (lines, m) of the edges (n, m) on each line that has one, lines in a row.

    NumPy's ``maximum.reduceat`` does the same, several times as slowly: lines have few edges.
    """
    firsts = np.flatnonzero(np.diff(line, prepend=-1))
    counts = np.diff(firsts, append=len(line))
    highest = values[firsts]
    for further in range(1, int(counts.max(initial=0))):
        has = counts > further
        highest[has] = np.maximum(highest[has], values[firsts[has] + further])
    return highest


def _steepness(
    lab: Pixels, outline_px: Points, normals: Points, offsets: NDArray[np.float64], along: float
) -> NDArray[np.float64]:
    """Length of the colour change a pixel along each line, (n, len(offsets)); 0 outside the picture."""
    x = (outline_px[:, :1] + normals[:, :1] * offsets).astype(np.float32)
    y = (outline_px[:, 1:] + normals[:, 1:] * offsets).astype(np.float32)
    profiles = cv2.remap(lab, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    blurred = cv2.GaussianBlur(profiles, (0, 0), sigmaX=1.0 / PROFILE_STEP_PX, sigmaY=along)
    smooth = np.asarray(blurred, dtype=np.float32)
    change = np.empty_like(smooth)
    np.subtract(smooth[:, 2:], smooth[:, :-2], out=change[:, 1:-1])
    change[:, 1:-1] /= 2 * PROFILE_STEP_PX
    change[:, 0] = (smooth[:, 1] - smooth[:, 0]) / PROFILE_STEP_PX
    change[:, -1] = (smooth[:, -1] - smooth[:, -2]) / PROFILE_STEP_PX
    change *= change
    steepness = np.sqrt(change[..., 0] + change[..., 1] + change[..., 2])
    height, width = lab.shape[:2]
    if min(x.min(), y.min()) < 1 or x.max() > width - 2 or y.max() > height - 2:
        steepness[(x < 1) | (x > width - 2) | (y < 1) | (y > height - 2)] = 0.0
    return np.asarray(steepness, dtype=np.float64)


def _local_maxima(
    steepness: NDArray[np.float64], most: int, weakest: float
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    inner = steepness[:, 1:-1]
    peaks = np.where((inner >= steepness[:, :-2]) & (inner > steepness[:, 2:]), inner, 0.0)
    rows, least = np.arange(len(peaks)), np.maximum(weakest * steepness.max(axis=1), 1.0)
    ranked = np.empty((len(peaks), most), np.intp)
    keep = np.empty((len(peaks), most), dtype=bool)
    # A few of the highest are found sooner than all are put in order.
    for rank in range(most):
        ranked[:, rank] = column = peaks.argmax(axis=1)
        keep[:, rank] = peaks[rows, column] > least
        peaks[rows, column] = 0.0
    lines, ranks = np.nonzero(keep)
    return lines, ranked[lines, ranks] + 1


def _vertex(
    values: NDArray[np.float64], lines: NDArray[np.intp], columns: NDArray[np.intp]
) -> NDArray[np.float64]:
    """Offset (n,) in samples of the parabola's top through a peak and its two neighbours."""
    before, top, after = (values[lines, columns + k] for k in (-1, 0, 1))
    return np.asarray((before - after) / (2 * (before - 2 * top + after) - 1e-9))
