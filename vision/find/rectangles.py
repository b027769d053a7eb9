"""A rectangle of known shape and unknown size, looked for squarely in band plane coordinates.

Every straight piece of edge may lie on one of its sides. The view is turned so that this side lies level;
then sums along rows and columns tell at once how well any rectangle on it is outlined.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from .edges import edges_across
from .round_parts import SquareView

#: Edges count from this share of the neighbourhood's usual gradient.
CLEAR_EDGE = 0.8
#: Corners are rounded or worn; so much of each side's ends is not asked for an edge.
CORNER_SHARE = 0.08
#: A side must show an edge over this share of its length, and all four together over that share.
LEAST_SIDE, LEAST_MEAN = 0.35, 0.6
SEEDS = 120
SIZE_STEPS = 36
SIDE_SAMPLES = 120
REFINE_REACH_PX = 4.0
LINE_TOLERANCE_PX = 0.9


@dataclass(frozen=True, slots=True)
class Rectangle:
    """Corners (4, 2) clockwise as seen, the first side a long one, and how completely the sides are seen."""

    corners_px: Points
    outlined: float


def find_rectangles(
    view: SquareView, aspect: float, long_side_px: tuple[float, float], most: int = 4
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
    grey = np.ascontiguousarray(view.lab[..., 0]).astype(np.uint8)
    found: list[Rectangle] = []
    for start, end in _seeds(grey, 0.3 * long_side_px[0] / aspect):
        candidate = _best_on_side(view, start, end, aspect, long_side_px)
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


def _seeds(grey: NDArray[np.uint8], least_px: float) -> list[tuple[Points, Points]]:
    """Straight pieces of edge, the longest first."""
    segments = cv2.createLineSegmentDetector().detect(grey)[0]
    if segments is None:
        return []
    ends = np.asarray(segments, dtype=float).reshape(-1, 2, 2)
    lengths = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    ranked = np.argsort(-lengths)
    kept = [k for k in ranked if lengths[k] >= least_px][:SEEDS]
    return [(ends[k, 0], ends[k, 1]) for k in kept]


def _best_on_side(
    view: SquareView, start: Points, end: Points, aspect: float, long_side_px: tuple[float, float]
) -> Rectangle | None:
    """The best outlined rectangle below a level side through start and end, in the view turned that way.

    Both senses of the segment are tried, so that the rectangle may lie on either side of it.
    """
    best: Rectangle | None = None
    reach = int(1.15 * long_side_px[1]) + 8
    for one, other in ((start, end), (end, start)):
        along = (other - one) / np.linalg.norm(other - one)
        across = np.array([-along[1], along[0]])
        middle = 0.5 * (one + other)
        # Patch pixel (column, row) lies at middle + (column - reach) * along + (row - 8) * across.
        origin = middle - reach * along - 8 * across
        to_view = np.column_stack([along, across, origin])
        patch = cv2.warpAffine(
            view.lab, to_view, (2 * reach + 1, reach + 16), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        )
        level_sums, upright_sums = _edge_sums(np.asarray(patch, dtype=np.float32))
        half = 0.5 * float(np.linalg.norm(end - start))
        for level_is_long in (True, False):
            box = _best_box(level_sums, upright_sums, reach, half, aspect, long_side_px, level_is_long)
            if box is not None and (best is None or box[0] > best.outlined):
                score, left, right, bottom = box
                corners = np.array([[left, 8], [right, 8], [right, bottom], [left, bottom]], dtype=float)
                if not level_is_long:
                    corners = np.roll(corners, -1, axis=0)
                best = Rectangle(origin + corners[:, :1] * along + corners[:, 1:] * across, score)
    return best


def _edge_sums(patch: NDArray[np.float32]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Running sums (6, rows, columns) of level edges along rows, and of upright edges along columns.

    Each edge counts 0 or 1. The six kinds are a rise or a fall of each of the three colour channels: along
    one side of a real thing an edge mostly keeps its kind, along a chance row of edges it does not.
    """
    smooth = cv2.GaussianBlur(patch, (0, 0), 0.8)
    x, y = cv2.Sobel(smooth, cv2.CV_32F, 1, 0), cv2.Sobel(smooth, cv2.CV_32F, 0, 1)
    level = np.sqrt(cv2.GaussianBlur(x**2 + y**2, (0, 0), 10.0)) + np.float32(4.0)
    lies = np.where(np.abs(y) > 1.5 * np.abs(x), y, np.float32(0)) / level
    stands = np.where(np.abs(x) > 1.5 * np.abs(y), x, np.float32(0)) / level
    level_kinds = [cv2.dilate(_counted(k), np.ones((3, 1))) for k in _kinds(np.asarray(lies, np.float32))]
    upright_kinds = [cv2.dilate(_counted(k), np.ones((1, 3))) for k in _kinds(np.asarray(stands, np.float32))]
    return np.cumsum(level_kinds, axis=2), np.cumsum(upright_kinds, axis=1)


def _kinds(edges: NDArray[np.float32]) -> list[NDArray[np.float32]]:
    return [sense * edges[..., channel] for channel in range(3) for sense in (1, -1)]


