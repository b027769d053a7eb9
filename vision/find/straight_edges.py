"""Straight pieces of edge, and a map that tells at once which kinds of edge run past a pixel.

Six kinds are told apart: a rise or a fall of each of the three colour channels. Along one side of a real
thing an edge mostly keeps its kind, along a chance row of edges it does not.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points

Numbers = NDArray[np.float64]

#: Edges count from this share of the neighbourhood's usual gradient, taken over so many pixels.
CLEAR_EDGE, LEVEL_PX = 0.9, 10.0
#: Directions of edges are told apart in so many sectors, and maps are kept for so many directions of a side.
SECTORS, SIDES = 64, 16
#: An edge lies on a side if it runs within this angle of it.
MOST_SLANT_RAD = np.arctan(1 / 1.5)
KINDS = 6


@dataclass(frozen=True, slots=True)
class Segments:
    """Straight edges: starts and ends (n, 2), the longest first."""

    starts: Points
    ends: Points

    @property
    def lengths(self) -> Numbers:
        """Lengths (n,)."""
        return np.asarray(np.linalg.norm(self.ends - self.starts, axis=1))

    @property
    def middles(self) -> Points:
        """Middles (n, 2)."""
        return 0.5 * (self.starts + self.ends)

    @property
    def along(self) -> Points:
        """Unit directions (n, 2)."""
        return np.asarray((self.ends - self.starts) / self.lengths[:, None])


def straight_edges(
    lab: NDArray[np.float32], lengths_px: tuple[float, float], most: int, closeness: float
) -> Segments:
    """The longest straight edges of a picture (h, w, 3), in lightness or in colour, of lengths in a range.

    ``closeness`` is the scale at which they are looked for: a small one is quick, and noise is averaged.
    """
    ends = np.concatenate([_segments(channel, closeness) for channel in np.moveaxis(lab, 2, 0)])
    lengths = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    fitting = (lengths >= lengths_px[0]) & (lengths <= lengths_px[1])
    kept = np.flatnonzero(fitting)[np.argsort(-lengths[fitting])][:most]
    return Segments(ends[kept, 0], ends[kept, 1])


def _segments(channel: NDArray[np.float32], closeness: float) -> Points:
    """Ends (n, 2, 2) of straight edges in one channel, its contrast stretched as far as it goes."""
    low, high = np.percentile(channel[::4, ::4], [1, 99])
    stretched = channel - low
    stretched *= 255 / max(high - low, 32.0)
    np.clip(stretched, 0, 255, out=stretched)
    finder = cv2.createLineSegmentDetector(cv2.LSD_REFINE_NONE, closeness)
    segments = finder.detect(stretched.astype(np.uint8, order="C"))[0]
    return np.asarray([] if segments is None else segments, dtype=float).reshape(-1, 2, 2)


class EdgeKinds:
    """Which kinds of edge run past each pixel along any direction.

    ``maps`` (SIDES, h, w) hold a bit a kind, for sides whose normals point in SIDES directions of half a
    turn; an edge counts one pixel to either side of where it runs.
    """

    def __init__(self, lab: NDArray[np.float32]) -> None:
        sectors = [np.ascontiguousarray(each) for each in np.moveaxis(_sectors(lab), 2, 0)]
        self.maps = np.stack([_map_of(sectors, side) for side in range(SIDES)])

    def seen(self, places: Points, normals: Points) -> NDArray[np.uint8]:
        """Kinds (m, k), a bit each, at places (m, k, 2) on sides with normals (m, 2); none outside."""
        _, height, width = self.maps.shape
        side = np.rint(np.arctan2(normals[:, 1], normals[:, 0]) * SIDES / np.pi).astype(np.intp) % SIDES
        x, y = np.rint(places[..., 0]).astype(np.intp), np.rint(places[..., 1]).astype(np.intp)
        inside = (x >= 0) & (x < width) & (y >= 0) & (y < height)
        flat = (side[:, None] * height + np.where(inside, y, 0)) * width + np.where(inside, x, 0)
        return np.asarray(np.where(inside, self.maps.ravel().take(flat), 0), dtype=np.uint8)


def share_of_kinds(seen: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Share (m, KINDS) of places (m, k) at which each kind of edge is seen."""
    return np.stack([((seen >> kind) & 1).mean(axis=1, dtype=np.float32) for kind in range(KINDS)], axis=1)


def _sectors(lab: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Direction in which each channel rises, 1 to SECTORS, (h, w, 3); 0 where no edge is clear."""
    smooth = cv2.GaussianBlur(lab, (0, 0), 0.8)
    x, y = (np.asarray(cv2.Sobel(smooth, cv2.CV_32F, *order), np.float32) for order in ((1, 0), (0, 1)))
    angle = np.asarray(cv2.phase(x.ravel(), y.ravel()), dtype=np.float32).reshape(x.shape)
    angle *= np.float32(SECTORS / (2 * np.pi))
    sector = angle.astype(np.uint8)
    sector %= SECTORS
    sector += 1
    square = np.square(x, out=x)
    square += np.square(y, out=y)
    usual = np.asarray(cv2.blur(square, (int(3 * LEVEL_PX),) * 2), dtype=np.float32)
    # Running sums leave tiny negative numbers where nothing is.
    np.sqrt(np.maximum(usual, 0, out=usual), out=usual)
    usual += np.float32(4.0)
    usual *= np.float32(CLEAR_EDGE)
    sector *= square > np.square(usual, out=usual)
    return sector


def _map_of(sectors: Sequence[NDArray[np.uint8]], side: int) -> NDArray[np.uint8]:
    """Kinds (h, w) that run along one side, widened by a pixel across it; sectors (h, w) of each channel."""
    normal = side * np.pi / SIDES
    facing = np.cos((np.arange(SECTORS) + 0.5) * 2 * np.pi / SECTORS - normal)
    rises, falls = facing > np.cos(MOST_SLANT_RAD), facing < -np.cos(MOST_SLANT_RAD)
    height, width = sectors[0].shape
    padded = np.zeros((height + 2, width + 2), np.uint8)
    kinds = padded[1:-1, 1:-1]
    for channel, sector in enumerate(sectors):
        table = np.zeros(256, np.uint8)
        table[1 : SECTORS + 1] = rises * (1 << channel) + falls * (8 << channel)
        kinds |= np.asarray(cv2.LUT(sector, table), dtype=np.uint8)
    x, y = round(np.cos(normal)), round(np.sin(normal))
    one, other = (padded[1 + s * y : 1 + s * y + height, 1 + s * x : 1 + s * x + width] for s in (1, -1))
    return np.asarray((kinds | one) | other, dtype=np.uint8)
