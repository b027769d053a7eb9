"""The turned part in the picture: its axis, its outline, and the grooves in it.

Many lines of a room are lines of mirror symmetry. The spindle's is the one about which grooves are seen.
"""

from dataclasses import dataclass, replace

import numpy as np

from ..geometry.camera import Camera, Points
from ..geometry.side_view import SideView
from ..open.picture import Picture
from .both_sides import refined
from .by_colour import inside_by_colour
from .grooves import Groove, depth_of, grooves
from .mirror import EdgeField, Mirrored, edge_field, mirrored
from .silhouette import Silhouette, agreement_along, border, silhouette
from .spindle_axis import likely_axes, sharpened, sharpened_within

#: Longer sides of the pictures in which axes are searched for and sharpened, and outlines
#: followed.
SEARCH_PX, SHARPEN_PX, OUTLINE_PX = 240.0, 500.0, 1000.0
REACH_SHARE = 0.42
#: A groove is believed if four fifths of it show an edge on both sides that agree so clearly, and how far
#: chance goes.
CLEAR_GROOVE, CHANCE = 0.42, 0.3
#: The whole outline of a body of revolution is mirrored, and so are the edges of its flanges within: an axis
#: is believed from this mean agreement along the outline, and a groove from this share of clear edges in it.
#: A plain part in even light shows no edges within; then the groove itself must be this clear.
LEAST_OUTLINE, LEAST_WITHIN, SURE_GROOVE = 0.58, 0.08, 1.0
CLEAR_EDGE = 0.35
#: The guess from the shrunk picture may be off by so many of its pixels.
GUESS_PX = 3.0
#: So many axes are followed up to the end.
FINALISTS = 3


@dataclass(frozen=True, slots=True)
class TurnedPart:
    """A body of revolution with at least one groove.

    Attributes
    ----------
    view : SideView
        Along its axis, with the lens of the full picture.
    outline : (n, 2) array
        Places (u, v), v > 0, in pixels of that view, good to about a pixel.
    grooves : tuple of Groove
        Indices into ``outline``.
    clear : tuple of float
        How clearly each groove is seen.
    rival : tuple
        The outline and its grooves before colours set it right; what differs from it is in doubt.
    """

    view: SideView
    outline: Points
    grooves: tuple[Groove, ...]
    clear: tuple[float, ...]
    rival: tuple[Points, tuple[Groove, ...]] | None = None

    @property
    def merit(self) -> float:
        """How deep the grooves are, in pixels, each counted by how much clearer it is than chance."""
        depths = (depth_of(self.outline, groove) for groove in self.grooves)
        return float(
            sum(depth * (clear - CHANCE) ** 2 for depth, clear in zip(depths, self.clear, strict=True))
        )


def find_turned_parts(
    picture: Picture,
    camera: Camera,
    mm_per_px: float,
    left_out: list[Points],
    click_px: tuple[float, float] | None = None,
) -> list[TurnedPart]:
    """What may be the part, the one that shows most grooves first.

    Parameters
    ----------
    picture : Picture
    camera : Camera
    mm_per_px : float
        About, at the spindle.
    left_out : list of (n, 2) arrays
        Polygons to leave out, such as the reference.
    click_px : tuple of float, optional
        A click on the part.
    """
    search, sharpen, fine = (
        edge_field(picture, camera, longest, left_out) for longest in (SEARCH_PX, SHARPEN_PX, OUTLINE_PX)
    )
    found: list[TurnedPart] = []
    for axis in likely_axes(search, click_px):
        sharp = sharpened(sharpen, axis)
        part = _part(fine, SideView.along_line(camera, sharp.angle_rad, sharp.offset_px), mm_per_px)
        if part is not None:
            found.append(part)
    found.sort(key=lambda part: -part.merit)
    settled = [_settled(fine, part, mm_per_px) for part in found[:FINALISTS]]
    settled.sort(key=lambda part: -part.merit)
    return [_set_right(picture, fine, part, mm_per_px) for part in settled]


