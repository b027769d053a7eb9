"""The rim's two sides told apart: which of its round edges is the front one, and which the back one.

A rim has a front and a back edge of one radius, a hand's breadth of wood apart at the most. Seen at a slant
the back edge shows beyond the front one on one side of the wheel, and where front and background are alike it
is the clearer of the two; an ellipse drawn through the clearest edges then mixes both and leans. So both
edges are explained at once, by one plane, one radius and a width.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..find.edges import EdgePoints, edges_across, highest_on_lines
from ..find.rim import RimEdge
from ..geometry.camera import Camera
from ..geometry.circle_pose import CirclePose, circle_poses
from ..geometry.ellipse import fit_ellipse
from ..geometry.plane import tilted
from ..open.picture import Picture

#: Lines across the outline, their reach as a share of the rim's radius, and edges kept on each.
LINES, REACH_SHARE, EDGES_PER_LINE, WEAKEST = 360, 0.035, 5, 0.12
#: Starts are strewn about either pose so far, then twice more about the best, each time less widely: tilt,
#: middle and distance (shares of the reach), width in rim radii (rims are 15 to 45 mm wide, common practice,
#: no source).
STARTS, FOLLOWED, SPREADS = 800, 6, (1.0, 0.4, 0.15)
TILT_SPREAD_RAD, MIDDLE_SPREAD, WIDTH_SPREAD = np.radians(4.0), 0.5, 0.08
WIDTH_MEAN, WIDTH_DOUBT, WIDTH_PULL_PX = 0.10, 0.05, 10.0
#: So many starts are looked at in one go: as many as stay in the processor's cache.
BATCH = 80
#: An edge within so much of a curve belongs to it, ever closer; as a share of the reach, at last in pixels.
CLOSING = (0.5, 0.3, 0.15, 0.08)
LAST_PX = 1.8
#: Steps of each fit, how far they are damped, and the trial steps (tilts, middle, log distance, width).
NEWTON_STEPS, DAMPING = 8, 1e-3
TRIAL_STEPS = 1e-4 * np.array([0.2, 0.2, 0.05, 0.05, 0.1, 0.3])
#: The back edge is looked for only where it stands so far outside the front one.
BACK_CLEAR_PX = 2.0
#: What the back edge counts beside the front one.
BACK_WEIGHT = 0.6
#: The front edge must be seen on so much of the outline.
LEAST_COVER = 0.45

#: An edge larger by this factor is another edge, not the same one found twice.
ANOTHER_EDGE = 1.02
#: An edge seen all round with so little scatter is surely one edge.
SHARP_PX, SHARP_COVER = 0.8, 0.6


@dataclass(frozen=True, slots=True)
class _Seen:
    """Edges (n,) on lines across the outline, as rays (n, 3) of the camera, and the squares (n,) of these.

    ``grid`` (lines, k) numbers the edges of each line that has one, n where it has fewer than others.
    """

    camera: Camera
    line: NDArray[np.intp]
    rays: NDArray[np.floating]
    squares: NDArray[np.floating]
    grid: NDArray[np.intp]

    @classmethod
    def of_edges(cls, camera: Camera, edges: EdgePoints) -> "_Seen":
        rays = np.column_stack([camera.rays_from_pixels(edges.points_px), np.ones(len(edges.line))])
        _, firsts, row, counts = np.unique(
            edges.line, return_index=True, return_inverse=True, return_counts=True
        )
        number = np.arange(len(edges.line))
        grid = np.full((len(firsts), int(counts.max())), len(number))
        grid[row, number - firsts[row]] = number
        return cls(camera, edges.line, rays, (rays * rays).sum(axis=-1), grid)

    def rough(self) -> "_Seen":
        """The edges in single precision: enough to tell good starts from bad."""
        rays = self.rays.astype(np.float32)
        return _Seen(self.camera, self.line, rays, (rays * rays).sum(axis=-1), self.grid)

    def distances_px(self, vectors: NDArray[np.float64], *, back: bool = False) -> NDArray[np.floating]:
        """Distance (m, n) of edges from the front or the back curve by vectors (m, 6), outside positive."""
        curves = _Curves.by(vectors, self.rays.T, self.squares, self.camera.focal_px)
        return curves.distances_px(curves.back if back else curves.front)


@dataclass(frozen=True, slots=True)
class _Curves:
    """Front and back curves by vectors (m, 6), and edges (n,) whose distances from them are asked for.

    An edge with the ray d lies t d - o from the middle o, and the part of that along the normal is the
    plane's height; so the radius follows from products of d, o and the normal n alone.
    Of several sets of vectors (f, m, 6), each with edges of its own, all is (f, m, n).

    Attributes
    ----------
    sights, middles : (m, n) array
        n d, and 2 o d.
    squares : (n,) array
        d d.
    level, square : (m, 1) array
        n o, and o o.
    front, back : (m, 1) array
        How high the curves lie.
    """

    sights: NDArray[np.floating]
    middles: NDArray[np.floating]
    squares: NDArray[np.floating]
    level: NDArray[np.floating]
    square: NDArray[np.floating]
    front: NDArray[np.floating]
    back: NDArray[np.floating]
    focal_px: np.floating

    @classmethod
    def by(
        cls,
        vectors: NDArray[np.float64],
        across: NDArray[np.floating],
        squares: NDArray[np.floating],
        focal_px: float,
    ) -> "_Curves":
        """The curves; ``across`` are the edges' rays (3, n), ``squares`` these of theirs."""
        kind = across.dtype
        turned = tilted(vectors[..., :2].reshape(-1, 2))[:, :, 2].reshape(*vectors.shape[:-1], 3)
        normals = -turned.astype(kind)
        sights = np.concatenate([vectors[..., 2:4], np.ones_like(vectors[..., :1])], axis=-1)
        middles = (np.exp(vectors[..., 4:5]) * sights).astype(kind)
        back = -vectors[..., 5:].astype(kind)
        return cls(
            normals @ across,
            2 * (middles @ across),
            squares,
            (normals * middles).sum(axis=-1, keepdims=True),
            (middles * middles).sum(axis=-1, keepdims=True),
            np.zeros_like(back),
            back,
            kind.type(focal_px),
        )

    def distances_px(self, height: NDArray[np.floating]) -> NDArray[np.floating]:
        """Distance (m, n) of the edges from the curves at a height, or each at one of its own (m, n)."""
        reach = (height + self.level) / self.sights
        radius = reach * self.squares
        radius -= self.middles
        radius *= reach
        radius += self.square - height**2
        np.sqrt(np.maximum(radius, 0, out=radius), out=radius)
        radius -= 1
        radius *= self.focal_px
        # The third component of a ray is 1, so its reach is the depth.
        return np.asarray(radius / reach)


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
    seen = _Seen.of_edges(camera, edges)
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


