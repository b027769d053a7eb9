"""The four sides of a rectangle to a fraction of a pixel, once it is roughly known where they are.

Corners are rounded, worn or taped over, so they are never looked at: each side is a straight line fitted
to its middle part, and the corners are where the lines cross.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Ellipse, Points
from .edges import edges_across
from .side_lines import CORNER_SHARE, STATIONS, SideLine, side_lines, stations_along

COVER_TOLERANCE_PX = 1.2
#: An edge so near to the rim's outline is the rim's: a straight line through an arc of it is off by as much.
ON_RIM_PX = 3.0
#: So many lines along each side are tried with those of the others.
LINES_A_SIDE = 4
#: So many neighbouring stations are averaged: noise drowns the edge of a pale card on a pale wall.
SMOOTH_STATIONS = 2.5
#: So much more misfit, as a share of what is usual, is worth a side that is seen along its whole length.
FULL_SIDE = 3.0
#: By so much (CIELAB, 0 to 255) light usually differs between a plain thing's sides; by so many times that it
#: never does.
SHADE, MOST_SHADES = 12.0, 6.0
#: Beyond a corner an edge is looked for over so much of a side's length; it goes on if it shows on so much of
#: that. Two opposite sides do so of 3 in 210 rectangles found at true cards and sheets in pictures with known
#: truth, two from one corner of none.
BEYOND, GOES_ON = (CORNER_SHARE, 0.3), 0.8
#: Two from one corner of a sheet of paper, whose corners are sharp, need not go on so far: none of 48 true
#: sheets has them.
JUST_BEYOND = (0.02, CORNER_SHARE)
#: How far off a side may be, and how much turned, where nothing better is known.
USUAL_REACH_PX, USUAL_TURN_RAD = 4.0, np.radians(3.0)


@dataclass(frozen=True, slots=True)
class Outline:
    """Four sides.

    Attributes
    ----------
    corners_px : (4, 2) array
        Crossings of the sides.
    sides_px : tuple of four (n, 2) arrays
        Points on each side, the first one running from the first corner to the second.
    """

    corners_px: Points
    sides_px: tuple[Points, ...]


def refined_outline(pixels: NDArray[np.float32], corners_px: Points) -> Outline | None:
    """The clearest line along each side of a rough rectangle (4, 2); None if a side shows none.

    ``pixels`` (h, w, 3) are light for what is printed in black on white, else CIELAB.
    """
    sides = [side_lines(pixels, corners_px, k, USUAL_REACH_PX, USUAL_TURN_RAD, 1) for k in range(4)]
    if not all(sides):
        return None
    corners = [_crossings(sides[k - 1], sides[k])[0, 0] for k in range(4)]
    return Outline(np.array(corners), tuple(side[0].points_px for side in sides))


def likeliest_outline(
    lab: NDArray[np.float32],
    corners_px: Points,
    misfit: Callable[[Points], NDArray[np.float64]],
    usual_misfit: float,
    reach_px: float = USUAL_REACH_PX,
    turn_rad: float = USUAL_TURN_RAD,
    plain: bool = False,
) -> Outline | None:
    """Of each side the line that makes the best rectangle with the others; None if a side shows none.

    A printed border or a shadow runs alongside many a side and is often clearer than the side itself. So
    the fullest lines are kept of each side; the shape decides between them, and how full they are.

    Parameters
    ----------
    lab : (h, w, 3) array
    corners_px : (4, 2) array
        Where the corners are about.
    misfit : callable
        How badly corners (m, 4, 2) in pixels make rectangles of the right shape, (m,).
    usual_misfit : float
        That of the true sides, as well as it is known yet how the thing lies.
    reach_px, turn_rad : float
        How far off a side may be, and how much turned.
    plain : bool
        Whether the thing has one colour along all its sides, as paper has.
    """
    sides = [
        side_lines(lab, corners_px, k, reach_px, turn_rad, LINES_A_SIDE, SMOOTH_STATIONS) for k in range(4)
    ]
    if not all(sides):
        return None
    ways = np.array(list(product(*(range(len(side)) for side in sides))))
    crossings = [_crossings(sides[k - 1], sides[k]) for k in range(4)]
    corners = np.stack([crossings[k][ways[:, k - 1], ways[:, k]] for k in range(4)], axis=1)
    full = sum(np.array([line.fullness for line in sides[k]])[ways[:, k]] for k in range(4))
    wrong = misfit(corners) / usual_misfit - FULL_SIDE * full
    if plain:
        inside = [np.array([line.inside for line in sides[k]])[ways[:, k]] for k in range(4)]
        shades = np.linalg.norm(np.ptp(inside, axis=0), axis=1) / SHADE
        wrong += np.where(shades < MOST_SHADES, shades, np.inf)
    best = int(np.argmin(wrong))
    if not np.isfinite(wrong[best]):
        return None
    return Outline(corners[best], tuple(side[k].points_px for side, k in zip(sides, ways[best], strict=True)))


def outline_cover(lab: NDArray[np.float32], corners_px: Points, rim: Ellipse | None = None) -> float:
    """Share of the sides between corners (4, 2) along which an edge runs, the corners left out.

    A side that lies along the rim is the rim's own edge and says nothing for a thing beside it.
    """
    covers = []
    for k in range(4):
        stations, along = stations_along(corners_px, k)
        normal = np.array([-along[1], along[0]])
        edges = edges_across(lab, stations, np.broadcast_to(normal, (STATIONS, 2)).copy(), USUAL_REACH_PX)
        on_side = np.abs((edges.points_px - stations[0]) @ normal) < COVER_TOLERANCE_PX
        covers.append(len(np.unique(edges.line[on_side])) / STATIONS)
        if rim is not None:
            off_rim = np.abs(rim.distance_px(edges.points_px[on_side])) > ON_RIM_PX
            # A side may cross the rim as well.
            if 2 * off_rim.sum() < on_side.sum():
                covers[-1] = 0.0
    return float(np.mean(covers))


def runs_on(lab: NDArray[np.float32], corners_px: Points, *, sharp: bool = False) -> bool:
    """Whether two sides go straight on past their ends, be they opposite each other or from one corner.

    Then corners (4, 2) are not those of a thing but of a part of it, cut off by lines across it: half a sheet
    above a line of print, a brick of several, or the corner of a card between a stripe and tape. The sides of
    a thing end at its corners; by chance one edge of something else may go on from there, hardly two.

    ``sharp``: its corners are not rounded. Then a part nearly as large as the whole is told as well: a sheet
    of print, cut off at its last line and where its lines begin.
    """
    on, back = _all_going_on(lab, corners_px, BEYOND)
    if any(on[k - 1] and back[(k + 1) % 4] for k in range(4)) or _from_one_corner(on, back):
        return True
    return sharp and _from_one_corner(*_all_going_on(lab, corners_px, JUST_BEYOND))


def passed_by(lab: NDArray[np.float32], corners_px: Points) -> list[bool]:
    """Of each side between corners (4, 2), whether one of those beside it goes straight on past it."""
    on, back = _all_going_on(lab, corners_px, BEYOND)
    return [on[k - 1] or back[(k + 1) % 4] for k in range(4)]


def _all_going_on(
    lab: NDArray[np.float32], corners_px: Points, shares: tuple[float, float]
) -> tuple[list[bool], list[bool]]:
    """Which of the sides go on past their second corner, and which past their first."""
    ends = [(corners_px[k], corners_px[(k + 1) % 4]) for k in range(4)]
    on = [_goes_on(lab, start_px, end_px, shares) for start_px, end_px in ends]
    return on, [_goes_on(lab, end_px, start_px, shares) for start_px, end_px in ends]


def _from_one_corner(on: Sequence[bool], back: Sequence[bool]) -> bool:
    """Whether both sides from one corner go on past their other ends."""
    return any(on[k] and back[k - 1] for k in range(4))


def _goes_on(lab: NDArray[np.float32], start_px: Points, end_px: Points, shares: tuple[float, float]) -> bool:
    """Whether an edge from one corner (2,) to another is seen on the same line beyond that one.

    It is looked for between ``shares`` of the side's length.
    """
    side = end_px - start_px
    share = np.linspace(*shares, STATIONS // 4)[:, None]
    along = side / np.linalg.norm(side)
    normals = np.broadcast_to([-along[1], along[0]], (len(share), 2)).copy()
    edges = edges_across(lab, end_px + share * side, normals, USUAL_REACH_PX)
    on_line = np.abs((edges.points_px - end_px) @ normals[0]) < COVER_TOLERANCE_PX
    return len(np.unique(edges.line[on_line])) >= GOES_ON * len(share)


def _crossings(ones: Sequence[SideLine], others: Sequence[SideLine]) -> Points:
    """Where each line of one side crosses each of another, (n, m, 2)."""
    place, direction = (part[:, None] for part in _places_and_directions(ones))
    other_place, other_direction = _places_and_directions(others)
    away = other_place - place
    turn = direction[..., 0] * other_direction[:, 1] - direction[..., 1] * other_direction[:, 0]
    reach = (away[..., 0] * other_direction[:, 1] - away[..., 1] * other_direction[:, 0]) / turn
    return np.asarray(place + reach[..., None] * direction)


def _places_and_directions(lines: Sequence[SideLine]) -> tuple[Points, Points]:
    return np.array([line.place for line in lines]), np.array([line.direction for line in lines])
