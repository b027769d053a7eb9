"""The curves of a rim's front and back edge in the picture, and the edges by which they are told.

Front and back edge are circles of one radius, a rim's width apart. A vector of six numbers says where they
are: tilt (2), the ray of the front one's middle (2), the logarithm of its distance, and the width; lengths
are in radii.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..find.chains import in_chains
from ..find.edges import EdgePoints
from ..geometry.camera import Camera
from ..geometry.ellipse import Ellipse
from ..geometry.plane import tilted

#: Lines across the outline.
LINES = 360
#: An edge that goes on over so many lines is of something that runs along the rim.
LEAST_LINES = 12
#: What edges count: the outermost one of a line that goes on along the rim 1, for it parts the wheel from
#: what is behind it; edges within, of light and shade or a groove, less; chance ones, as of wood's grain,
#: little.
WITHIN, CHANCE = 0.5, 0.25


@dataclass(frozen=True, slots=True)
class EdgesAcross:
    """Edges (n,) on lines across the outline, as rays (n, 3) of the camera, and the squares (n,) of these.

    ``grid`` (lines, k) numbers the edges of each line that has one, n where it has fewer than others.
    ``counts`` (n,) is what each counts, 0 to 1.
    """

    camera: Camera
    line: NDArray[np.intp]
    rays: NDArray[np.floating]
    squares: NDArray[np.floating]
    grid: NDArray[np.intp]
    counts: NDArray[np.floating]

    @classmethod
    def of(cls, camera: Camera, edges: EdgePoints, outline: Ellipse) -> "EdgesAcross":
        """The edges met on ``LINES`` lines across an outline."""
        rays = np.column_stack([camera.rays_from_pixels(edges.points_px), np.ones(len(edges.line))])
        _, firsts, row, counts = np.unique(
            edges.line, return_index=True, return_inverse=True, return_counts=True
        )
        number = np.arange(len(edges.line))
        grid = np.full((len(firsts), int(counts.max())), len(number))
        grid[row, number - firsts[row]] = number
        return cls(camera, edges.line, rays, (rays * rays).sum(axis=-1), grid, _what_counts(edges, outline))

    def rough(self) -> "EdgesAcross":
        """The edges in single precision: enough to tell good starts from bad."""
        rays = self.rays.astype(np.float32)
        squares, counts = (rays * rays).sum(axis=-1), self.counts.astype(np.float32)
        return EdgesAcross(self.camera, self.line, rays, squares, self.grid, counts)

    def curves(self, vectors: NDArray[np.float64]) -> "SideCurves":
        """The curves by vectors (m, 6), all edges being asked for."""
        return SideCurves.by(vectors, self.rays.T, self.squares, self.camera.focal_px)

    def distances_px(self, vectors: NDArray[np.float64], *, back: bool = False) -> NDArray[np.floating]:
        """Distance (m, n) of edges from the front or the back curve by vectors (m, 6), outside positive."""
        curves = self.curves(vectors)
        return curves.distances_px(curves.back if back else curves.front)

    def going_on(self, away_px: NDArray[np.floating], near_px: float) -> NDArray[np.bool_]:
        """Which edges (m, n) near to curves go on beside them: what crosses a curve is near it for a while.

        ``away_px`` (m, n) is how far each lies from each curve.
        """
        curve, edge = np.nonzero(np.abs(away_px) < near_px)
        goes_on = np.zeros(away_px.shape, dtype=bool)
        lines, near = curve * LINES + self.line[edge], away_px[curve, edge].astype(np.float64)
        goes_on[curve, edge] = in_chains(lines, near, LINES, LEAST_LINES)
        return goes_on


def _what_counts(edges: EdgePoints, outline: Ellipse) -> NDArray[np.float64]:
    middles, normals = outline.outline(LINES)
    away_px = ((edges.points_px - middles[edges.line]) * normals[edges.line]).sum(axis=1)
    goes_on = in_chains(edges.line, away_px, LINES, LEAST_LINES)
    outermost = np.full(LINES, -np.inf)
    np.maximum.at(outermost, edges.line[goes_on], away_px[goes_on])
    along_the_rim = np.where(away_px >= outermost[edges.line], 1.0, WITHIN)
    return np.where(goes_on, along_the_rim, CHANCE)


@dataclass(frozen=True, slots=True)
class SideCurves:
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
    ) -> "SideCurves":
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
        radius /= reach
        return np.asarray(radius)
