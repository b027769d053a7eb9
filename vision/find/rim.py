"""The rim: a large ellipse round a hub, first roughly by search, then to a fraction of a pixel.

Round a guessed centre the picture is unrolled into angle x logarithm of the radius. There a circle is a
straight line, an ellipse a gentle wave of two periods, and every wave can be tried at every radius at once.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from ..geometry.ellipse import Ellipse, Points, fit_ellipse
from .drawn_ellipses import drawn_ellipses, edge_weights
from .edges import EdgePoints, Gradient, Pixels, colour_gradient, edges_across, lab_pixels
from .hub import find_hubs

#: Longer side of the picture in which the search runs, and of the one in which edges are first located.
SEARCH_SIDE_PX = 480.0
REFINE_SIDE_PX = 1200.0

SEARCH_ANGLES = 120
LOG_STEP = 0.015
RADII = np.exp(np.arange(np.log(0.1), np.log(0.85), LOG_STEP))  # shares of the longer side
#: Flattening of the ellipse as amplitude of the wave; 0.11 is a wheel seen 36 degrees from square on.
FLATTENINGS = (0.02, 0.04, 0.06, 0.085, 0.11)
FLATTENING_DIRECTIONS = 8
#: Amplitude and direction of every wave that is tried, the circle first.
WAVES = (
    (0.0, 0.0),
    *(
        (flattening, k * np.pi / FLATTENING_DIRECTIONS)
        for flattening in FLATTENINGS
        for k in range(FLATTENING_DIRECTIONS)
    ),
)
CENTRE_REACH_PX, CENTRE_STEP_PX = 21, 3

OUTLINE_POINTS = 360
INLIER_PX = 1.6
#: The best drawn ellipses are drawn tight, in these steps; the one with most edges close to it wins.
POLISHING_PX, CLOSE_PX = (1.6, 1.2, 0.9, 0.7), 0.8
#: An outline is believed if this share of it shows an edge, and the edge points scatter less than that.
LEAST_COVER, MOST_SCATTER_PX = 0.7, 0.85
#: Where none is, one on less of which an edge shows may do, if the step of colour across it is so steady: the
#: wall behind a rim may look like it on one side. In drawn rooms true rims have 0.9 and more there.
FAINT_COVER, FAINT_STEADY = 0.6, 0.85
#: Edge points are looked for at least so far to either side: nearer by, any edge would lie on the outline.
LEAST_REACH_PX = 4.0
#: The step of colour, taken so far to either side, is much the same a few places on along at least one
#: edge of a wheel (0.7 and more); along outlines drawn through noise it is not (0.4 at the most).
STEP_REACH_PX, STEADY_OVER, LEAST_STEADY = 2.5, 6, 0.55
#: Without a click so many likely hubs are tried; a click means a likely hub within this share of the
#: longer side.
HUBS_TRIED, CLICK_REACH = 3, 0.05
#: A tap on the rim is off by about so much, and means no edge further away than this share of its radius.
TAP_PX, TAP_REACH = 3.0, 0.05
#: With an edge seen on this share of its outline, no other hub is tried.
BEYOND_DOUBT = 0.9


@dataclass(frozen=True, slots=True)
class RimEdge:
    """One round edge of the rim.

    Attributes
    ----------
    ellipse : Ellipse
        In pixels of the full picture.
    points_px : (n, 2) array
        Edge points on it.
    cover : float
        Share of the outline on which the edge was seen.
    scatter_px : float
        Root mean square distance of the points from the ellipse.
    """

    ellipse: Ellipse
    points_px: Points
    cover: float
    scatter_px: float


def find_rim_edges(bgr: NDArray[np.uint8], hub_px: tuple[float, float] | None = None) -> list[RimEdge]:
    """Round edges about a hub, the outermost first; empty if nothing round and large enough is there.

    Parameters
    ----------
    bgr : (h, w, 3) array of uint8
    hub_px : tuple of float, optional
        A click near the hub; without it the likeliest hubs are tried.
    """
    longer = max(bgr.shape[:2])
    search_scale = min(1.0, SEARCH_SIDE_PX / longer)
    small = lab_pixels(bgr, search_scale)
    gradient = colour_gradient(small, max(small.shape[:2]) / 16)
    hubs = find_hubs(gradient)
    if hub_px is not None:
        click = (np.asarray(hub_px) + 0.5) * search_scale - 0.5
        hubs = [_chosen_hub(hubs, click, CLICK_REACH * max(small.shape[:2]))]
    refine_scale = min(1.0, REFINE_SIDE_PX / longer)
    refine_lab = lab_pixels(bgr, refine_scale)
    best: list[RimEdge] = []
    faint: list[RimEdge] = []
    for hub in hubs[:HUBS_TRIED]:
        rough = [e.rescaled(refine_scale / search_scale) for e in _rough_rims(gradient, hub)]
        edges = _edges_about(refine_lab, rough)
        best = max(best, _believed(refine_lab, edges), key=_rim_like)
        if any(edge.cover >= BEYOND_DOUBT for edge in best):
            break
        if not best:
            faint = max(faint, _faint(refine_lab, edges), key=_rim_like)
    best = best or faint
    full = [_in_full_picture(edge, refine_scale) for edge in best]
    return sorted(full, key=lambda edge: -edge.ellipse.mean_radius_px)


def _chosen_hub(hubs: list[tuple[float, float]], click: Points, reach_px: float) -> tuple[float, float]:
    """The likely hub that a click means, or the click itself where none is near."""
    place = (float(click[0]), float(click[1]))
    nearest = min(hubs, key=lambda hub: math.dist(hub, place), default=place)
    return nearest if math.dist(nearest, place) < reach_px else place


def _rim_like(edges: list[RimEdge]) -> float:
    return max((edge.ellipse.mean_radius_px * edge.cover for edge in edges), default=0.0)


def clearest_edge(edges: list[RimEdge]) -> RimEdge:
    """The edge to trust for the wheel's pose: seen all round, even, and rather further out than in."""
    largest_px = max(edge.ellipse.mean_radius_px for edge in edges)
    return max(
        edges, key=lambda e: e.cover - 0.25 * e.scatter_px + 2.0 * e.ellipse.mean_radius_px / largest_px
    )