def _counted(edges: NDArray[np.float32]) -> NDArray[np.float32]:
    return (edges > CLEAR_EDGE).astype(np.float32)


def _best_box(
    level_sums: NDArray[np.float32],
    upright_sums: NDArray[np.float32],
    reach: int,
    half_seed: float,
    aspect: float,
    long_side_px: tuple[float, float],
    level_is_long: bool,
) -> tuple[float, int, int, int] | None:
    """Score, left, right and bottom of the best outlined box whose top lies on row 8 across the seed."""
    longs = np.geomspace(*long_side_px, SIZE_STEPS)
    widths = np.rint(longs if level_is_long else longs / aspect).astype(int)
    heights = np.rint(longs / aspect if level_is_long else longs).astype(int)
    lefts = np.arange(0, 2 * reach - 4, 2)
    left, width = np.meshgrid(lefts, widths, indexing="ij")
    bottom = 8 + np.broadcast_to(heights, left.shape)
    right = left + width
    covers_seed = (left <= reach - 0.6 * half_seed + 3) & (right >= reach + 0.6 * half_seed - 3)
    ok = covers_seed & (right < level_sums.shape[2] - 1) & (bottom < level_sums.shape[1] - 2)
    if not ok.any():
        return None
    left, right, bottom = left[ok], right[ok], bottom[ok]
    trim = np.rint(CORNER_SHARE * (right - left)).astype(int) + 1
    fall = np.rint(CORNER_SHARE * (bottom - 8)).astype(int) + 1
    sides = np.stack(
        [
            _mean_between(level_sums, 8, left + trim, right - trim),
            _mean_between(level_sums, bottom, left + trim, right - trim),
            _mean_between(upright_sums.transpose(0, 2, 1), left, 8 + fall, bottom - fall),
            _mean_between(upright_sums.transpose(0, 2, 1), right, 8 + fall, bottom - fall),
        ]
    )
    score = np.where(sides.min(axis=0) > LEAST_SIDE, sides.mean(axis=0), 0.0)
    k = int(score.argmax())
    if score[k] < LEAST_MEAN:
        return None
    return float(score[k]), int(left[k]), int(right[k]), int(bottom[k])


def _mean_between(
    sums: NDArray[np.float32],
    row: NDArray[np.intp] | int,
    first: NDArray[np.intp],
    last: NDArray[np.intp],
) -> NDArray[np.float32]:
    """Share of edges (n,) between two columns of a row, of the kind that is most frequent there."""
    return np.asarray(((sums[:, row, last] - sums[:, row, first]) / np.maximum(last - first, 1)).max(axis=0))


def refined_corners(lab: NDArray[np.float32], corners_px: Points) -> tuple[Points, float] | None:
    """Corners (4, 2) as the crossings of straight lines fitted to the sides, and the lines' scatter.

    Rounded corners are left out of the fits, so the crossings are those of the full rectangle. None if a
    side shows no straight edge.
    """
    lines = []
    scatter = []
    for k in range(4):
        line = _side_line(lab, corners_px[k], corners_px[(k + 1) % 4])
        if line is None:
            return None
        lines.append(line[0])
        scatter.append(line[1])
    corners = [_crossing(lines[k - 1], lines[k]) for k in range(4)]
    return np.array(corners), float(np.sqrt(np.mean(np.square(scatter))))


def _side_line(
    lab: NDArray[np.float32], start: Points, end: Points
) -> tuple[tuple[Points, Points], float] | None:
    """A point and direction of the straight edge along a side, and the scatter of its points."""
    share = np.linspace(CORNER_SHARE, 1 - CORNER_SHARE, SIDE_SAMPLES)[:, None]
    along = (end - start) / np.linalg.norm(end - start)
    normals = np.broadcast_to([-along[1], along[0]], (SIDE_SAMPLES, 2))
    edges = edges_across(lab, start + share * (end - start), np.asarray(normals), REFINE_REACH_PX)
    rng = np.random.default_rng(0)
    best_count, best = 0, np.zeros(len(edges.line), dtype=bool)
    if len(edges.line) < 20:
        return None
    for _ in range(150):
        one, other = edges.points_px[rng.choice(len(edges.line), 2, replace=False)]
        length = float(np.linalg.norm(other - one))
        if length < 10:
            continue
        across = np.array([one[1] - other[1], other[0] - one[0]]) / length
        near = np.abs((edges.points_px - one) @ across) < LINE_TOLERANCE_PX
        count = len(np.unique(edges.line[near]))
        if count > best_count:
            best_count, best = count, near
    if best_count < LEAST_SIDE * SIDE_SAMPLES:
        return None
    points = edges.points_px[best]
    middle = points.mean(axis=0)
    _, spread, axes = np.linalg.svd(points - middle, full_matrices=False)
    return (middle, axes[0]), float(spread[1] / np.sqrt(len(points)))


def _crossing(one: tuple[Points, Points], other: tuple[Points, Points]) -> Points:
    reach = np.linalg.solve(np.column_stack([one[1], -other[1]]), other[0] - one[0])
    return np.asarray(one[0] + reach[0] * one[1])
