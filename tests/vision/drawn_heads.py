"""What turns about the spindle: whirl, bobbin and flyer, and the maidens that hold it. Lengths in mm."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from tests.vision.drawn_canvas import Face
from tests.vision.drawn_scenes import unit
from tests.vision.drawn_solids import Axis, Lamp, Stuff, bar, board, flat, turned

STEP = 10.0


@dataclass(frozen=True, slots=True)
class Head:
    """Whirl with steps, the one in use at height 0; the flyer reaches ``side`` (1: towards the camera).

    ``steps`` are (step's place, pitch radius), the places counted from the step in use; ``flange`` is how far
    a step's edge stands over the pitch. ``bobbin_pitch`` is that of a bobbin's own whirl, if it has one.
    """

    axis: Axis
    side: int
    steps: tuple[tuple[int, float], ...]
    flange: float
    cord: float
    bobbin_pitch: float | None
    bobbin_height: float
    bobbin: tuple[float, float, float]
    arms: float
    turn: float
    stands: float
    wood: Stuff
    other_wood: Stuff
    yarn: Stuff
    metal: Stuff

    def faces(self, lamp: Lamp) -> Iterator[Face]:
        """Everything about the spindle."""
        for place, pitch in self.steps:
            yield from self._whirl(lamp, place * STEP, pitch)
        if self.bobbin_pitch is not None:
            yield from self._whirl(lamp, self.bobbin_height, self.bobbin_pitch)
        begin = self._begin()
        flange, core, length = self.bobbin
        end = begin + length
        for stuff, low, long, radius in (
            (self.other_wood, begin, 4.0, flange),
            (self.yarn, begin + 4, length - 4, core),
            (self.other_wood, end, 4.0, flange),
            (self.wood, end + 14, 20.0, 8.0),
            (self.metal, end + 20, 26.0, 7.0),
        ):
            yield from self._cylinder(stuff, lamp, low, low + long, radius)
        yield from self._cylinder(self.metal, lamp, -30.0 - STEP * 2, begin, 4.0)
        yield from self._flyer(lamp, begin + 6, end + 8)
        yield from self._maidens(lamp, end + 26)

    def _begin(self) -> float:
        """Where the bobbin begins, counted towards the flyer's side."""
        last = max(max(self.side * place for place, _ in self.steps) * STEP, self.side * self.bobbin_height)
        return last + 8.0

    def _cylinder(self, stuff: Stuff, lamp: Lamp, low: float, high: float, radius: float) -> Iterator[Face]:
        heights = sorted((self.side * low, self.side * high))
        yield from turned(stuff, lamp, self.axis, [(h, radius) for h in heights], step=4.0)

    def _whirl(self, lamp: Lamp, middle: float, pitch: float) -> Iterator[Face]:
        """One step: a V between two narrow lands."""
        edge, bottom = pitch + self.flange, pitch - 0.5 * self.cord
        profile = [(-0.48 * STEP, edge), (-0.32 * STEP, edge), (-0.05 * STEP, bottom), (0.05 * STEP, bottom)]
        profile += [(0.32 * STEP, edge), (0.48 * STEP, edge)]
        yield from turned(self.wood, lamp, self.axis, [(middle + h, r) for h, r in profile], step=0.8)

    def _flyer(self, lamp: Lamp, low: float, high: float) -> Iterator[Face]:
        """A U of wood: its block beyond the bobbin, its arms back along it."""
        out = unit(self.turn)
        heights = sorted((self.side * high, self.side * (high + 13)))
        across = bar(-self.arms * out, self.arms * out, 15.0)
        for height in np.linspace(heights[0], heights[1], 5):
            place = self.axis.at(float(height), across)
            look = np.array([0, 0, 1.0]) if height == heights[1] else np.array([0.3, 0, 0.3])
            yield self.wood.face(lamp, look, float(height), place)
        lean, foot = np.array(self.axis.lean), np.array(self.axis.foot)
        for way in (1, -1):
            ends = sorted((self.side * low, self.side * high))
            foot_of_arm = foot + way * (self.arms - 5) * out
            arm = Axis((float(foot_of_arm[0]), float(foot_of_arm[1])), (float(lean[0]), float(lean[1])))
            yield from turned(self.wood, lamp, arm, [(h, 5.0) for h in ends], step=4.0)

    def _maidens(self, lamp: Lamp, far: float) -> Iterator[Face]:
        """Two posts square to the spindle, and the bar on which they stand."""
        down = unit(self.stands)
        for place in (-22.0 - STEP * 2, far):
            heights = sorted((self.side * place, self.side * (place + 12)))
            foot = np.array(self.axis.foot) + 0.5 * sum(heights) * np.array(self.axis.lean)
            yield from board(
                self.wood, lamp, bar(foot - 14 * down, foot + 100 * down, 22.0), (heights[0], heights[1])
            )
        ends = sorted((self.side * (-26.0 - STEP * 2), self.side * (far + 10)))
        beam = bar(np.array(self.axis.foot) + 96 * down, np.array(self.axis.foot) + 120 * down, 36.0)
        for height in np.linspace(ends[0], ends[1], 120):
            look = np.array([0, 0, 1.0]) if height == ends[1] else np.array([0, 0.5, 0.3])
            yield self.wood.face(lamp, look, float(height), flat(beam, float(height)))