def edge_pointed_at(edges: list[RimEdge], places_px: Points) -> RimEdge | None:
    """Of the edges that run through places (n, 2) where somebody points, the clearest; None if none does.

    A finger does not tell edges apart that lie side by side, such as a rim's front and back.
    """
    away_px = [float(np.abs(edge.ellipse.distance_px(places_px)).mean()) for edge in edges]
    nearest_px = min(away_px)
    near = [edge for edge, away in zip(edges, away_px, strict=True) if away <= nearest_px + TAP_PX]
    chosen = clearest_edge(near)
    return chosen if nearest_px <= TAP_REACH * chosen.ellipse.mean_radius_px else None


def _in_full_picture(edge: RimEdge, scale: float) -> RimEdge:
    points = (edge.points_px + 0.5) / scale - 0.5
    return RimEdge(edge.ellipse.rescaled(1 / scale), points, edge.cover, edge.scatter_px / scale)


def _rough_rims(gradient: Gradient, hub_px: tuple[float, float]) -> list[Ellipse]:
    """Ellipses about a hub that follow edges best, one a radius.

    Middles are tried on a coarse grid first, then about those that were best for one of the radii.
    """
    side = float(max(gradient.x.shape))
    shifts = np.arange(-CENTRE_REACH_PX, CENTRE_REACH_PX + 1, 2 * CENTRE_STEP_PX)
    coarse = [(int(dx), int(dy)) for dx in shifts for dy in shifts]
    scores = _wave_scores(gradient, hub_px, coarse)
    likely = {coarse[int(scores[:, :, j].max(axis=1).argmax())] for j in _tops(scores)}
    steps = (-CENTRE_STEP_PX, 0, CENTRE_STEP_PX)
    fine = sorted({(x + dx, y + dy) for x, y in likely for dx in steps for dy in steps} - set(coarse))
    centres = coarse + fine
    if fine:
        scores = np.concatenate([scores, _wave_scores(gradient, hub_px, fine)])
    found = []
    for j in _tops(scores):
        c, w = np.unravel_index(int(scores[:, :, j].argmax()), scores.shape[:2])
        (flattening, direction), radius = WAVES[int(w)], RADII[j] * side
        x, y = hub_px[0] + centres[int(c)][0], hub_px[1] + centres[int(c)][1]
        found.append(Ellipse(x, y, radius * (1 + flattening), radius * (1 - flattening), direction))
    return found


def _tops(scores: Pixels) -> list[int]:
    """Radii at which some wave (middles, waves, radii) follows an edge better than at radii next to it."""
    profile = scores.max(axis=(0, 1))
    least = 0.65 * profile.max()
    return [j for j in range(1, len(RADII) - 1) if profile[j] >= max(profile[j - 1], profile[j + 1], least)]


