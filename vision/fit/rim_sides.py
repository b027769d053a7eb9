"""The rim's two sides told apart: which of its round edges is the front one, and which the back one.

A rim has a front and a back edge of one radius, a hand's breadth of wood apart at the most. Seen at a slant
the back edge shows beyond the front one on one side of the wheel, and where front and background are alike it
is the clearer of the two; an ellipse drawn through the clearest edges then mixes both and leans. So both
edges are explained at once, by one plane, one radius and a width. Together they make the wheel's outline
against what is behind it, which is the surest edge of all: within it lie those of light and shade, and of the
groove.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..find.edges import edges_across, highest_on_lines
from ..find.rim import RimEdge
from ..geometry.camera import Camera
from ..geometry.circle_pose import CirclePose, circle_poses
from ..geometry.ellipse import fit_ellipse
from ..open.picture import Picture
from .side_curves import LINES, EdgesAcross, SideCurves

#: How far lines across the outline reach, as a share of the rim's radius, and edges kept on each.
REACH_SHARE, EDGES_PER_LINE, WEAKEST = 0.035, 5, 0.12
#: Starts are strewn about either pose so far, then twice more about the best, each time less widely; and so
#: many of the best ones are followed.
STARTS, SPREADS, FOLLOWED = 800, (1.0, 0.4, 0.15), (20, 6, 3)
#: How widely: tilt, middle and distance (shares of the reach), width in rim radii (rims are 15 to 45 mm wide,
#: common practice, no source).
TILT_SPREAD_RAD, MIDDLE_SPREAD, WIDTH_SPREAD = np.radians(4.0), 0.5, 0.08
WIDTH_MEAN, WIDTH_DOUBT, WIDTH_PULL_PX = 0.10, 0.05, 10.0
#: So many starts are looked at in one go: as many as stay in the processor's cache.
BATCH = 80
#: An edge within so much of a curve belongs to it, ever closer; as a share of the reach, at last in pixels.
CLOSING = (0.5, 0.3, 0.15, 0.08)
LAST_PX = 1.8
#: Steps of each fit, how far they are damped, and the trial steps (tilts, middle, log distance, width).
NEWTON_STEPS, DAMPING = 5, 1e-3
TRIAL_STEPS = 1e-4 * np.array([0.2, 0.2, 0.05, 0.05, 0.1, 0.3])
#: Where the back edge stands so far outside the front one, the front one is looked for within the outline,
#: where it counts less.
BACK_CLEAR_PX, WITHIN_WEIGHT = 2.0, 0.6
#: The front edge must be seen on so much of the outline.
LEAST_COVER = 0.45

#: An edge larger by this factor is another edge, not the same one found twice.
ANOTHER_EDGE = 1.02
#: An edge seen all round with so little scatter is surely one edge.
SHARP_PX, SHARP_COVER = 0.8, 0.6


@dataclass(frozen=True, slots=True)
class _Sides:
    """Tilt (2), middle's ray (2), log distance, width, in front edge radii; what they explain."""

    vector: NDArray[np.float64]
    support: float


def _by_support(sides: _Sides) -> float:
    return sides.support


def settled_on_front(picture: Picture, rim: RimEdge) -> RimEdge:
    """The rim's front edge, or the edge as it was where front and back cannot be told apart."""
    camera = Camera(picture.focal_px, ((picture.width_px - 1) / 2, (picture.height_px - 1) / 2))
    outline, normals = rim.ellipse.outline(LINES)
    reach_px = max(REACH_SHARE * rim.ellipse.mean_radius_px, 6.0)
    edges = edges_across(picture.lab, outline, normals, reach_px, most=EDGES_PER_LINE, weakest=WEAKEST)
    if len(edges.line) < LINES:
        return rim
    seen = EdgesAcross.of(camera, edges, rim.ellipse)
    best = max(
        (_best(seen, pose, rim, reach_px) for pose in circle_poses(rim.ellipse, camera)), key=_by_support
    )
    front = np.abs(seen.distances_px(best.vector[None])[0]) < LAST_PX
    ellipse = fit_ellipse(edges.points_px[front])
    cover = len(np.unique(edges.line[front])) / LINES
    if ellipse is None or cover < LEAST_COVER:
        return rim
    scatter_px = float(np.sqrt(np.mean(ellipse.distance_px(edges.points_px[front]) ** 2)))
    return RimEdge(ellipse, edges.points_px[front], cover, scatter_px)


