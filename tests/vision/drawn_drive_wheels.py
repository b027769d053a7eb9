"""The drive wheel: rim with its grooves, spokes, hub, and the posts it hangs between. Lengths in mm."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from tests.vision.drawn_canvas import Face
from tests.vision.drawn_pictures import Points
from tests.vision.drawn_scenes import unit
from tests.vision.drawn_solids import UPRIGHT, Lamp, Stuff, bar, board, disc, ring, rod, turned

SECTORS = 24


@dataclass(frozen=True, slots=True)
class DriveWheel:
    """A wheel about the origin; its first groove lies at height 0, further ones at the others of ``grooves``.

    ``bevel`` is the radius to which its front edge is rounded. ``oval`` is the amplitude of second order as a
    share of each radius, longest at ``oval_turn``.
    """

    rim: float
    pitch: float
    cord: float
    front: float
    back: float
    inner: float
    groove_half: float
    grooves: tuple[float, ...]
    oval: float
    oval_turn: float
    spokes: int
    spoke: float
    hub: float
    turn: float
    bevel: float
    lines: tuple[float, ...]
    wood: Stuff
    metal: Stuff

    def oval_at(self, turn: NDArray[np.float64]) -> NDArray[np.float64]:
        """What each radius is multiplied by, seen in a direction."""
        return np.asarray(1 + self.oval * np.cos(2 * (turn - self.oval_turn)))

    def rim_at(self, height: float) -> float:
        """Mean radius of the rim's slice at a height: V-shaped grooves down to what the cord rests on."""
        bottom = self.pitch - 0.5 * self.cord
        deep = min(abs(height - groove) for groove in self.grooves) / self.groove_half
        if deep < 1:
            return bottom + (self.rim - bottom) * deep
        return self.rim - self.bevel * (1 - float(np.cos(self.rise_at(height))))

    def rise_at(self, height: float) -> float:
        """By how much the rim's outside looks out of the plane: its front edge is rounded off."""
        return float(np.arcsin(np.clip(1 - (self.front - height) / self.bevel, 0, 1)))

    def heights(self) -> NDArray[np.float64]:
        """Heights at which the rim is sliced."""
        grooves = np.add.outer(self.grooves, self.groove_half * np.linspace(-1, 1, 9)).ravel()
        rounded = self.front - self.bevel * (1 - np.sin(np.linspace(0, 1.4, 6)))
        return np.unique([*np.linspace(-self.back, rounded[0], 9), *rounded, *grooves])

    def faces(self, lamp: Lamp) -> Iterator[Face]:
        """Rim, spokes and hub."""
        each = np.linspace(0, 2 * np.pi, 30 * SECTORS + 1)
        for height in self.heights():
            radii = self.rim_at(float(height)) * self.oval_at(each)
            rise = self.rise_at(float(height))
            yield from ring(
                self.wood, lamp, UPRIGHT, float(height), (radii, self.inner), sectors=SECTORS, rise=rise
            )
        yield from self._front(lamp)
        yield from self._spokes(lamp)
        profile = [(-self.back - 8, 0.8 * self.hub), (-5, self.hub), (5, self.hub)]
        profile += [(self.front + 4, 0.8 * self.hub), (self.front + 6, 0.5 * self.hub)]
        yield from turned(self.wood, lamp, UPRIGHT, profile, step=4.0)

    def outlines(self, lamp: Lamp) -> Iterator[Face]:
        """What keeps light from a wall behind: a slice of the rim, and the spokes."""
        yield from ring(self.wood, lamp, UPRIGHT, 0.0, (self.rim, self.inner), sectors=SECTORS)
        yield from self._spokes(lamp)

    def _front(self, lamp: Lamp) -> Iterator[Face]:
        each = np.linspace(0, 2 * np.pi, 720, endpoint=False)
        before = np.array([0, 0, 1.0])

        def circle(radius: NDArray[np.float64] | float) -> Points:
            outline = np.asarray(radius)[..., None] * unit(each)
            return np.column_stack([outline, np.full(len(each), self.front)])

        outer = (self.rim - self.bevel) * self.oval_at(each)
        yield self.wood.face(lamp, before, self.front + 1e-6, circle(outer), circle(self.inner))
        for line in self.lines:
            radius = self.inner + line * (self.rim - self.bevel - self.inner)
            dark = np.array([0.5, 0.5, 0.2])
            yield self.wood.face(lamp, dark, self.front + 2e-6, circle(radius), circle(radius - 1.3))

    def _spokes(self, lamp: Lamp) -> Iterator[Face]:
        share = np.linspace(0, 1, 60)
        beads = (
            1 + 0.35 * np.exp(-(((share - 0.3) / 0.05) ** 2)) - 0.25 * np.exp(-(((share - 0.42) / 0.04) ** 2))
        )
        for turn in self.turn + np.arange(self.spokes) * 2 * np.pi / self.spokes:
            begin, end = (np.array([*(r * unit(turn)), 0.0]) for r in (0.9 * self.hub, self.inner + 2))
            yield from rod(self.wood, lamp, (begin, end), self.spoke * beads * (1.1 - 0.25 * share))

    def posts(self, lamp: Lamp, wood: Stuff, down: float, *, in_front: bool) -> Iterator[Face]:
        """The table, the post behind and perhaps one before, each from the axle down to the table."""
        low = (self.rim + 28) * unit(down)
        shelf = bar(low - 420 * unit(down + np.pi / 2), low + 420 * unit(down + np.pi / 2), 26.0)
        yield from board(wood, lamp, shelf, (-self.back - 55, self.front + 55), step=6.0)
        behind = -self.back - 34
        yield from board(wood, lamp, bar(-25 * unit(down), low, 34.0), (behind, behind + 18))
        if in_front:
            near = self.front + 12
            yield from board(wood, lamp, bar(-22 * unit(down), low, 30.0), (near, near + 16))
            yield from turned(self.metal, lamp, UPRIGHT, [(near + 16, 6.0), (near + 26, 6.0)])
        else:
            yield disc(self.metal, lamp, UPRIGHT, self.front + 8, 0.25 * self.hub)