def _settled(fine: EdgeField, part: TurnedPart, mm_per_px: float) -> TurnedPart:
    """The part followed once more about the axis about which its own grooves are mirrored best."""
    for _ in range(2):
        view = sharpened_within(fine, part.view, *_span(part))
        part = _part(fine, view, mm_per_px) or part
    return part


def _set_right(picture: Picture, fine: EdgeField, part: TurnedPart, mm_per_px: float) -> TurnedPart:
    """The part with its axis by its own edges and its outline by colour, where that shows as many grooves."""
    span = (part.grooves[0].left, part.grooves[-1].right)
    both = refined(picture.lab, part.view, part.outline[span[0] : span[1] + 1], GUESS_PX / fine.scale)
    part = _part(fine, part.view.shifted(*both.axis_misfit()), mm_per_px) or part
    span = (part.grooves[0].left, part.grooves[-1].right)
    inside, u, v = inside_by_colour(picture.lab, part.view, part.outline, span)
    line = border(inside)
    if line is None:
        return part
    points = (line * (u[1] - u[0]) + [u[0], v[0]]) * fine.scale
    seen = _folded(fine, part.view)
    by_colour = Silhouette(points, agreement_along(seen, points))
    again = _grooved(by_colour, seen, part.view, fine.scale, mm_per_px)
    if again is None or len(again.grooves) < len(part.grooves):
        return part
    return replace(again, rival=(part.outline, part.grooves))


def _span(part: TurnedPart) -> tuple[Points, Points]:
    """Corners (u, v) of the grooves' place in the view, from well inside the bottoms."""
    line = part.outline[part.grooves[0].left : part.grooves[-1].right + 1]
    low, high = line.min(axis=0), line.max(axis=0)
    margin = 0.15 * high[1]
    return np.array([low[0] - margin, 0.6 * low[1]]), np.array([high[0] + margin, high[1] + margin])


def _part(fine: EdgeField, view: SideView, mm_per_px: float) -> TurnedPart | None:
    seen = _folded(fine, view)
    outline = silhouette(seen)
    if outline is None or outline.agreement.mean() < LEAST_OUTLINE:
        return None
    return _grooved(outline, seen, view, fine.scale, mm_per_px)


def _folded(fine: EdgeField, view: SideView) -> Mirrored:
    longest = max(fine.field.shape[:2])
    u, v = np.arange(-0.6 * longest, 0.6 * longest), np.arange(1.0, REACH_SHARE * longest)
    return mirrored(fine, view.scaled(fine.camera), u, v)


def _grooved(
    outline: Silhouette, seen: Mirrored, view: SideView, scale: float, mm_per_px: float
) -> TurnedPart | None:
    """The part with the grooves that are clear enough; None if none is."""
    kept = tuple(
        groove for groove in grooves(outline.points, mm_per_px / scale) if _is_groove(outline, seen, groove)
    )
    clear = tuple(_clearness(outline, groove) for groove in kept)
    return TurnedPart(view, outline.points / scale, kept, clear) if kept else None


def _is_groove(outline: Silhouette, seen: Mirrored, groove: Groove) -> bool:
    """Whether both sides agree on it, beyond doubt or as part of a body whose inner edges agree too."""
    clear = _clearness(outline, groove)
    if clear > SURE_GROOVE:
        return True
    return clear > CLEAR_GROOVE and _within(seen, outline.points, groove) > LEAST_WITHIN


def _within(seen: Mirrored, points: Points, groove: Groove) -> float:
    """Share of the place between axis and groove in which mirrored edges run across the axis."""
    columns = (seen.u > points[groove.left, 0] - 3) & (seen.u < points[groove.right, 0] + 3)
    rows = seen.v < points[groove.bottom, 1]
    if not columns.any() or not rows.any():
        return 0.0
    place = np.ix_(rows, columns)
    return float(np.mean((seen.agreement[place] > CLEAR_EDGE) & (seen.across[place] > 0)))


def _clearness(outline: Silhouette, groove: Groove) -> float:
    return float(np.quantile(outline.agreement[groove.left : groove.right + 1], 0.2))