def _best(seen: _Seen, pose: CirclePose, rim: RimEdge, reach_px: float) -> _Sides:
    """Both sides fitted from the best of many starts about a pose."""
    rng = np.random.default_rng(0)
    rough = seen.rough()
    best = _Sides(_as_vector(pose), 0.0)
    for spread in SPREADS:
        starts = _strewn(best.vector, spread, reach_px / rim.ellipse.mean_radius_px, rng)
        supports = _supports(rough, starts, CLOSING[1] * spread * reach_px + LAST_PX)
        followed = _closed_in(seen, starts[np.argsort(supports)[-FOLLOWED:]], spread * reach_px)
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


def _closed_in(seen: _Seen, starts: NDArray[np.float64], reach_px: float) -> list[_Sides]:
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
    supports = _supports(seen, vectors, LAST_PX).tolist()
    return [_Sides(vector, support) for vector, support in zip(vectors, supports, strict=True)]


@dataclass(frozen=True, slots=True)
class _Nearest:
    """Of each line the edge (starts, lines) that is nearest to a curve, and whether it is near (0 or 1)."""

    edge: NDArray[np.intp]
    near: NDArray[np.float64]


def _nearest(seen: _Seen, vectors: NDArray[np.float64], close_px: float, *, back: bool) -> _Nearest:
    """The edges nearest to the front or the back curve by each vector (m, 6)."""
    away_px = np.abs(seen.distances_px(vectors, back=back))
    away_px = np.column_stack([away_px, np.full(len(vectors), np.inf)])[:, seen.grid]
    edge = seen.grid[np.arange(len(seen.grid)), away_px.argmin(axis=2)]
    return _Nearest(edge, (away_px.min(axis=2) < close_px).astype(float))


def _least_squares(
    seen: _Seen, starts: NDArray[np.float64], front: _Nearest, back: _Nearest
) -> NDArray[np.float64]:
    """A few damped Gauss-Newton steps, the slopes taken from small trial steps that are reckoned at once."""
    edge = np.concatenate([front.edge, back.edge], axis=1)
    near = np.concatenate([front.near, back.near], axis=1)[:, None]
    is_back = np.arange(edge.shape[1]) >= front.edge.shape[1]
    across, squares = seen.rays[edge].swapaxes(1, 2), seen.squares[edge][:, None]

    def misfits(vectors: NDArray[np.float64]) -> NDArray[np.float64]:
        prior = WIDTH_PULL_PX * (vectors[..., 5:] - WIDTH_MEAN) / WIDTH_DOUBT
        curves = _Curves.by(vectors, across, squares, seen.camera.focal_px)
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


def _supports(seen: _Seen, vectors: NDArray[np.float64], close_px: float) -> NDArray[np.float64]:
    """What many vectors (m, 6) explain, (m,): on how many lines an edge lies close to their curves."""
    parts = [_supports_of(seen, vectors[k : k + BATCH], close_px) for k in range(0, len(vectors), BATCH)]
    return np.concatenate(parts)


def _supports_of(seen: _Seen, vectors: NDArray[np.float64], close_px: float) -> NDArray[np.float64]:
    curves = _Curves.by(vectors, seen.rays.T, seen.squares, seen.camera.focal_px)
    front_px = curves.distances_px(curves.front)
    total = np.zeros(len(vectors))
    for back, weight in ((False, 1.0), (True, BACK_WEIGHT)):
        nearness = (curves.distances_px(curves.back) if back else front_px) / front_px.dtype.type(close_px)
        np.square(nearness, out=nearness)
        np.subtract(1, nearness, out=nearness)
        np.maximum(nearness, 0, out=nearness)
        if back:
            nearness *= front_px > BACK_CLEAR_PX
        on_lines = highest_on_lines(np.ascontiguousarray(nearness.T), seen.line)
        total += weight * np.ascontiguousarray(on_lines.T).sum(axis=1)
    return total
