"""Many ellipses drawn at once through edges picked by chance, and how many edges lie on each.

In coordinates about a rough ellipse's middle, in units of its radius, a conic is
a x^2 + b x y + c y^2 + d x + e y = 1. All draws are solved and tried together, as arrays.
"""

import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Ellipse, Points
from .edges import EdgePoints, highest_on_lines

Numbers = NDArray[np.float64]

#: So many ellipses are drawn, and of those that differ by so many pixels the best ones are kept.
DRAWS, KEPT, UNLIKE_PX = 800, 12, 0.7
#: Support is counted on every so-manieth line.
THINNED = 1
#: Lines across the outline are put into so many sectors, and an edge is picked from each, and one more.
SECTORS = 5
#: A conic through picked edges must be about as round and as large as the rough ellipse it came from.
LEAST_ROUND = 0.7
#: Keeps the equations of a draw solvable in which an edge was picked twice.
FAINT = 1e-9


def drawn_ellipses(
    edges: EdgePoints, rough: Ellipse, reach_px: float, close_px: float, rng: np.random.Generator
) -> list[Ellipse]:
    """A few unlike ellipses through picked edges (random sample consensus), that most edges lie on first.

    Parameters
    ----------
    edges : EdgePoints
        On lines all round ``rough``.
    rough : Ellipse
    reach_px : float
        How far the edges were looked for; ellipses further off than twice that are left out.
    close_px : float
        An edge nearer than this lies on an ellipse.
    rng : numpy.random.Generator
    """
    picked = _picked(edges, rng)
    if not len(picked):
        return []
    scale_px = rough.mean_radius_px
    places = (edges.points_px - rough.centre_px) / scale_px
    x, y = places.T
    design = np.column_stack([x**2, x * y, y**2, x, y])
    conics = _solved(design[picked])
    middles, axes, angles = _shapes(conics)
    shift_px = scale_px * np.linalg.norm(middles, axis=1)
    growth_px = scale_px * np.abs(np.sqrt(axes.prod(axis=1)) - 1)
    with np.errstate(invalid="ignore"):
        likely = (shift_px < 2 * reach_px) & (growth_px < 2 * reach_px)
        likely &= axes.min(axis=1) > LEAST_ROUND * axes.max(axis=1)
    conics, middles, axes, angles = conics[likely], middles[likely], axes[likely], angles[likely]
    supports = _supports(edges, design, conics, close_px / scale_px)
    best = _unlike(np.column_stack([middles, axes]) * scale_px, np.argsort(-supports))
    found = []
    for k in best:
        x_px, y_px = rough.centre_px + scale_px * middles[k]
        long_px, short_px = scale_px * axes[k]
        found.append(Ellipse(float(x_px), float(y_px), float(long_px), float(short_px), float(angles[k])))
    return found


def _unlike(sizes_px: Numbers, order: NDArray[np.intp]) -> list[int]:
    """The first few in an order whose middles and axes (m, 4) differ from those of all before them."""
    kept: list[int] = []
    for k in order.tolist():
        if all(np.abs(sizes_px[k] - sizes_px[other]).max() > UNLIKE_PX for other in kept):
            kept.append(k)
        if len(kept) == KEPT:
            break
    return kept


def edge_weights(edges: EdgePoints) -> Numbers:
    """What each edge (n,) counts: up to twice as much as the usual one."""
    usual = float(np.median(edges.strength))
    return np.asarray(np.minimum(edges.strength, 2 * usual) / usual)


def _picked(edges: EdgePoints, rng: np.random.Generator) -> NDArray[np.intp]:
    """Six edges a draw, (DRAWS, up to 6), from all round; none if much of the outline shows no edge."""
    lines = int(edges.line.max(initial=0)) + 1
    sectors = [np.nonzero(edges.line * SECTORS // lines == k)[0] for k in range(SECTORS)]
    sectors = [sector for sector in sectors if len(sector)]
    if len(sectors) < SECTORS - 1:
        return np.zeros((0, 0), np.intp)
    picks = [sector[rng.integers(len(sector), size=DRAWS)] for sector in sectors]
    return np.column_stack([*picks, rng.integers(len(edges.line), size=DRAWS)])


def _solved(design: Numbers) -> Numbers:
    """Least-squares conics (m, 5) of the rows (m, k, 5) picked for each."""
    normal = np.einsum("mki,mkj->mij", design, design) + FAINT * np.eye(5)
    return np.asarray(np.linalg.solve(normal, design.sum(axis=1)[..., None])[..., 0])


def _shapes(conics: Numbers) -> tuple[Points, Points, Numbers]:
    """Middles (m, 2), semi-axes (m, 2) and the first one's angle (m,); not a number where no ellipse."""
    a, b, c, d, e = conics.T
    with np.errstate(divide="ignore", invalid="ignore"):
        twice_area = 4 * a * c - b**2
        x, y = (b * e - 2 * c * d) / twice_area, (b * d - 2 * a * e) / twice_area
        level = 1 - 0.5 * (d * x + e * y)
        mean, half = 0.5 * (a + c) / level, 0.5 * np.hypot(a - c, b) / level
        axes = 1 / np.sqrt(np.column_stack([mean - half, mean + half]))
    # The longer axis lies along the smaller curvature.
    return np.column_stack([x, y]), axes, 0.5 * np.arctan2(-b, c - a)


def _supports(edges: EdgePoints, design: Numbers, conics: Numbers, close: float) -> Numbers:
    """On how many lines (m,) an edge lies on each conic, the closer the better.

    The distance is that of Sampson: level over slope.
    """
    counted_on = edges.line % THINNED == 0
    weights = edge_weights(edges)[counted_on].astype(np.float32)
    design = design[counted_on].astype(np.float32)
    x, y = design[:, 3:].T
    ones = np.ones_like(x)
    a, b, c, d, e = conics.T.astype(np.float32)
    level = design @ conics.T.astype(np.float32) - np.float32(1)
    along_x = np.column_stack([x, y, ones]) @ np.array([2 * a, b, d])
    along_y = np.column_stack([x, y, ones]) @ np.array([b, 2 * c, e])
    slope = np.square(along_x, out=along_x)
    slope += np.square(along_y, out=along_y)
    slope *= np.float32(close**2)
    nearness = np.square(level, out=level)
    nearness /= slope
    counted = np.maximum(np.subtract(1, nearness, out=nearness), 0, out=nearness)
    counted *= weights[:, None]
    return np.asarray(highest_on_lines(counted, edges.line[counted_on]).sum(axis=0), dtype=np.float64)
