"""A rectangle of known shape and unknown size, looked for squarely in band plane coordinates.

Two straight edges that stand square to each other may be two of its sides with a corner between them; two
that run alongside may be opposite sides. Either leaves one number open, which is tried in small steps. What
all these rectangles have round them is then read from a map of edges, first at a few places, then closely.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from .round_parts import SquareView
from .side_lines import CORNER_SHARE
from .straight_edges import EdgeKinds, Segments, share_of_kinds, straight_edges

Numbers = NDArray[np.float64]

#: Beyond its corners a side must end: so far, as a share of its length, an edge running on counts against it.
ENDS_SHARE, ENDS_WEIGHT = 0.25, 0.25
#: A side must show an edge over this share of its length, and all four together over that share.
LEAST_SIDE, LEAST_MEAN = 0.3, 0.55
#: Straight edges that are tried as sides.
SEEDS = 400
#: Sizes tried from the smallest to the largest, and how far apart places along a side are tried, in pixels.
SIZE_STEPS, PLACE_STEP_PX = 40, 2.0
#: Two sides are square or parallel to each other within this angle.
MOST_SKEW_RAD = np.radians(4.0)
#: A side's edge may begin so far from the corner, as a share of the longest side, and run over it a little.
FROM_CORNER, OVER_CORNER_PX = 0.35, 4.0
#: Places looked at on each side at first and closely, and beyond each of its ends.
FEW, MANY, BEYOND = 8, 32, 6
#: The best ones are moved and enlarged by so much, and count as outlined as well within this.
MOVES_PX, GROWTHS, AS_WELL = np.arange(-2.0, 2.5), np.linspace(-0.03, 0.03, 5), 0.015
#: So many rectangles are looked at in one go, and so many of the best at first glance closely.
BATCH, CLOSELY = 20_000, 4000


@dataclass(frozen=True, slots=True)
class Rectangle:
    """Corners (4, 2) clockwise as seen, the first side a long one, and how completely the sides are seen."""

    corners_px: Points
    outlined: float


def find_rectangles(
    view: SquareView,
    aspect: float,
    long_side_px: tuple[float, float],
    closeness: float = 0.6,
    most: int = 16,
) -> list[Rectangle]:
    """Rectangles in view pixels with long side / short side = ``aspect``, the best outlined first.

    Parameters
    ----------
    view : SquareView
    aspect : float
        At least 1.
    long_side_px : tuple of float
        Shortest and longest long side, in view pixels.
    closeness : float
        The scale at which straight edges are looked for.
    most : int
        How many are told at the most.
    """
    lengths_px = 0.3 * long_side_px[0] / aspect, long_side_px[1] + OVER_CORNER_PX
    edges = straight_edges(view.lab, lengths_px, SEEDS, closeness)
    tried = np.concatenate([_on_corners(edges, aspect, long_side_px), _between(edges, aspect, long_side_px)])
    if not len(tried):
        return []
    kinds = EdgeKinds(view.lab)
    glances = np.concatenate([_glance(kinds, tried[k : k + BATCH]) for k in range(0, len(tried), BATCH)])
    tried = tried[np.argsort(-glances)[: min(CLOSELY, int((glances > 0).sum()))]]
    outlined = _outlined(kinds, tried)
    return _distinct(kinds, tried, outlined, 0.2 * long_side_px[0], most)


def _distinct(
    kinds: EdgeKinds, corners: Numbers, outlined: Numbers, apart_px: float, most: int
) -> list[Rectangle]:
    """The best outlined rectangles, each place once."""
    found: list[Rectangle] = []
    middles = corners.mean(axis=1)
    left = outlined >= LEAST_MEAN
    while left.any() and len(found) < most:
        best = int(np.where(left, outlined, 0.0).argmax())
        found.append(_centred(kinds, corners[best]))
        left &= np.linalg.norm(middles - middles[best], axis=1) > apart_px
    return found


def _centred(kinds: EdgeKinds, corners: Numbers) -> Rectangle:
    """The rectangle (4, 2) moved and enlarged a little to the middle of all that are outlined as well.

    An edge counts a pixel to either side, so that many are.
    """
    steps = np.stack(np.meshgrid(MOVES_PX, MOVES_PX, GROWTHS, indexing="ij"), axis=-1).reshape(-1, 3)
    middle = corners.mean(axis=0)
    tried = middle + steps[:, None, :2] + (1 + steps[:, None, 2:]) * (corners - middle)
    outlined = _outlined(kinds, tried)
    best = float(outlined.max())
    return Rectangle(tried[outlined > best - AS_WELL].mean(axis=0), best)


def _sizes(aspect: float, long_side_px: tuple[float, float]) -> Numbers:
    """Sides (2 SIZE_STEPS, 2) that are tried, the first either the long or the short one."""
    longs = np.geomspace(*long_side_px, SIZE_STEPS)
    sides = np.column_stack([longs, longs / aspect])
    return np.concatenate([sides, sides[:, ::-1]])


def _corners(corner: Points, along: Points, across: Points, sides: Numbers, aspect: float) -> Numbers:
    """Corners (m, 4, 2) of rectangles, clockwise as seen, the first side a long one.

    ``corner``, ``along`` and ``across`` are (m, 2), ``sides`` (m, 2) the lengths along and across.
    """
    one = corner + sides[:, :1] * along
    other = corner + sides[:, 1:] * across
    corners = np.stack([corner, one, one + other - corner, other], axis=1)
    turn = along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0]
    corners[turn < 0] = corners[turn < 0][:, ::-1]
    first = np.linalg.norm(corners[:, 1] - corners[:, 0], axis=1)
    short_first = first < np.linalg.norm(corners[:, 2] - corners[:, 1], axis=1)
    corners[short_first] = np.roll(corners[short_first], -1, axis=1)
    return np.asarray(corners)


def _pairs(edges: Segments, sine: tuple[float, float]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Indices of two edges the sine of whose angle lies in a range, each two once."""
    along = edges.along
    turn = np.abs(along[:, None, 0] * along[None, :, 1] - along[:, None, 1] * along[None, :, 0])
    one, other = np.nonzero(np.triu((turn >= sine[0]) & (turn <= sine[1]), 1))
    return one, other


