"""Loops of the drive band: round cord on the wheel, along both runs and on the whirl. Lengths in mm."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from tests.vision.drawn_canvas import Face
from tests.vision.drawn_drive_wheels import DriveWheel
from tests.vision.drawn_pictures import Points
from tests.vision.drawn_scenes import unit
from tests.vision.drawn_solids import UPRIGHT, Axis, Lamp, Stuff, ring, rod


@dataclass(frozen=True, slots=True)
class Loop:
    """One loop of an open band: on the wheel in the groove at ``groove``, on a whirl at ``whirl_height``."""

    wheel: DriveWheel
    spindle: Axis
    pitch: float
    groove: float = 0.0
    whirl_height: float = 0.0

    def normal(self, side: int) -> float:
        """Direction in which a run (1: left of the way to the whirl, -1: right) touches wheel and whirl."""
        foot = np.array(self.spindle.foot) + self.whirl_height * np.array(self.spindle.lean)
        turn = float(np.arctan2(foot[1], foot[0]))
        normal = turn + side * np.pi / 2
        for _ in range(8):
            reach = self._reach(normal) - self.pitch
            normal = turn + side * float(np.arccos(reach / np.hypot(*foot)))
        return normal

    def _reach(self, turn: float) -> float:
        """How far the oval pitch line reaches in a direction."""
        return self.wheel.pitch * float(self.wheel.oval_at(np.array(turn)))

    def run(self, side: int) -> tuple[Points, Points]:
        """Where the middle of a run leaves the wheel and where it meets the whirl, (3,) each."""
        normal, wheel = self.normal(side), self.wheel
        # The point of an oval with this normal lies beside the normal by how fast its reach changes.
        beside = -2 * wheel.oval * wheel.pitch * np.sin(2 * (normal - wheel.oval_turn))
        start = self._reach(normal) * unit(normal) + beside * unit(normal + np.pi / 2)
        across = self.pitch * unit(normal)
        return np.array([*start, self.groove]), self.spindle.at(self.whirl_height, across[None])[0]

    def faces(self, lamp: Lamp, cord: Stuff) -> Iterator[Face]:
        """The whole loop."""
        half, left, right = 0.5 * self.wheel.cord, self.normal(1), self.normal(-1)
        for height in half * np.linspace(-0.98, 0.98, 9):
            thick = float(np.sqrt(half**2 - height**2))
            turns = (left, right + 2 * np.pi)
            middle = self.wheel.pitch * self.wheel.oval_at(np.linspace(*turns, 30 * 24 + 1))
            inner = float(middle.min()) - 2 * half
            yield from ring(cord, lamp, UPRIGHT, self.groove + float(height), (middle + thick, inner), turns)
            radii = (self.pitch + thick, self.pitch - thick)
            yield from ring(
                cord, lamp, self.spindle, self.whirl_height + float(height), radii, (right, left), 8
            )
        for side in (1, -1):
            yield from rod(cord, lamp, self.run(side), half)