def _wave_scores(gradient: Gradient, hub_px: tuple[float, float], shifts: list[tuple[int, int]]) -> Pixels:
    """How clear an edge runs along each wave at each radius, (middles, waves, radii)."""
    side = float(max(gradient.x.shape))
    unrolled = [_unrolled(gradient, (hub_px[0] + dx, hub_px[1] + dy), side).ravel() for dx, dy in shifts]
    scores = _gathering() @ np.stack(unrolled, axis=1)
    return np.asarray(scores.T.reshape(len(shifts), len(WAVES), len(RADII)), dtype=np.float32)


@cache
def _gathering() -> csr_array:
    """Sparse matrix that takes unrolled pictures to the mean along every wave at every radius."""
    turn = np.linspace(0, 2 * np.pi, SEARCH_ANGLES, endpoint=False)
    rise = np.array([np.log1p(a * np.cos(2 * (turn - d))) for a, d in WAVES]) / LOG_STEP
    columns = np.arange(len(RADII))[:, None] + np.rint(rise)[:, None, :]
    columns = np.clip(columns, 0, len(RADII) - 1) + np.arange(SEARCH_ANGLES) * len(RADII)
    rows = len(WAVES) * len(RADII)
    share = np.full(columns.size, 1 / SEARCH_ANGLES, np.float32)
    starts = np.arange(rows + 1) * SEARCH_ANGLES
    shape = (rows, SEARCH_ANGLES * len(RADII))
    return csr_array((share, columns.ravel().astype(np.int32), starts), shape=shape)


def _unrolled(gradient: Gradient, centre_px: tuple[float, float], side_px: float) -> Pixels:
    """Edges that face the centre, over angle x log radius; each edge widened by one step of the radius."""
    turn = np.linspace(0, 2 * np.pi, SEARCH_ANGLES, endpoint=False, dtype=np.float32)[:, None]
    cosine, sine = np.cos(turn), np.sin(turn)
    radii = (RADII * side_px).astype(np.float32)
    x, y = np.float32(centre_px[0]) + cosine * radii, np.float32(centre_px[1]) + sine * radii
    along_x = cv2.remap(gradient.x, x, y, cv2.INTER_LINEAR)
    along_y = cv2.remap(gradient.y, x, y, cv2.INTER_LINEAR)
    facing = np.abs(along_x * cosine + along_y * sine)
    facing[facing**2 < 0.64 * (along_x**2 + along_y**2)] = 0.0
    return np.asarray(cv2.dilate(np.minimum(facing, 2.0), np.ones((1, 3))), dtype=np.float32)


def _edges_about(lab: Pixels, rough: list[Ellipse]) -> list[RimEdge]:
    """Refine rough ellipses, then look for further edges that run alongside the two best ones."""
    rng = np.random.default_rng(0)
    edges = [e for r in rough if (e := refine_edge(lab, r, 0.03 * r.mean_radius_px, rng)) is not None]
    edges.sort(key=lambda e: e.scatter_px - e.cover)
    for leader in edges[:2]:
        for guess in _alongside(lab, leader.ellipse):
            if any(_same(guess, edge.ellipse) and edge.cover > BEYOND_DOUBT for edge in edges):
                continue
            edge = refine_edge(lab, guess, 0.02 * guess.mean_radius_px, rng)
            if edge is not None:
                edges.append(edge)
    again = [refine_edge(lab, e.ellipse, 0.012 * e.ellipse.mean_radius_px, rng) for e in edges if _vague(e)]
    return edges + [e for e in again if e is not None]


def _believed(lab: Pixels, edges: list[RimEdge]) -> list[RimEdge]:
    """Those of which enough is seen; none if none of them is steady."""
    seen = [e for e in edges if e.cover >= LEAST_COVER and e.scatter_px <= MOST_SCATTER_PX]
    return seen if max((_steadiness(lab, edge.ellipse) for edge in seen), default=0.0) >= LEAST_STEADY else []


def _faint(lab: Pixels, edges: list[RimEdge]) -> list[RimEdge]:
    """Those of which less is seen, each of them steady."""
    seen = [e for e in edges if e.cover >= FAINT_COVER and e.scatter_px <= MOST_SCATTER_PX]
    return [edge for edge in seen if _steadiness(lab, edge.ellipse) >= FAINT_STEADY]