def _on_corners(edges: Segments, aspect: float, long_side_px: tuple[float, float]) -> Numbers:
    """Rectangles (m, 4, 2) with a corner where two edges would meet squarely, of all sizes."""
    one, other = _pairs(edges, (float(np.cos(MOST_SKEW_RAD)), 1.0))
    if not len(one):
        return np.zeros((0, 4, 2))
    along, across = edges.along[one], edges.along[other]
    apart = edges.middles[other] - edges.middles[one]
    turn = along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0]
    reach = (apart[:, 0] * across[:, 1] - apart[:, 1] * across[:, 0]) / turn
    corner = edges.middles[one] + reach[:, None] * along
    seen = []
    directions = []
    for k, direction in ((one, along), (other, across)):
        ends = np.stack([np.sum((e[k] - corner) * direction, axis=1) for e in (edges.starts, edges.ends)])
        sign = np.where(ends.sum(axis=0) < 0, -1.0, 1.0)
        ends = np.sort(ends * sign, axis=0)
        seen.append(ends)
        directions.append(direction * sign[:, None])
    nearest = np.maximum(seen[0][0], seen[1][0])
    over = np.minimum(seen[0][0], seen[1][0])
    furthest = np.maximum(seen[0][1], seen[1][1])
    likely = (nearest < FROM_CORNER * long_side_px[1]) & (over > -OVER_CORNER_PX)
    likely &= furthest < long_side_px[1] + OVER_CORNER_PX
    pair, size = np.nonzero(
        likely[:, None]
        & (seen[0][1][:, None] < (sides := _sizes(aspect, long_side_px))[:, 0] + OVER_CORNER_PX)
        & (seen[1][1][:, None] < sides[:, 1] + OVER_CORNER_PX)
    )
    square = _squared(directions[0][pair], directions[1][pair])
    return _corners(corner[pair], *square, sides[size], aspect)


def _squared(along: Points, across: Points) -> tuple[Points, Points]:
    """Two directions (n, 2) turned by equal angles until they stand square to each other."""
    turned = np.column_stack([-along[:, 1], along[:, 0]])
    sense = np.where(np.sum(turned * across, axis=1) < 0, -1.0, 1.0)[:, None]
    back = -sense * np.column_stack([-across[:, 1], across[:, 0]])
    mean = along + back
    mean /= np.linalg.norm(mean, axis=1, keepdims=True)
    return mean, sense * np.column_stack([-mean[:, 1], mean[:, 0]])


