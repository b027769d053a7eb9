"""Circles on which many edges agree: each edge votes for the middles that lie straight before and behind it.

The direction of an edge is good to a few degrees, so the larger a circle, the further its votes are strewn;
those of large circles are counted in wider boxes, which tells as much and takes a fraction of the time.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from heapq import merge

import cv2
import numpy as np
from numpy.typing import NDArray

from .edges import Gradient, Pixels, colour_gradient

#: Direction of an edge is good to about so much, which spreads the votes for a circle's middle; and the least
#: spread.
DIRECTION_DOUBT_RAD, LEAST_SPREAD_PX = 0.05, 0.8
#: Votes are counted in boxes of so many pixels, as wide as the spread is that many times the least one.
BOXES_PX = (1, 2, 4)
#: An edge votes if its gradient is greater than this.
LEAST_GRADIENT = 0.6
#: Circles are one if their middles, in x and y, and their radii differ by no more than these shares of the
#: radius, or by this many pixels.
ALIKE_MIDDLE, ALIKE_RADIUS, ALIKE_PX = 0.08, 0.04, 2


@dataclass(frozen=True, slots=True)
class VotedCircle:
    """A circle in pixels, and the share of it that speaks for it."""

    x_px: float
    y_px: float
    radius_px: float
    votes: float

    def like(self, other: "VotedCircle") -> bool:
        """Whether both are one circle."""
        middle_px, radius_px = _alike_px(other.radius_px)
        return (
            abs(self.radius_px - other.radius_px) <= radius_px
            and max(abs(self.x_px - other.x_px), abs(self.y_px - other.y_px)) <= middle_px
        )


def likely_circles(lab: Pixels, radii_px: tuple[float, float], most: int) -> list[VotedCircle]:
    """The circles (at most so many) for which most edges speak, the likeliest first.

    Parameters
    ----------
    lab : (n, n, 3) array
    radii_px : tuple of float
        Circles between these radii are looked for.
    most : int
    """
    side = lab.shape[0]
    edges = _thin_edges(colour_gradient(lab, side / 10))
    radii = np.arange(*radii_px)[1:-1]
    boxes = np.array(BOXES_PX)[np.searchsorted(BOXES_PX, _spread_px(radii) / LEAST_SPREAD_PX, "right") - 1]
    found = [
        _clearest(_votes(*edges, some, side, box), some, box)
        for box in BOXES_PX
        if len(some := radii[boxes == box])
    ]
    kept: list[VotedCircle] = []
    for circle in merge(*found, key=lambda circle: -circle.votes):
        if len(kept) == most or circle.votes <= 0.0:
            break
        if not any(circle.like(other) for other in kept):
            kept.append(circle)
    return kept


def _spread_px(radius_px: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.maximum(LEAST_SPREAD_PX, DIRECTION_DOUBT_RAD * radius_px)


def _alike_px(radius_px: float) -> tuple[int, int]:
    """How far middles and radii of circles may differ that are one."""
    return max(ALIKE_PX, int(ALIKE_MIDDLE * radius_px)), max(ALIKE_PX, int(ALIKE_RADIUS * radius_px))


def _thin_edges(gradient: Gradient) -> tuple[Pixels, Pixels]:
    """Pixels (2: x y, n) where the gradient is greatest across an edge, and its unit directions (2, n)."""
    size = gradient.size
    unit_x, unit_y = gradient.x / (size + 1e-6), gradient.y / (size + 1e-6)
    row, column = np.indices(size.shape, dtype=np.float32)
    ahead = cv2.remap(size, column + unit_x, row + unit_y, cv2.INTER_LINEAR)
    behind = cv2.remap(size, column - unit_x, row - unit_y, cv2.INTER_LINEAR)
    rows, columns = np.nonzero((size >= ahead) & (size > behind) & (size > LEAST_GRADIENT))
    across = np.stack([unit_x[rows, columns], unit_y[rows, columns]])
    return np.stack([columns, rows]).astype(np.float32), across.astype(np.float32)


def _votes(
    places: Pixels,
    across: Pixels,
    radii_px: NDArray[np.float64],
    side: int,
    box: int,
) -> Pixels:
    """Votes (radii, boxes, boxes) for each radius and for those next to it."""
    # One more at either end has neighbours for the first and the last.
    around = [radii_px[0] - 1, *radii_px.tolist(), radii_px[-1] + 1]
    count = -(-side // box)
    single = (_middle_votes(places, across, radius, count, box) for radius in around)
    votes = np.empty((len(radii_px), count, count), np.float32)
    # Each is added as it comes, while it is in the processor's cache.
    before, at = next(single), next(single)
    for k, after in enumerate(single):
        cv2.add(before, after, dst=votes[k])
        votes[k] += at
        before, at = at, after
    return votes


def _middle_votes(places: Pixels, across: Pixels, radius_px: float, count: int, box: int) -> Pixels:
    """Share of a circle (count, count) that speaks for a middle in each box.

    Places and directions across edges are (2, n): there are tens of thousands, and rows of numbers are
    carried further at once.
    """
    away = np.float32(radius_px) * across
    ends = np.empty((2, 2 * len(away[0])), np.float32)
    np.add(places, away, out=ends[:, : len(away[0])])
    np.subtract(places, away, out=ends[:, len(away[0]) :])
    ends += np.float32(0.5)
    ends *= np.float32(1 / box)
    np.floor(ends, out=ends)
    # A rim of boxes takes what lies outside.
    np.minimum(np.maximum(ends, -1, out=ends), count, out=ends)
    columns, rows = ends.astype(np.int32) + 1
    rimmed = count + 2
    counted = np.bincount(rows * rimmed + columns, minlength=rimmed**2).reshape(rimmed, rimmed)
    counts = counted[1:-1, 1:-1].astype(np.float32)
    spread = max(LEAST_SPREAD_PX, DIRECTION_DOUBT_RAD * radius_px) / box
    blurred = np.asarray(cv2.GaussianBlur(counts, (0, 0), spread), dtype=np.float32)
    blurred *= np.float32(spread**2 / radius_px)
    return blurred


def _clearest(votes: Pixels, radii_px: NDArray[np.float64], box: int) -> Iterator[VotedCircle]:
    """The circles of the highest votes (radii, boxes, boxes) that are left; those for circles like it go."""
    # The highest vote of each row is kept, so that only rows which change are looked through again.
    highest = votes.max(axis=2)
    while True:
        k, row = divmod(int(highest.argmax()), votes.shape[1])
        column = int(votes[k, row].argmax())
        radius, vote = float(radii_px[k]), float(highest[k, row])
        x, y = (box * (at + 0.5) - 0.5 for at in _top(votes[k], row, column))
        middle_px, alike = _alike_px(radius)
        near = max(1, middle_px // box)
        rows = slice(max(0, k - alike), k + alike + 1), slice(max(0, row - near), row + near + 1)
        votes[*rows, max(0, column - near) : column + near + 1] = 0.0
        highest[rows] = votes[rows].max(axis=2)
        yield VotedCircle(x, y, radius, vote)


def _top(votes: Pixels, row: int, column: int) -> tuple[float, float]:
    """Column and row of the top of the parabolas through the highest of votes (n, n) and its neighbours."""
    tops = []
    for line, at in ((votes[row], column), (votes[:, column], row)):
        before, top, after = (float(line[min(max(at + step, 0), len(line) - 1)]) for step in (-1, 0, 1))
        bend = 2 * top - before - after
        tops.append(at + (np.clip(0.5 * (after - before) / bend, -0.5, 0.5) if bend > 0 else 0.0))
    return float(tops[0]), float(tops[1])
