"""A rectangle of known shape and unknown size, looked for squarely in band plane coordinates.

Every straight piece of edge may lie on one of its sides. The view is turned so that this side lies level;
then sums along rows and columns tell at once how well any rectangle on it is outlined.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from .outlines import CORNER_SHARE
from .round_parts import SquareView

#: Edges count from this share of the neighbourhood's usual gradient.
CLEAR_EDGE = 0.8
#: Beyond its corners a side must end: so far, as a share of its length, an edge running on counts against it.
ENDS_SHARE, ENDS_WEIGHT = 0.25, 0.25
#: A side must show an edge over this share of its length, and all four together over that share.
LEAST_SIDE, LEAST_MEAN = 0.3, 0.55
SEEDS = 120
SIZE_STEPS = 36
#: Over so many view pixels the local contrast is taken.
LEVEL_PX = 10.0


@dataclass(frozen=True, slots=True)
class Rectangle:
    """Corners (4, 2) clockwise as seen, the first side a long one, and how completely the sides are seen."""

    corners_px: Points
    outlined: float


def find_rectangles(
    view: SquareView, aspect: float, long_side_px: tuple[float, float], most: int = 16
) -> list[Rectangle]:
    """Rectangles in view pixels with long side / short side = ``aspect``, the best outlined first.

    Parameters
    ----------
    view : SquareView
    aspect : float
        At least 1.
    long_side_px : tuple of float
        Shortest and longest long side, in view pixels.
    """
    found: list[Rectangle] = []
    even = _even_contrast(view.lab)
    for start, end in _seeds(view.lab, 0.3 * long_side_px[0] / aspect):
        candidate = _best_on_side(even, start, end, aspect, long_side_px)
        if candidate is not None:
            found.append(candidate)
    found.sort(key=lambda r: -r.outlined)
    distinct: list[Rectangle] = []
    for rectangle in found:
        middle = rectangle.corners_px.mean(axis=0)
        reach = 0.2 * long_side_px[0]
        if all(np.hypot(*(middle - other.corners_px.mean(axis=0))) > reach for other in distinct):
            distinct.append(rectangle)
    return distinct[:most]


def _seeds(lab: NDArray[np.float32], least_px: float) -> list[tuple[Points, Points]]:
    """Straight pieces of edge, in lightness or in colour, the longest first."""
    ends = np.concatenate([_segments(channel) for channel in np.moveaxis(lab, 2, 0)])
    lengths = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    kept = [k for k in np.argsort(-lengths) if lengths[k] >= least_px][:SEEDS]
    return [(ends[k, 0], ends[k, 1]) for k in kept]


def _segments(channel: NDArray[np.float32]) -> Points:
    """Ends (n, 2, 2) of straight edges in one channel, its contrast stretched as far as it goes."""
    low, high = np.percentile(channel, [1, 99])
    stretched = np.clip((channel - low) * (255 / max(high - low, 32.0)), 0, 255)
    segments = cv2.createLineSegmentDetector().detect(np.ascontiguousarray(stretched.astype(np.uint8)))[0]
    return np.asarray([] if segments is None else segments, dtype=float).reshape(-1, 2, 2)


@dataclass(frozen=True, slots=True)
class _Patch:
    """Surroundings of one seed, turned so that it lies level in row ``top``, its middle in column ``reach``.

    The running sums (6, rows, columns) count level edges along rows and upright ones along columns. The six
    kinds are a rise or a fall of each of the three colour channels: along one side of a real thing an edge
    mostly keeps its kind, along a chance row of edges it does not.
    """

    level_sums: NDArray[np.float32]
    upright_sums: NDArray[np.float32]
    reach: int
    top: int


def _even_contrast(lab: NDArray[np.float32]) -> NDArray[np.float32]:
    """The view with its slow changes taken out, in units of the local gradient, each channel by itself."""
    smooth = cv2.GaussianBlur(lab, (0, 0), 0.8)
    x, y = cv2.Sobel(smooth, cv2.CV_32F, 1, 0), cv2.Sobel(smooth, cv2.CV_32F, 0, 1)
    level = np.sqrt(cv2.GaussianBlur(x**2 + y**2, (0, 0), LEVEL_PX)) + np.float32(4.0)
    return np.asarray((smooth - cv2.GaussianBlur(smooth, (0, 0), LEVEL_PX)) / level, dtype=np.float32)


def _best_on_side(
    even: NDArray[np.float32], start: Points, end: Points, aspect: float, long_side_px: tuple[float, float]
) -> Rectangle | None:
    """The best outlined rectangle below a level side through start and end, in the view turned that way.

    Both senses of the segment are tried, so that the rectangle may lie on either side of it.
    """
    best: Rectangle | None = None
    reach, top = int(1.15 * long_side_px[1]) + 8, int(ENDS_SHARE * long_side_px[1]) + 2
    half_seed = 0.5 * float(np.linalg.norm(end - start))
    for one, other in ((start, end), (end, start)):
        along = (other - one) / np.linalg.norm(other - one)
        across = np.array([-along[1], along[0]])
        origin = 0.5 * (one + other) - reach * along - top * across
        to_view = np.column_stack([along, across, origin])
        size = (2 * reach + 1, reach + 2 * top)
        pixels = cv2.warpAffine(even, to_view, size, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP)
        patch = _Patch(*_edge_sums(np.asarray(pixels, dtype=np.float32)), reach, top)
        for level_is_long in (True, False):
            box = _best_box(patch, half_seed, aspect, long_side_px, level_is_long)
            if box is not None and (best is None or box[0] > best.outlined):
                score, left, right, bottom = box
                corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]], dtype=float)
                if not level_is_long:
                    corners = np.roll(corners, -1, axis=0)
                best = Rectangle(origin + corners[:, :1] * along + corners[:, 1:] * across, score)
    return best


def _edge_sums(patch: NDArray[np.float32]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Running sums of level edges along rows, and of upright ones along columns; each counts 0 or 1."""
    x, y = cv2.Sobel(patch, cv2.CV_32F, 1, 0), cv2.Sobel(patch, cv2.CV_32F, 0, 1)
    lies = np.where(np.abs(y) > 1.5 * np.abs(x), y, np.float32(0))
    stands = np.where(np.abs(x) > 1.5 * np.abs(y), x, np.float32(0))
    level_kinds = cv2.dilate(_kinds(lies), np.ones((3, 1)))
    upright_kinds = cv2.dilate(_kinds(stands), np.ones((1, 3)))
    return (
        np.cumsum(level_kinds.transpose(2, 0, 1), axis=2, dtype=np.float32),
        np.cumsum(upright_kinds.transpose(2, 0, 1), axis=1, dtype=np.float32),
    )