def front_of(picture: Picture, likeliest: RimEdge, outermost: RimEdge) -> RimEdge:
    """The front edge of the rim, which is its outermost edge wherever that is seen sharply.

    Turned rings on the face of a rim are even and seen all round, but how high they stand is not known.
    """
    if outermost.ellipse.mean_radius_px > ANOTHER_EDGE * likeliest.ellipse.mean_radius_px:
        front = settled_on_front(picture, outermost)
        if front.scatter_px < SHARP_PX and front.cover > SHARP_COVER:
            return front
    return settled_on_front(picture, likeliest)


def _best(seen: EdgesAcross, pose: CirclePose, rim: RimEdge, reach_px: float) -> _Sides:
    """Both sides fitted from the best of many starts about a pose."""
    rng = np.random.default_rng(0)
    rough = seen.rough()
    best = _Sides(_as_vector(pose), 0.0)
    for spread, most in zip(SPREADS, FOLLOWED, strict=True):
        starts = _strewn(best.vector, spread, reach_px / rim.ellipse.mean_radius_px, rng)
        supports = _supports(rough, starts, CLOSING[1] * spread * reach_px + LAST_PX)
        followed = _closed_in(seen, starts[np.argsort(supports)[-most:]], spread * reach_px)
        best = max([best, *followed], key=_by_support)
    return best


def _as_vector(pose: CirclePose) -> NDArray[np.float64]:
    tilt_x, tilt_y = pose.tilt_rotation
    x, y, depth = pose.centre
    return np.array([tilt_x, tilt_y, x / depth, y / depth, np.log(depth), WIDTH_MEAN])


def _strewn(
    middle: NDArray[np.float64], spread: float, reach: float, rng: np.random.Generator
) -> NDArray[np.float64]:
    """Starts (n, 6) about one; ``reach`` is that of the lines as a share of the rim's radius."""
    radius = float(np.exp(-middle[4]))
    moved = MIDDLE_SPREAD * reach
    widest = [TILT_SPREAD_RAD, TILT_SPREAD_RAD, moved * radius, moved * radius, moved, WIDTH_SPREAD]
    starts = middle + spread * np.array(widest) * rng.uniform(-1.0, 1.0, (STARTS, 6))
    starts[:, 5] = np.maximum(starts[:, 5], 0.0)
    return np.asarray(starts)


def _closed_in(seen: EdgesAcross, starts: NDArray[np.float64], reach_px: float) -> list[_Sides]:
    """Fit to the edges nearest to either curve, from each start, in rounds that let ever fewer belong to it.

    All starts (m, 6) are followed at once; one from which too few edges are near stays where it is.
    """
    vectors, followed = starts, np.ones(len(starts), dtype=bool)
    for share in CLOSING:
        close_px = max(share * reach_px, LAST_PX)
        front, back = (_nearest(seen, vectors, close_px, back=side) for side in (False, True))
        followed &= front.near.sum(axis=1) >= LINES * LEAST_COVER / 2
        if not followed.any():
            break
        vectors = np.where(followed[:, None], _least_squares(seen, vectors, front, back), vectors)
    supports = _supports_of(seen, vectors, LAST_PX, going_on=True).tolist()
    return [_Sides(vector, support) for vector, support in zip(vectors, supports, strict=True)]