def _between(edges: Segments, aspect: float, long_side_px: tuple[float, float]) -> Numbers:
    """Rectangles (m, 4, 2) of which two edges alongside each other are opposite sides, at all places."""
    one, other = _pairs(edges, (0.0, float(np.sin(MOST_SKEW_RAD))))
    if not len(one):
        return np.zeros((0, 4, 2))
    first, second = edges.along[one], edges.along[other]
    lengths = edges.lengths
    along = lengths[one][:, None] * first
    along += lengths[other][:, None] * second * np.sign(np.sum(first * second, axis=1))[:, None]
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    across = np.column_stack([-along[:, 1], along[:, 0]])
    away = np.sum((edges.middles[other] - edges.middles[one]) * across, axis=1)
    across *= np.sign(away)[:, None]
    places = [
        np.sum((e[k] - edges.middles[one]) * along, axis=1)
        for k in (one, other)
        for e in (edges.starts, edges.ends)
    ]
    low, high = np.min(places, axis=0), np.max(places, axis=0)
    found = []
    for ratio, least, largest in (
        (aspect, long_side_px[0] / aspect, long_side_px[1] / aspect),
        (1 / aspect, *long_side_px),
    ):
        distance = np.abs(away)
        side = ratio * distance
        fits = (distance > 0.98 * least) & (distance < 1.02 * largest) & (high - low < side + OVER_CORNER_PX)
        room = side - (high - low)
        steps = np.where(fits, np.ceil(np.maximum(room, 0.0) / PLACE_STEP_PX) + 1, 0).astype(np.intp)
        pair = np.repeat(np.arange(len(one)), steps)
        step = np.arange(len(pair)) - np.repeat(np.cumsum(steps) - steps, steps)
        share = step / np.maximum(steps[pair] - 1, 1)
        start = (high - side)[pair] + share * room[pair]
        corner = edges.middles[one][pair] + start[:, None] * along[pair]
        sides = np.column_stack([side[pair], distance[pair]])
        found.append(_corners(corner, along[pair], across[pair], sides, aspect))
    return np.concatenate(found)


def _sides(corners: Numbers, shares: Numbers) -> tuple[Points, Points]:
    """Places (4 m, k, 2) at shares (k,) of each side of rectangles (m, 4, 2), and its normals (4 m, 2)."""
    starts = corners.reshape(-1, 2)
    ways = (np.roll(corners, -1, axis=1) - corners).reshape(-1, 2)
    return starts[:, None] + shares[:, None] * ways[:, None], np.column_stack([-ways[:, 1], ways[:, 0]])


def _glance(kinds: EdgeKinds, corners: Numbers) -> Numbers:
    """How completely rectangles (m, 4, 2) seem outlined, by a few places and edges of any kind."""
    places, normals = _sides(corners, np.linspace(CORNER_SHARE, 1 - CORNER_SHARE, FEW))
    seen = (kinds.seen(places, normals) > 0).mean(axis=1).reshape(-1, 4)
    good = (seen.min(axis=1) >= LEAST_SIDE) & (seen.mean(axis=1) >= LEAST_MEAN)
    return np.where(good, seen.mean(axis=1), 0.0)


def _outlined(kinds: EdgeKinds, corners: Numbers) -> Numbers:
    """How completely rectangles are outlined, by the kind of edge that does it best on each side.

    The sides of a thing end at its corners; joints of bricks and boards run on.
    """
    if not len(corners):
        return np.zeros(0)
    inside = np.linspace(CORNER_SHARE, 1 - CORNER_SHARE, MANY)
    ahead = np.linspace(CORNER_SHARE, ENDS_SHARE, BEYOND)
    places, normals = _sides(corners, np.concatenate([-ahead, inside, 1 + ahead]))
    seen = kinds.seen(places, normals)
    before, on, beyond = (
        share_of_kinds(part) for part in (seen[:, :BEYOND], seen[:, BEYOND:-BEYOND], seen[:, -BEYOND:])
    )
    side = (on - ENDS_WEIGHT * (before + beyond)).max(axis=1).reshape(-1, 4)
    return np.where(side.min(axis=1) > LEAST_SIDE, side.mean(axis=1), 0.0)