def _kinds(edges: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Where there is a clear edge (rows, columns, 6) of each kind."""
    return np.concatenate([edges > CLEAR_EDGE, edges < -CLEAR_EDGE], axis=2).view(np.uint8)


def _best_box(
    patch: _Patch, half_seed: float, aspect: float, long_side_px: tuple[float, float], level_is_long: bool
) -> tuple[float, int, int, int] | None:
    """Score, left, right and bottom of the best outlined box whose top side covers the seed."""
    longs = np.geomspace(*long_side_px, SIZE_STEPS)
    widths = np.rint(longs if level_is_long else longs / aspect).astype(int)
    heights = np.rint(longs / aspect if level_is_long else longs).astype(int)
    left, width = np.meshgrid(np.arange(0, 2 * patch.reach - 4, 2), widths, indexing="ij")
    bottom = patch.top + np.broadcast_to(heights, left.shape)
    right = left + width
    covers_seed = (left <= patch.reach - 0.6 * half_seed + 3) & (right >= patch.reach + 0.6 * half_seed - 3)
    ok = covers_seed & (right < patch.level_sums.shape[2] - 1) & (bottom < patch.level_sums.shape[1] - 2)
    if not ok.any():
        return None
    left, right, bottom = left[ok], right[ok], bottom[ok]
    top = np.full_like(left, patch.top)
    turned_sums = patch.upright_sums.transpose(0, 2, 1)
    sides = np.stack(
        [
            _side(patch.level_sums, top, left, right),
            _side(patch.level_sums, bottom, left, right),
            _side(turned_sums, left, top, bottom),
            _side(turned_sums, right, top, bottom),
        ]
    )
    score = np.where(sides.min(axis=0) > LEAST_SIDE, sides.mean(axis=0), 0.0)
    k = int(score.argmax())
    if score[k] < LEAST_MEAN:
        return None
    return float(score[k]), int(left[k]), int(right[k]), int(bottom[k])


def _side(
    sums: NDArray[np.float32], row: NDArray[np.intp], first: NDArray[np.intp], last: NDArray[np.intp]
) -> NDArray[np.float32]:
    """How far rows (n,) show an edge between two columns and not beyond, by the kind that does it best.

    The sides of a thing end at its corners; joints of bricks and boards run on.
    """
    trim = np.rint(CORNER_SHARE * (last - first)).astype(int) + 1
    reach = np.rint(ENDS_SHARE * (last - first)).astype(np.intp)
    before = _mean_between(sums, row, first - reach, first - trim)
    beyond = _mean_between(sums, row, last + trim, last + reach)
    inside = _mean_between(sums, row, first + trim, last - trim)
    return np.asarray((inside - ENDS_WEIGHT * (before + beyond)).max(axis=0))


def _mean_between(
    sums: NDArray[np.float32], row: NDArray[np.intp], first: NDArray[np.intp], last: NDArray[np.intp]
) -> NDArray[np.float32]:
    """Share (6, n) of edges of each kind between two columns of a row; none outside the patch."""
    end = sums.shape[2] - 1
    first, last = np.clip(first, 0, end), np.clip(last, 0, end)
    return np.asarray((sums[:, row, last] - sums[:, row, first]) / np.maximum(last - first, 1))
