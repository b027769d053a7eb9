"""Whole wheels as a phone would see them: painted from back to front, projected by OpenCV, with known truth.

Everything in them is invented. Light is averaged over each pixel and blurred before it is stored, as a lens
and a sensor do it.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray
from tests.vision.drawn_pictures import Bgr, Points
from tests.vision.drawn_scenes import TRUTH, seen_by_opencv, unit

SIZE = (1200, 900)
#: 35 mm equivalent in the file; the true focal length is 1 % longer than the whole number of it says.
FOCAL_35MM = 27
#: A picture is painted so many times as fine.
FINENESS = 3

Colour = tuple[int, int, int]

WALL: Colour = (150, 158, 160)
WOOD: Colour = (62, 92, 138)
DARK_WOOD: Colour = (34, 50, 78)
CORD: Colour = (236, 240, 242)
BRASS: Colour = (96, 168, 196)
CARD: Colour = (150, 88, 44)
PAPER: Colour = (238, 240, 240)
INK: Colour = (20, 20, 20)

#: The wheel of the scenes, nearer and seen from the side: ratio 273 / 21 = 13; mm and rad.
WHEEL: Mapping[str, float] = {
    **TRUTH,
    "log_focal": math.log(1.01 * FOCAL_35MM / math.hypot(36, 24) * math.hypot(*SIZE)),
    "centre_x_px": (SIZE[0] - 1) / 2,
    "centre_y_px": (SIZE[1] - 1) / 2,
    "k1": 0.0,
    "hub_u": -0.16,
    "hub_v": 0.15,
    "log_depth": math.log(900.0),
    "oval_cos": 0.0,
    "oval_sin": 0.0,
    "card_size": 1.0,
    "lean_x": 0.0,
    "lean_y": 0.0,
    "shift_left": 0.0,
    "shift_right": 0.0,
}
#: Half the rim's width, its inner radius, and the radius to which its groove is turned.
RIM_HALF_WIDTH_MM, RIM_INNER_MM, GROOVE_MM = 11.0, 250.0, 271.6
CORD_MM = 2.8
#: Radius and height of the front face of each round part about the spindle, from back to front.
BOBBIN_END, BACK_FLANGE, FRONT_FLANGE = (44.0, -38.0), (30.0, -4.0), (30.0, 6.0)
KNOB, SPINDLE_END = (16.0, 22.0), (6.0, 45.0)
#: Side of the marker's black square.
MARKER_MM = 80.0


@dataclass(frozen=True)
class Painter:
    """A fine picture that grows from back to front."""

    truth: Mapping[str, float] = field(default_factory=lambda: WHEEL)
    pixels: NDArray[np.uint8] = field(
        default_factory=lambda: np.full((FINENESS * SIZE[1], FINENESS * SIZE[0], 3), WALL, np.uint8)
    )

    def fill(self, colour: Colour, height_mm: float, *outlines_mm: Points) -> None:
        """Fill outlines (n, 2) in a plane; a second one is a hole in the first."""
        fine = [
            np.rint(((seen_by_opencv(o, height_mm, self.truth) + 0.5) * FINENESS - 0.5) * 16).astype(np.int32)
            for o in outlines_mm
        ]
        cv2.fillPoly(self.pixels, fine, colour, shift=4)

    def disc(self, colour: Colour, middle_mm: Points, radius_mm: float, height_mm: float) -> None:
        """Fill a circle."""
        self.fill(colour, height_mm, circle(middle_mm, radius_mm))

    def turned(
        self, side: Colour, face: Colour, middle_mm: Points, part: tuple[float, float], depth_mm: float
    ) -> None:
        """A cylinder: its side as circles one behind the other, its front face before them."""
        radius_mm, front_mm = part
        for height_mm in np.linspace(front_mm - depth_mm, front_mm, 8)[:-1]:
            self.disc(side, middle_mm, radius_mm, float(height_mm))
        self.disc(face, middle_mm, radius_mm, front_mm)

    def as_seen(self, blur_px: float = 0.8, noise: float = 2.0, seed: int = 0) -> Bgr:
        """The picture as the camera stores it: averaged and blurred as light, then noise."""
        # IEC 61966-2-1 (sRGB), and back.
        stored = np.arange(256) / 255
        to_light = np.where(stored <= 0.04045, stored / 12.92, ((stored + 0.055) / 1.055) ** 2.4)
        light = cv2.resize(to_light.astype(np.float32)[self.pixels], SIZE, interpolation=cv2.INTER_AREA)
        light = cv2.GaussianBlur(light, (0, 0), blur_px)
        grey = 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
        grey = grey + noise * np.random.default_rng(seed).normal(size=grey.shape)
        return np.asarray(np.clip(np.rint(grey), 0, 255), dtype=np.uint8)


def circle(middle_mm: Points, radius_mm: float) -> Points:
    """Outline (720, 2)."""
    return np.asarray(middle_mm + radius_mm * unit(np.linspace(0, 2 * np.pi, 720, endpoint=False)))


def spindle_mm(truth: Mapping[str, float] = WHEEL) -> Points:
    """Where the spindle is in the plane."""
    return np.asarray(truth["spindle_distance"] * unit(truth["spindle_angle"]))


def run_ends_mm(side: int, truth: Mapping[str, float] = WHEEL) -> Points:
    """Where a run leaves the wheel and where it meets the whirl, (2, 2): a common tangent."""
    sine = (truth["pitch_radius"] - truth["loop1_radius"]) / truth["spindle_distance"]
    normal = unit(truth["spindle_angle"] + side * math.acos(sine))
    return np.array([truth["pitch_radius"] * normal, spindle_mm(truth) + truth["loop1_radius"] * normal])


def meeting_mm(truth: Mapping[str, float] = WHEEL) -> Points:
    """Where the lines of both runs meet."""
    share = truth["pitch_radius"] / (truth["pitch_radius"] - truth["loop1_radius"])
    return np.asarray(share * spindle_mm(truth))


def paint_wheel(painter: Painter, *, band: bool = True, spokes: int = 12) -> None:
    """Rim with a groove, spokes, hub, band and the parts about the spindle."""
    middle, rim_mm = np.zeros(2), painter.truth["rim_radius"]
    hole = circle(middle, RIM_INNER_MM)
    for height_mm, radius_mm in _rim_sections(rim_mm):
        if band and height_mm == 0.0:
            paint_band(painter)
        painter.fill(DARK_WOOD, height_mm, circle(middle, radius_mm), hole)
    for turn in np.arange(spokes) * 2 * np.pi / spokes + 0.1:
        along, across = unit(turn), unit(turn + np.pi / 2)
        corners = [(20, 5), (RIM_INNER_MM, 4), (RIM_INNER_MM, -4), (20, -5)]
        painter.fill(WOOD, 0.0, np.array([a * along + b * across for a, b in corners]))
    painter.fill(WOOD, RIM_HALF_WIDTH_MM, circle(middle, rim_mm), hole)
    painter.turned(DARK_WOOD, WOOD, middle, (30.0, 20.0), 40.0)
    painter.turned(DARK_WOOD, BRASS, middle, (8.0, 32.0), 12.0)


def _rim_sections(rim_mm: float) -> Iterator[tuple[float, float]]:
    """Heights and radii through the rim, from its back to its front, flange and groove and flange."""
    for height_mm in np.linspace(-RIM_HALF_WIDTH_MM, RIM_HALF_WIDTH_MM, 23):
        yield float(height_mm), rim_mm if abs(height_mm) > 4.0 else GROOVE_MM


def paint_band(painter: Painter) -> None:
    """The parts about the spindle with both runs of the band between the whirl's flanges."""
    spindle = spindle_mm(painter.truth)
    whirl_mm = painter.truth["loop1_radius"]
    painter.turned(DARK_WOOD, WOOD, spindle, BOBBIN_END, 8.0)
    painter.turned(DARK_WOOD, WOOD, spindle, (12.0, -8.0), 30.0)
    painter.turned(DARK_WOOD, WOOD, spindle, BACK_FLANGE, 2.0)
    painter.disc(CORD, spindle, whirl_mm + CORD_MM / 2, 0.0)
    painter.disc(DARK_WOOD, spindle, whirl_mm - CORD_MM / 2, 0.0)
    for side in (1, -1):
        start, end = run_ends_mm(side, painter.truth)
        along = (end - start) / np.linalg.norm(end - start)
        half = 0.5 * CORD_MM * np.array([-along[1], along[0]])
        painter.fill(CORD, 0.0, np.array([start + half, end + half, end - half, start - half]))
    painter.turned(DARK_WOOD, WOOD, spindle, FRONT_FLANGE, 2.0)
    painter.turned(DARK_WOOD, BRASS, spindle, KNOB, 12.0)
    painter.turned(DARK_WOOD, PAPER, spindle, SPINDLE_END, 20.0)


