"""Solids made of flat faces that are nearly parallel to the plane of the band: discs, rods and boards.

Of two such faces the one that stands higher above the plane hides the other from any camera before it, so
laying them in the order of their heights is enough. Lengths in mm; x right, y up, z towards the camera.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from tests.vision.drawn_canvas import Colour, Face, shaded
from tests.vision.drawn_pictures import Points
from tests.vision.drawn_scenes import unit

#: Light that reaches a face from everywhere in the room.
AMBIENT = 0.45


@dataclass(frozen=True, slots=True)
class Lamp:
    """Where the light comes from: a unit vector (3,) out of the picture."""

    towards: tuple[float, float, float]

    def on(self, normal: NDArray[np.float64]) -> float:
        """Light on a face with this normal (3,), about 1 on one that looks at the camera."""
        return AMBIENT + 0.9 * (1 - AMBIENT) * max(float(normal @ np.array(self.towards)), 0.0)


@dataclass(frozen=True, slots=True)
class Stuff:
    """What a thing is made of."""

    colour: Colour
    grain: float = 0.0

    def face(self, lamp: Lamp, normal: Points, order: float, *outlines: Points) -> Face:
        """A face of it in this light."""
        return Face(order, outlines, shaded(self.colour, lamp.on(normal)), self.grain)


@dataclass(frozen=True, slots=True)
class Axis:
    """A line that leaves the plane of the band at ``foot``, almost square to it: by ``lean`` a mm."""

    foot: tuple[float, float] = (0.0, 0.0)
    lean: tuple[float, float] = (0.0, 0.0)

    def at(self, height: float, across: Points) -> Points:
        """Places (n, 3) of a disc square to the axis: its middle at a height, and (n, 2) from there."""
        lean = np.array(self.lean)
        return np.column_stack([np.array(self.foot) + height * lean + across, height - across @ lean])


UPRIGHT = Axis()


def flat(outline: Points, height: float) -> Points:
    """An outline (n, 2) at a height, (n, 3)."""
    return np.column_stack([outline, np.full(len(outline), height)])


def finely(outline: Points, longest: float = 15.0) -> Points:
    """An outline (n, 3) whose long sides have places in between, for a lens bends them."""
    sides = np.roll(outline, -1, axis=0) - outline
    parts = np.maximum(np.ceil(np.linalg.norm(sides, axis=1) / longest), 1).astype(int)
    if (parts == 1).all():
        return outline
    share = np.concatenate([np.arange(n) / n for n in parts])[:, None]
    return np.asarray(np.repeat(outline, parts, axis=0) + share * np.repeat(sides, parts, axis=0))


def ring(
    stuff: Stuff,
    lamp: Lamp,
    axis: Axis,
    height: float,
    radii: tuple[NDArray[np.float64] | float, float],
    turns: tuple[float, float] = (0.0, 2 * np.pi),
    sectors: int = 24,
    rise: float = 0.0,
) -> Iterator[Face]:
    """A slice through a turned thing: outer and inner radius, each half of it lit as the wall that it shows.

    The outer radius may be given at ``30 * sectors + 1`` turns from the first to the last. ``rise`` is by how
    much the walls look out of the plane.
    """
    each = np.linspace(*turns, 30 * sectors + 1)
    outer = np.broadcast_to(np.asarray(radii[0], dtype=float), len(each))
    middle = 0.5 * (outer.mean() + radii[1]) if radii[1] > 0 else 0.0
    for k in range(sectors):
        part = slice(30 * k, 30 * k + 31)
        out_x, out_y = np.cos(rise) * unit(each[30 * k + 15])
        walls = [(outer[part], np.full(31, middle), np.array([out_x, out_y, np.sin(rise)]))]
        if radii[1] > 0:
            looks_in = np.array([-out_x, -out_y, np.sin(rise)])
            walls.append((np.full(31, middle), np.full(31, radii[1]), looks_in))
        for far, near, looks in walls:
            out, back = far[:, None] * unit(each[part]), near[:, None] * unit(each[part])
            yield stuff.face(lamp, looks, height, axis.at(height, np.vstack([out, back[::-1]])))


def turned(
    stuff: Stuff, lamp: Lamp, axis: Axis, profile: Sequence[tuple[float, float]], step: float = 2.0
) -> Iterator[Face]:
    """A turned thing by (height, radius) from back to front; its front is a face lit from before."""
    places = np.array(profile, dtype=float)
    count = max(int(np.ptp(places[:, 0]) / step), 1) + 1
    heights = np.unique(np.concatenate([np.linspace(places[0, 0], places[-1, 0], count), places[:, 0]]))
    ends = np.maximum.accumulate(places[:, 0] + 1e-9 * np.arange(len(places)))
    for height in heights:
        radius = float(np.interp(height, ends, places[:, 1]))
        yield from ring(stuff, lamp, axis, float(height), (radius, 0.0), sectors=12)
    yield disc(stuff, lamp, axis, float(places[-1, 0]), float(places[-1, 1]))


def disc(stuff: Stuff, lamp: Lamp, axis: Axis, height: float, radius: float) -> Face:
    """The front of a turned thing."""
    around = radius * unit(np.linspace(0, 2 * np.pi, 360, endpoint=False))
    return stuff.face(lamp, np.array([0, 0, 1.0]), height + 1e-6, axis.at(height, around))


def rod(
    stuff: Stuff,
    lamp: Lamp,
    ends: tuple[Points, Points],
    radii: NDArray[np.float64] | float,
    strips: int = 14,
) -> Iterator[Face]:
    """A round rod that lies along the plane, between two places (3,), as strips lit by how they look.

    ``radii`` are taken at even distances from one end to the other.
    """
    thick = np.atleast_1d(np.asarray(radii, dtype=float))
    thick = np.repeat(thick, 2) if len(thick) == 1 else thick
    way = ends[1] - ends[0]
    along = way / np.linalg.norm(way)
    out = np.cross(along, [0.0, 0.0, 1.0])
    out /= np.linalg.norm(out)
    up = np.cross(out, along)
    middle = ends[0] + np.linspace(0, 1, len(thick))[:, None] * way
    turns = np.linspace(0, 2 * np.pi, strips + 1)
    looks = np.cos(turns)[:, None] * out + np.sin(turns)[:, None] * up
    for one, other in pairwise(looks):
        normal = (one + other) / np.linalg.norm(one + other)
        outline = np.vstack([middle + thick[:, None] * one, (middle + thick[:, None] * other)[::-1]])
        yield stuff.face(lamp, normal, float(outline[:, 2].mean()), outline)


def board(
    stuff: Stuff, lamp: Lamp, outline: Points, heights: tuple[float, float], step: float = 2.0
) -> Iterator[Face]:
    """A board: an outline (n, 2) that reaches from one height to another."""
    side = Stuff(shaded(stuff.colour, 0.7), stuff.grain)
    for height in np.linspace(*heights, max(int(abs(heights[1] - heights[0]) / step), 2))[:-1]:
        yield side.face(lamp, np.array([0, 0, 1.0]), float(height), flat(outline, float(height)))
    yield stuff.face(lamp, np.array([0, 0, 1.0]), heights[1], flat(outline, heights[1]))


def bar(begin: Points, end: Points, width: float) -> Points:
    """Outline (4, 2) of a straight bar between two places (2,)."""
    along = (end - begin) / np.linalg.norm(end - begin)
    half = 0.5 * width * np.array([-along[1], along[0]])
    return np.array([begin + half, end + half, end - half, begin - half])
