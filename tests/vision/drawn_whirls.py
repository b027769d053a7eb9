"""Pictures of a grooved whirl and a card, drawn side-on through a pinhole, with known truth.

Each place along the spindle is a disc square to it; its circle is projected point by point and filled, the
places farthest from the camera's foot first, so that flanges hide what lies behind them.
"""

from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

Numbers = NDArray[np.float64]

WIDTH_PX, HEIGHT_PX, FOCAL_PX = 1200, 900, 1600.0
FOCAL_35MM = FOCAL_PX * np.hypot(36.0, 24.0) / np.hypot(WIDTH_PX, HEIGHT_PX)
CARD_MM = (85.60, 53.98)
SHARPER = 2


@dataclass(frozen=True)
class DrawnWhirl:
    """Steps as (outer, bottom) diameters in mm from left to right; round grooves with upright walls."""

    steps: tuple[tuple[float, float], ...] = ((36.0, 28.0), (48.0, 40.0))
    distance_mm: float = 260.0
    turned_rad: float = 0.1
    slant_rad: float = 0.05
    middle_mm: tuple[float, float] = (10.0, 30.0)
    groove_mm: float = 3.6
    land_mm: float = 1.6
    card_mm: tuple[float, float] = (-20.0, -42.0)
    noise: float = 4.0
    ground: tuple[int, int, int] = (150, 190, 205)
    wood: tuple[int, int, int] = (45, 70, 110)
    parts: tuple[str, ...] = field(default=("whirl", "card"))

    @property
    def pitch_mm(self) -> tuple[float, ...]:
        """Pitch diameters for a cord of half the groove's width, which reaches the bottom."""
        return tuple(bottom + 0.5 * self.groove_mm for _, bottom in self.steps)

    def radii(self) -> tuple[Numbers, Numbers]:
        """Places along the spindle and radii there."""
        x: list[float] = [-14.0, 0.0]
        r: list[float] = [4.0, 4.0]
        at = 0.0
        for outer, bottom in self.steps:
            half = 0.5 * self.groove_mm
            floor = np.linspace(-half, half, 61)
            wall = 0.5 * bottom + half - np.sqrt(np.maximum(half**2 - floor**2, 0.0))
            x += [at, at + self.land_mm, *(at + self.land_mm + half + floor)]
            r += [0.5 * outer, 0.5 * outer, *wall]
            at += self.land_mm + self.groove_mm
            x += [at, at + self.land_mm, at + self.land_mm]
            r += [0.5 * outer, 0.5 * outer, 4.0]
            at += self.land_mm + 0.8
        x += [at, at + 14.0]
        r += [4.0, 4.0]
        places = np.arange(-14.0, at + 14.0, 0.04)
        return places - 0.5 * at, np.interp(places, np.array(x) + 1e-6 * np.arange(len(x)), r)


def write_whirl(path: Path, whirl: DrawnWhirl) -> None:
    """Draw the picture and write it as a JPEG with its focal length."""
    canvas = np.full((SHARPER * HEIGHT_PX, SHARPER * WIDTH_PX, 3), whirl.ground, np.uint8)
    if "card" in whirl.parts:
        half = 0.5 * np.array(CARD_MM)
        corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half + whirl.card_mm
        space = np.column_stack([corners, np.zeros(4)]) @ _axes(whirl, turned=False).T
        _fill(canvas, _pixels(space + np.array([0, 0, whirl.distance_mm])), (120, 40, 60))
    if "whirl" in whirl.parts:
        _draw_whirl(canvas, whirl)
    small = cv2.resize(canvas, (WIDTH_PX, HEIGHT_PX), interpolation=cv2.INTER_AREA)
    soft = cv2.GaussianBlur(small, (0, 0), 0.7).astype(float)
    rng = np.random.default_rng(5)
    grain = cv2.GaussianBlur(rng.normal(0, 1, (HEIGHT_PX, WIDTH_PX, 3)), (0, 0), 0.6)
    noisy = np.clip(soft + whirl.noise * grain, 0, 255).astype(np.uint8)
    picture = Image.fromarray(np.ascontiguousarray(noisy[..., ::-1]))
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0xA405] = round(FOCAL_35MM)
    picture.save(path, quality=95, exif=exif)


def _draw_whirl(canvas: NDArray[np.uint8], whirl: DrawnWhirl) -> None:
    x, radii = whirl.radii()
    axes = _axes(whirl, turned=True)
    origin = _axes(whirl, turned=False) @ [*whirl.middle_mm, 0.0] + [0.0, 0.0, whirl.distance_mm]
    foot = float(-origin @ axes[:, 0])
    turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    for k in np.argsort(-np.abs(x - foot)):
        ring = np.column_stack([np.full(len(turn), x[k]), radii[k] * np.cos(turn), radii[k] * np.sin(turn)])
        shade = 0.75 + 0.012 * radii[k]
        colour = tuple(int(min(shade * c, 255)) for c in whirl.wood)
        _fill(canvas, _pixels(ring @ axes.T + origin), (colour[0], colour[1], colour[2]))


def _axes(whirl: DrawnWhirl, *, turned: bool) -> Numbers:
    """Columns: along the spindle, across it, away from the camera; the card lies in their plane."""
    slant = cv2.Rodrigues(np.array([0.0, whirl.slant_rad, 0.0]))[0]
    spin = cv2.Rodrigues(np.array([0.0, 0.0, whirl.turned_rad if turned else 0.0]))[0]
    return np.asarray(slant @ spin, dtype=float)


def _pixels(space: Numbers) -> Numbers:
    centre = 0.5 * np.array([WIDTH_PX - 1, HEIGHT_PX - 1])
    return np.asarray(FOCAL_PX * space[:, :2] / space[:, 2:] + centre)


def _fill(canvas: NDArray[np.uint8], points_px: Numbers, colour: tuple[int, int, int]) -> None:
    fine = np.round(((points_px + 0.5) * SHARPER - 0.5) * 16).astype(np.int32)
    cv2.fillPoly(canvas, [fine.reshape(-1, 1, 2)], colour, cv2.LINE_AA, 4)