def rounded_rectangle(long_mm: float, short_mm: float, radius_mm: float) -> Points:
    """Outline about the origin."""
    turn = np.linspace(0, np.pi / 2, 12)
    inner = 0.5 * np.array([long_mm, short_mm]) - radius_mm
    corners = [np.array(s) * inner for s in ((1, 1), (-1, 1), (-1, -1), (1, -1))]
    return np.vstack([c + radius_mm * unit(turn + k * np.pi / 2) for k, c in enumerate(corners)])


def placed(outline_mm: Points, truth: Mapping[str, float] = WHEEL) -> Points:
    """An outline about the origin, moved to where the card lies."""
    axes = np.array([unit(truth["card_turn"]), unit(truth["card_turn"] + np.pi / 2)])
    return np.asarray(outline_mm @ axes + [truth["card_x"], truth["card_y"]])


def paint_card(painter: Painter) -> None:
    """A bank card: ISO/IEC 7810 ID-1, corners rounded by 3.18 mm, with a chip and a line of print."""
    truth, height_mm = painter.truth, painter.truth["card_height"]
    painter.fill(CARD, height_mm, placed(rounded_rectangle(85.60, 53.98, 3.18), truth))
    painter.fill(BRASS, height_mm, placed(np.array([-24.0, 4.0]) + rounded_rectangle(11.0, 9.0, 1.0), truth))
    painter.fill(PAPER, height_mm, placed(np.array([0.0, -10.0]) + rounded_rectangle(60.0, 3.0, 0.5), truth))


def paint_marker(painter: Painter, number: int = 7) -> None:
    """A marker of OpenCV's dictionary DICT_4X4_50 on paper."""
    truth, height_mm = painter.truth, painter.truth["card_height"]
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    fields = cv2.aruco.generateImageMarker(dictionary, number, 6) > 128
    paper_mm = MARKER_MM * 1.3
    painter.fill(PAPER, height_mm, placed(rounded_rectangle(paper_mm, paper_mm, 0.1), truth))
    painter.fill(INK, height_mm, placed(rounded_rectangle(MARKER_MM, MARKER_MM, 0.01), truth))
    step = MARKER_MM / 6
    for row, column in zip(*np.nonzero(fields), strict=True):
        middle = step * np.array([column - 2.5, 2.5 - row])
        painter.fill(PAPER, height_mm, placed(rounded_rectangle(step, step, 0.01) + middle, truth))


@cache
def wheel_with_card() -> Bgr:
    """The wheel with its band and a card, as the camera stores it."""
    painter = Painter()
    paint_wheel(painter)
    paint_card(painter)
    return painter.as_seen()
