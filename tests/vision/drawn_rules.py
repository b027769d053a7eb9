"""Rules and discs lying in a tilted plane before a pinhole camera, drawn with known truth.

The projection is written out here, so that a mistake in the project's own cannot hide.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from tests.vision.drawn_pictures import Bgr, Points, as_bgr, averaged

#: Background, rule and ticks in grey values.
GROUND, BODY, INK = 90.0, 205.0, 45.0


@dataclass(frozen=True)
class Stand:
    """A camera over a plane: x right and y down in it, in mm, (0, 0) in the picture's middle.

    The plane is turned about its upright axis by the tilt, so that its right-hand side is further away.
    """

    size: tuple[int, int] = (780, 260)
    focal_px: float = 2200.0
    distance_mm: float = 500.0
    tilt_rad: float = 0.0
    turn_rad: float = 0.0

    def plane_from_pixels(self, pixels: Points) -> Points:
        """Where pixels (n, 2) lie in the plane."""
        middle = (np.array(self.size) - 1) / 2
        u, v = ((pixels - middle) / self.focal_px).T
        # A point (x, y) of the plane stands at (x cos t, y, distance + x sin t) before the camera.
        x = self.distance_mm * u / (np.cos(self.tilt_rad) - u * np.sin(self.tilt_rad))
        y = v * (self.distance_mm + x * np.sin(self.tilt_rad))
        return np.column_stack([x, y])

    def pixels_from_plane(self, points_mm: Points) -> Points:
        """Where points (n, 2) of the plane are seen."""
        x, y = points_mm.T
        depth = self.distance_mm + x * np.sin(self.tilt_rad)
        seen = np.column_stack([x * np.cos(self.tilt_rad), y]) / depth[:, None]
        return np.asarray(seen * self.focal_px + (np.array(self.size) - 1) / 2)

    def turned(self, points_mm: Points) -> Points:
        """Points of the plane in coordinates turned with what lies in it."""
        cosine, sine = np.cos(self.turn_rad), np.sin(self.turn_rad)
        return np.asarray(points_mm @ np.array([[cosine, -sine], [sine, cosine]]))

    def drawn(
        self, grey_at: Callable[[Points], NDArray[np.float64]], noise: float = 4.0, seed: int = 0
    ) -> Bgr:
        """The picture of a plane with grey values ``grey_at`` (points in mm)."""
        grey = averaged(self.size, lambda px: grey_at(self.turned(self.plane_from_pixels(px))), samples=3)
        return as_bgr(grey, blur_px=0.6, noise=noise, seed=seed)


@dataclass(frozen=True)
class DrawnRule:
    """A rule whose ticks start at its upper edge, y = 0, and run down into it.

    ``lengths_mm`` holds for each period how long the ticks are that it divides, the first period being 1.
    """

    step_mm: float
    lengths_mm: tuple[tuple[int, float], ...]
    ticks: int
    width_mm: float = 28.0
    tick_mm: float = 0.25
    inked: float = INK

    @property
    def start_mm(self) -> float:
        """Where the first tick stands."""
        return -0.5 * self.step_mm * (self.ticks - 1)

    def length_of(self, number: NDArray[np.intp]) -> NDArray[np.float64]:
        """Length of each tick."""
        length = np.zeros(number.shape)
        for period, length_mm in self.lengths_mm:
            length = np.where(number % period == 0, length_mm, length)
        return length

    def grey_at(self, points_mm: Points) -> NDArray[np.float64]:
        """Grey values of points (n, 2)."""
        x, y = points_mm.T
        number = np.rint((x - self.start_mm) / self.step_mm).astype(np.intp)
        on_tick = np.abs(x - self.start_mm - number * self.step_mm) < self.tick_mm / 2
        on_tick &= (number >= 0) & (number < self.ticks) & (y < self.length_of(number))
        on_rule = (y > 0) & (y < self.width_mm) & (np.abs(x) < -self.start_mm + 5.0)
        return np.where(on_rule, np.where(on_tick, self.inked, BODY), GROUND)

    def tick_px(self, stand: Stand, number: NDArray[np.intp], y_mm: float) -> Points:
        """Where ticks are seen at a place across the rule."""
        own = np.column_stack([self.start_mm + number * self.step_mm, np.full(len(number), y_mm)])
        cosine, sine = np.cos(stand.turn_rad), np.sin(stand.turn_rad)
        return stand.pixels_from_plane(own @ np.array([[cosine, sine], [-sine, cosine]]))


#: Tick lengths as on common rules (common practice, no source).
MM_RULE = DrawnRule(1.0, ((1, 4.0), (5, 6.0), (10, 8.5)), 151)
HALF_MM_RULE = DrawnRule(0.5, ((1, 2.5), (2, 4.0), (10, 6.0), (20, 8.5)), 201, tick_mm=0.15)
SIXTEENTHS = DrawnRule(25.4 / 16, ((1, 3.0), (2, 4.2), (4, 6.0), (8, 8.5), (16, 12.0)), 81)
THIRTY_SECONDS = DrawnRule(
    25.4 / 32, ((1, 2.5), (2, 3.5), (4, 5.0), (8, 7.0), (16, 9.5), (32, 13.0)), 129, tick_mm=0.2
)
EIGHTHS = DrawnRule(25.4 / 8, ((1, 4.0), (2, 5.5), (4, 7.5), (8, 11.0)), 49, tick_mm=0.4)
FIFTHS_ONLY = DrawnRule(1.0, ((1, 4.0), (5, 7.0)), 121)
ALL_ALIKE = DrawnRule(1.0, ((1, 5.0),), 121)
