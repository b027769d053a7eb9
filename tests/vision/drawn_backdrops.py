"""What lies behind a wheel: wall and floor with soft light, boards, and things that are round too."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray
from tests.vision.drawn_canvas import Colour, Face, shaded
from tests.vision.drawn_pictures import Points, light_of
from tests.vision.drawn_scenes import unit

#: Colours of sRGB, blue first.
WALLS: tuple[Colour, ...] = (
    (178, 186, 190),
    (150, 152, 148),
    (120, 132, 136),
    (170, 160, 150),
    (110, 120, 104),
    (128, 116, 140),
    (205, 212, 216),
    (88, 110, 150),
    (96, 92, 90),
    (140, 160, 190),
)
FLOORS: tuple[Colour, ...] = ((58, 84, 120), (40, 56, 82), (92, 120, 150), (70, 70, 74), (60, 80, 140))
THINGS: tuple[Colour, ...] = (
    (210, 214, 214),
    (120, 60, 40),
    (50, 60, 140),
    (70, 110, 60),
    (90, 140, 180),
    (40, 44, 48),
    (140, 130, 60),
)


@dataclass(frozen=True, slots=True)
class Backdrop:
    """A wall down to a line in the picture, a floor below it; drawn from a random generator of its own."""

    size: tuple[int, int]
    floor_from: float
    slope: float
    boards: int
    clutter: int
    shadow: tuple[float, float, float, float]
    seed: int

    def _rng(self, purpose: int) -> np.random.Generator:
        return np.random.default_rng([self.seed, purpose])

    def wall(self) -> NDArray[np.float32]:
        """Light (h, w, 3) of the wall, blotched and brighter on one side."""
        rng, (width, height) = self._rng(0), self.size
        colour = light_of(np.array(WALLS[rng.integers(len(WALLS))], dtype=float))
        blotches = cv2.resize(rng.normal(size=(24, 32)), self.size, interpolation=cv2.INTER_CUBIC)
        y, x = np.mgrid[:height, :width].astype(np.float32)
        way = unit(rng.uniform(0, 2 * np.pi))
        slope = rng.uniform(0.05, 0.45) * (way[0] * (x / width - 0.5) + way[1] * (y / height - 0.5))
        fine = cv2.GaussianBlur(rng.normal(size=(height, width)), (0, 0), 1.5)
        light = (1 + 0.04 * blotches + slope + rng.uniform(0.02, 0.12) * fine)[..., None] * colour
        return np.asarray(np.clip(light, 0, 1), dtype=np.float32)

    def flat_faces(self) -> Iterator[Face]:
        """Boards of the wall, its foot and the floor, in pixels."""
        rng, (width, height) = self._rng(1), self.size
        left, right = self.floor_from * height, (self.floor_from + self.slope) * height
        colour = WALLS[rng.integers(len(WALLS))]
        edges = np.sort(rng.uniform(-0.1, 1.1, self.boards)) * width
        for x, next_x in pairwise(edges):
            leaning = self.slope * height
            outline = np.array(
                [[x, -5.0], [next_x - 3, -5.0], [next_x - 3 - leaning, right], [x - leaning, left]]
            )
            yield Face(0, (outline,), shaded(colour, rng.uniform(0.75, 1.1)), 0.03)
        floor = FLOORS[rng.integers(len(FLOORS))]
        foot = np.array(
            [[-9, left - 22], [width + 9, right - 22], [width + 9, right], [-9, left]], dtype=float
        )
        yield Face(0, (foot,), shaded(colour, rng.uniform(0.6, 1.3)))
        for k in range(14):
            x, wide = width * (k / 7 - 0.5), width / 7
            x_far = 0.5 * width + 0.55 * (x - 0.5 * width)
            lines = [[x_far, left], [x_far + 0.55 * wide, left], [x + wide, height + 9.0], [x, height + 9.0]]
            outline = np.array(lines)
            outline[:2, 1] += outline[:2, 0] / width * (right - left)
            yield Face(0, (outline,), shaded(floor, rng.uniform(0.8, 1.1)), 0.06)

    def things(self, reach: float) -> Iterator[Face]:
        """Plates, clocks, hoops, baskets and pictures on the wall, in mm, within reach of the axle."""
        rng = self._rng(2)
        for _ in range(self.clutter):
            middle = rng.uniform(0.2, 1.0) * reach * unit(rng.uniform(0, 2 * np.pi))
            depth, size = -rng.uniform(140, 500), rng.uniform(50, 170)
            draw = (_plate, _clock, _hoop, _basket, _framed)[rng.integers(5)]
            yield from draw(rng, middle, size, float(depth))

    def shadow_of(self, outlines_px: list[Points]) -> NDArray[np.float32]:
        """Share (h, w) of the light that things before the wall keep from it, displaced and soft."""
        off_x, off_y, depth, soft = self.shadow
        mask = np.zeros((self.size[1], self.size[0]), np.float32)
        for outline in outlines_px:
            cv2.fillPoly(mask, [np.rint(outline + np.array([off_x, off_y])).astype(np.int32)], 1.0)
        return np.asarray(depth * cv2.GaussianBlur(mask, (0, 0), soft), dtype=np.float32)

    def falloff(self) -> NDArray[np.float32]:
        """Light (h, w, 1) as it falls off over the room and towards the picture's corners."""
        rng, (width, height) = self._rng(3), self.size
        y, x = np.mgrid[:height, :width].astype(np.float32)
        x, y = x / width - 0.5, y / height - 0.5
        way, strength = unit(rng.uniform(0, 2 * np.pi)), rng.uniform(0, 0.5)
        light = (1 + strength * (way[0] * x + way[1] * y)) * (1 - rng.uniform(0.1, 0.4) * (x**2 + y**2))
        return np.asarray(rng.uniform(0.75, 1.3) * light, dtype=np.float32)[..., None]