def _steadiness(lab: Pixels, ellipse: Ellipse) -> float:
    """How alike the step of colour across an outline stays from place to place: 1 quite, 0 by chance."""
    outline, normals = ellipse.outline(OUTLINE_POINTS)
    colours = []
    for side in (1.0, -1.0):
        x, y = (outline + side * STEP_REACH_PX * normals).astype(np.float32).T
        colours.append(cv2.remap(lab, x, y, cv2.INTER_LINEAR).reshape(-1, 3))
    step = colours[0] - colours[1]
    return float((step * np.roll(step, STEADY_OVER, axis=0)).sum() / max((step**2).sum(), 1e-6))


def _vague(edge: RimEdge) -> bool:
    """Whether a closer look may find a better line: seen over much of the outline, but with much scatter."""
    return edge.cover >= LEAST_COVER and edge.scatter_px > 0.5


def _same(one: Ellipse, other: Ellipse) -> bool:
    return abs(one.mean_radius_px / other.mean_radius_px - 1) < 0.01


def _alongside(lab: Pixels, leader: Ellipse) -> Iterator[Ellipse]:
    """Ellipses of the leader's shape, larger and smaller, along which the picture has edges."""
    factors = np.exp(np.linspace(np.log(0.8), np.log(1.4), 300))
    outline, _ = leader.outline(240)
    x = (leader.x_px + (outline[:, :1] - leader.x_px) * factors).astype(np.float32)
    y = (leader.y_px + (outline[:, 1:] - leader.y_px) * factors).astype(np.float32)
    unrolled = cv2.remap(lab, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    steep = np.abs(np.diff(cv2.GaussianBlur(unrolled, (0, 0), 1.2), axis=1)).max(axis=2)
    height, width = lab.shape[:2]
    steep[((x < 1) | (x > width - 2) | (y < 1) | (y > height - 2))[:, 1:]] = 0.0
    steep /= np.sqrt(cv2.GaussianBlur(steep**2, (0, 0), 20.0)) + 0.3
    strength = np.minimum(cv2.dilate(steep, np.ones((1, 3))), 2.0).mean(axis=0)
    usual = cv2.GaussianBlur(strength[None].astype(np.float32), (0, 0), 15.0)[0]
    for j in range(1, len(strength) - 1):
        if strength[j] >= strength[j - 1] and strength[j] > strength[j + 1] and strength[j] > 1.15 * usual[j]:
            yield leader.grown(float(np.sqrt(factors[j] * factors[j + 1])))


def refine_edge(lab: Pixels, rough: Ellipse, reach_px: float, rng: np.random.Generator) -> RimEdge | None:
    """The ellipse near a rough one that most edge points lie on; None if no five of them make one."""
    reach_px = max(reach_px, LEAST_REACH_PX)
    outline, normals = rough.outline(OUTLINE_POINTS)
    edges = edges_across(lab, outline, normals, reach_px)
    drawn = drawn_ellipses(edges, rough, reach_px, INLIER_PX, rng)
    polished = [p for c in drawn if (p := _polished(edges, c)) is not None]
    if not polished:
        return None
    found = polished[int(np.argmax(_supports(edges, polished, CLOSE_PX)))]
    distance = found.distance_px(edges.points_px)
    near = np.abs(distance) < INLIER_PX
    on_it = edges.chosen(near)
    cover = len(np.unique(on_it.line)) / OUTLINE_POINTS
    scatter = float(np.sqrt(np.mean(distance[near] ** 2)))
    return RimEdge(found, on_it.points_px, cover, scatter)


def _polished(edges: EdgePoints, rough: Ellipse) -> Ellipse | None:
    """The ellipse through what lies ever closer to it, so that it settles on one edge of two near ones."""
    found: Ellipse | None = rough
    for close_px in POLISHING_PX:
        if found is None:
            return None
        found = fit_ellipse(edges.points_px[np.abs(found.distance_px(edges.points_px)) < close_px])
    return found


def _supports(edges: EdgePoints, ellipses: list[Ellipse], close_px: float) -> list[float]:
    """On how many lines across the outline an edge lies on each ellipse, the closer the better."""
    weights = edge_weights(edges)
    firsts = np.unique(edges.line, return_index=True)[1]
    supports = []
    for ellipse in ellipses:
        nearness = 1 - (ellipse.distance_px(edges.points_px) / close_px) ** 2
        supports.append(float(np.maximum.reduceat(np.maximum(nearness, 0.0) * weights, firsts).sum()))
    return supports