@dataclass(frozen=True, slots=True)
class _Nearest:
    """Of each line the edge (starts, lines) that is nearest to a curve, and whether it is near (0 or 1)."""

    edge: NDArray[np.intp]
    near: NDArray[np.float64]


def _nearest(seen: EdgesAcross, vectors: NDArray[np.float64], close_px: float, *, back: bool) -> _Nearest:
    """The edges nearest to the front or the back curve by each vector (m, 6)."""
    away_px = np.abs(seen.distances_px(vectors, back=back))
    away_px = np.column_stack([away_px, np.full(len(vectors), np.inf)])[:, seen.grid]
    edge = seen.grid[np.arange(len(seen.grid)), away_px.argmin(axis=2)]
    return _Nearest(edge, (away_px.min(axis=2) < close_px).astype(float))


def _least_squares(
    seen: EdgesAcross, starts: NDArray[np.float64], front: _Nearest, back: _Nearest
) -> NDArray[np.float64]:
    """A few damped Gauss-Newton steps, the slopes taken from small trial steps that are reckoned at once."""
    edge = np.concatenate([front.edge, back.edge], axis=1)
    near = np.concatenate([front.near, back.near], axis=1)[:, None]
    is_back = np.arange(edge.shape[1]) >= front.edge.shape[1]
    across, squares = seen.rays[edge].swapaxes(1, 2), seen.squares[edge][:, None]

    def misfits(vectors: NDArray[np.float64]) -> NDArray[np.float64]:
        prior = WIDTH_PULL_PX * (vectors[..., 5:] - WIDTH_MEAN) / WIDTH_DOUBT
        curves = SideCurves.by(vectors, across, squares, seen.camera.focal_px)
        away_px = curves.distances_px(np.where(is_back, curves.back, curves.front))
        return np.concatenate([away_px * near, prior], axis=2)

    vectors = starts
    trials = np.vstack([np.zeros(6), np.diag(TRIAL_STEPS)])
    for _ in range(NEWTON_STEPS):
        seen_at = misfits(vectors[:, None] + trials)
        slopes = seen_at[:, 1:] - seen_at[:, :1]
        square = slopes @ slopes.swapaxes(1, 2)
        damped = square + DAMPING * np.eye(6) * (square + 1e-12)
        steps = np.linalg.solve(damped, slopes @ seen_at[:, 0, :, None])[..., 0]
        vectors = vectors - TRIAL_STEPS * steps
    return vectors


def _supports(seen: EdgesAcross, vectors: NDArray[np.float64], close_px: float) -> NDArray[np.float64]:
    """What many vectors (m, 6) explain, (m,): on how many lines an edge lies close to their curves."""
    parts = [_supports_of(seen, vectors[k : k + BATCH], close_px) for k in range(0, len(vectors), BATCH)]
    return np.concatenate(parts)


def _supports_of(
    seen: EdgesAcross, vectors: NDArray[np.float64], close_px: float, *, going_on: bool = False
) -> NDArray[np.float64]:
    """The same for a few; ``going_on``: only edges count that go on beside a curve."""
    curves = seen.curves(vectors)
    front_px, back_px = curves.distances_px(curves.front), curves.distances_px(curves.back)
    total = np.zeros(len(vectors))
    for away_px, weight in ((np.minimum(front_px, back_px), 1.0), (front_px, WITHIN_WEIGHT)):
        nearness = away_px / away_px.dtype.type(close_px)
        np.square(nearness, out=nearness)
        np.subtract(1, nearness, out=nearness)
        np.maximum(nearness, 0, out=nearness)
        nearness *= seen.counts
        if going_on:
            nearness *= seen.going_on(away_px, close_px)
        if away_px is front_px:
            nearness *= back_px < -BACK_CLEAR_PX
        on_lines = highest_on_lines(np.ascontiguousarray(nearness.T), seen.line)
        total += weight * np.ascontiguousarray(on_lines.T).sum(axis=1)
    return total
