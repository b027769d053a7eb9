"""A fine canvas on which faces are laid from back to front, and what a camera makes of it.

A fine pixel takes the colour of what lies at its middle, no more: OpenCV's own filling counts every pixel
that an outline touches, which would make a card drawn 100 pixels wide 0.2 % too large.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray
from tests.vision.drawn_pictures import Bgr, Points, light_of, srgb_of

#: So many fine pixels along each side of a pixel of the picture.
FINENESS = 4
#: A tile of streaks that goes on over the canvas, as wood has them; side in fine pixels.
TILE = 1024

#: So many rows of the picture are averaged at once; a tile holds a whole number of them.
ROWS = 32

Colour = tuple[float, float, float]
Light = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Face:
    """One flat face: outlines (n, 3) in mm (a second one is a hole in the first), or (n, 2) in pixels.

    ``order`` is what it is laid by: its height before the plane of the band. ``grain`` is how much darker and
    lighter its streaks are, as a share.
    """

    order: float
    outlines: tuple[Points, ...]
    colour: Colour
    grain: float = 0.0


def shaded(colour: Colour, light: float) -> Colour:
    """A colour of sRGB in more or less light."""
    lit = srgb_of(np.clip(light * light_of(np.array(colour, dtype=float)), 0, 1))
    return float(lit[0]), float(lit[1]), float(lit[2])


@cache
def _streaks() -> NDArray[np.float32]:
    noise = np.pad(np.random.default_rng(3).normal(size=(TILE, TILE)), 200, mode="wrap")
    long, short = (
        cv2.GaussianBlur(noise, (0, 0), sigmaX=x, sigmaY=y)[200:-200, 200:-200]
        for x, y in ((60.0, 5.0), (8.0, 3.0))
    )
    return np.asarray(0.7 * long / long.std() + 0.3 * short / short.std(), dtype=np.float32)


def inside(outlines: Sequence[Points], box: tuple[int, int, int, int]) -> NDArray[np.bool_]:
    """Which whole-numbered places of a box (x0, y0, x1, y1) lie within outlines (n, 2), by even and odd."""
    x0, y0, x1, y1 = box
    toggles = np.zeros((y1 - y0, x1 - x0 + 1), np.uint8)
    for begin in outlines:
        end = np.concatenate([begin[1:], begin[:1]])
        rows = np.clip(np.ceil(begin[:, 1]), y0, y1).astype(int)
        ends = np.concatenate([rows[1:], rows[:1]])
        low, count = np.minimum(rows, ends), np.abs(ends - rows)
        edge = np.repeat(np.arange(len(begin)), count)
        row = np.arange(len(edge)) - np.repeat(np.cumsum(count) - count - low, count)
        slope = (end - begin)[edge]
        crossing = begin[edge, 0] + (row - begin[edge, 1]) * slope[:, 0] / slope[:, 1]
        column = np.clip(np.ceil(crossing), x0, x1).astype(int)
        np.bitwise_xor.at(toggles.reshape(-1), (row - y0) * (x1 - x0 + 1) + column - x0, 1)
    return np.bitwise_xor.accumulate(toggles, axis=1)[:, :-1].view(bool)


@dataclass(frozen=True)
class Canvas:
    """For every fine pixel (h, w) the number of the face that lies on top there, 0 being the wall behind all.

    ``wall`` is its light (h, w, 3) for each pixel of the picture.
    """

    wall: Light
    top: NDArray[np.uint16]
    faces: list[Face] = field(default_factory=list)

    @classmethod
    def of(cls, wall: Light) -> "Canvas":
        """A canvas with nothing before its wall."""
        return cls(wall, np.zeros((wall.shape[0] * FINENESS, wall.shape[1] * FINENESS), np.uint16))

    def lay(self, faces: Iterable[Face]) -> int:
        """Lay faces in pixels over what is there, in the order in which they come; how many lie there now."""
        for face in faces:
            self.faces.append(face)
            fine = [(outline + 0.5) * FINENESS - 0.5 for outline in face.outlines]
            x0, y0 = np.maximum(np.floor(np.min([o.min(axis=0) for o in fine], axis=0)), 0).astype(int)
            x1, y1 = np.ceil(np.max([o.max(axis=0) for o in fine], axis=0)).astype(int) + 1
            x1, y1 = min(x1, self.top.shape[1]), min(y1, self.top.shape[0])
            if x0 < x1 and y0 < y1:
                where = inside(fine, (int(x0), int(y0), int(x1), int(y1)))
                np.copyto(self.top[y0:y1, x0:x1], np.uint16(len(self.faces)), where=where)
        return len(self.faces)

    def covered(self) -> Light:
        """Share (h, w) of each pixel of the picture that any face covers."""
        return _averaged((self.top > 0).astype(np.float32))

    def light(self, shadow: Light, behind: int) -> Light:
        """Light (h, w, 3) averaged over each pixel of the picture.

        ``shadow`` is the share (h, w) of the light that is kept from the wall and the first faces ``behind``.
        """
        colours = light_of(np.array([(0.0, 0.0, 0.0), *(face.colour for face in self.faces)])).astype(
            np.float32
        )
        # Streaks are meant in values of sRGB, and light goes about with their square.
        grain = 2 * np.array([0.0, *(face.grain for face in self.faces)], dtype=np.float32)
        light = np.empty_like(self.wall)
        streaks = np.tile(_streaks(), (1, self.top.shape[1] // TILE + 1))[:, : self.top.shape[1]]
        for row in range(0, len(self.wall), ROWS):
            top = self.top[row * FINENESS : (row + ROWS) * FINENESS]
            part = slice(row * FINENESS % TILE, row * FINENESS % TILE + len(top))
            lit = np.maximum(1 + grain[top] * streaks[part], 0.05)[..., None] * colours[top]
            before = _averaged(lit * (top > behind)[..., None])
            # The wall has no light of its own in the list, so its share of a pixel is put to it here.
            bare = _averaged((top == 0).astype(np.float32))[..., None]
            part = slice(row, row + ROWS)
            back = _averaged(lit) - before + bare * self.wall[part]
            light[part] = before + back * (1 - shadow[part])[..., None]
        return light


def _averaged(fine: Light) -> Light:
    size = (fine.shape[1] // FINENESS, fine.shape[0] // FINENESS)
    return np.asarray(cv2.resize(fine, size, interpolation=cv2.INTER_AREA), dtype=np.float32)


def photographed(light: NDArray[np.float32], blur_px: float, noise: float, rng: np.random.Generator) -> Bgr:
    """Light (h, w, 3) as a phone stores it: blurred, with shot noise and grain a little wider than a pixel.

    ``noise`` is its standard deviation in values of sRGB (of 255) at medium grey, before it is widened.
    """
    seen = cv2.GaussianBlur(light, (0, 0), blur_px)
    grain = cv2.GaussianBlur(np.asarray(rng.normal(size=light.shape)), (0, 0), 0.5)
    grey = srgb_of(np.asarray(seen, dtype=float)) + noise * (1.3 - 0.6 * seen) * np.asarray(grain)
    return np.asarray(np.clip(np.rint(grey), 0, 255), dtype=np.uint8)