def _round(middle: Points, radius: float, depth: float, colour: Colour, *, hole: float = 0.0) -> Face:
    turns = unit(np.linspace(0, 2 * np.pi, 360, endpoint=False))
    outlines = [np.column_stack([middle + r * turns, np.full(360, depth)]) for r in (radius, hole) if r > 0]
    return Face(depth, tuple(outlines), colour)


def _some(rng: np.random.Generator) -> Colour:
    return shaded(THINGS[rng.integers(len(THINGS))], rng.uniform(0.6, 1.2))


def _plate(rng: np.random.Generator, middle: Points, size: float, depth: float) -> Iterator[Face]:
    for k, share in enumerate((1.0, 0.93, 0.62, 0.58)):
        yield _round(middle, share * size, depth + 0.01 * k, _some(rng))


def _clock(rng: np.random.Generator, middle: Points, size: float, depth: float) -> Iterator[Face]:
    yield _round(middle, size, depth, _some(rng))
    yield _round(middle, 0.88 * size, depth + 0.01, (222, 228, 228))
    for turn, begin, end, wide in [
        *((k * np.pi / 6, 0.72, 0.82, 0.02) for k in range(12)),
        (rng.uniform(0, 6.28), -0.1, 0.6, 0.02),
        (rng.uniform(0, 6.28), -0.1, 0.4, 0.03),
    ]:
        along, across = unit(turn), unit(turn + np.pi / 2)
        corners = [
            a * along + b * across for a, b in ((begin, wide), (end, wide), (end, -wide), (begin, -wide))
        ]
        outline = np.column_stack([middle + size * np.array(corners), np.full(4, depth + 0.02)])
        yield Face(depth + 0.02, (outline,), (30, 30, 30))


def _hoop(rng: np.random.Generator, middle: Points, size: float, depth: float) -> Iterator[Face]:
    yield _round(middle, size, depth, _some(rng), hole=size - rng.uniform(3, 9))


def _basket(rng: np.random.Generator, middle: Points, size: float, depth: float) -> Iterator[Face]:
    colour = shaded((90, 140, 180), rng.uniform(0.5, 1.0))
    for k, share in enumerate(np.linspace(1.0, 0.1, 16)):
        yield _round(middle, share * size, depth + 0.01 * k, shaded(colour, 0.7 + 0.3 * (k % 2)))


def _framed(rng: np.random.Generator, middle: Points, size: float, depth: float) -> Iterator[Face]:
    turn = unit(rng.normal(0, 0.05))
    axes = np.array([turn, [-turn[1], turn[0]]])
    for k, share in enumerate((1.0, 0.85, 0.6)):
        corners = share * size * np.array([[-1.0, -0.7], [1.0, -0.7], [1.0, 0.7], [-1.0, 0.7]])
        outline = np.column_stack([middle + corners @ axes, np.full(4, depth + 0.01 * k)])
        yield Face(depth + 0.01 * k, (outline,), _some(rng))
