"""A picture in which the program takes the wrong thing for the wheel: a clock that is rounder and blacker."""

import math
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from tests.vision.drawn_pictures import exif_segment, write_jpeg
from tests.vision.drawn_scenes import card_px, seen_by_opencv
from tests.vision.drawn_wheels import (
    INK,
    PAPER,
    WALL,
    WHEEL,
    Painter,
    paint_band,
    paint_card,
    paint_wheel,
)

#: The wheel's picture is made smaller and put here; the drawn wheel's ratio is 13.
WHEEL_SIZE, WHEEL_AT = (720, 540), (0, 40)
CLOCK_AT, CLOCK_PX = (935, 320), 235
RATIO = 13.0


def hub_px() -> tuple[float, float]:
    """Where the wheel's axle truly is."""
    whole = seen_by_opencv(np.zeros((1, 2)), 0.0, WHEEL)[0]
    shrink = WHEEL_SIZE[0] / 1200
    x, y = (whole + 0.5) * shrink - 0.5 + WHEEL_AT
    return float(x), float(y)


def card_corners_px() -> list[tuple[float, float]]:
    """Where the sides of the card cross."""
    whole = card_px(WHEEL)
    shrink = WHEEL_SIZE[0] / 1200
    return [(float(x), float(y)) for x, y in (whole + 0.5) * shrink - 0.5 + WHEEL_AT]


def write_wheel_and_clock(path: Path) -> Path:
    painter = Painter()
    paint_wheel(painter)
    paint_band(painter)
    paint_card(painter)
    picture = np.full((620, 1200, 3), WALL, np.uint8)
    (left, top), (width, height) = WHEEL_AT, WHEEL_SIZE
    wheel = cv2.resize(painter.as_seen(noise=0), WHEEL_SIZE, interpolation=cv2.INTER_AREA)
    picture[top : top + height, left : left + width] = wheel
    _paint_clock(picture)
    noise = np.random.default_rng(1).normal(0, 2, picture.shape)
    noisy = np.clip(picture + noise, 0, 255).astype(np.uint8)
    return write_jpeg(path, noisy, exif_segment(1, 45))


def _paint_clock(picture: NDArray[np.uint8]) -> None:
    cv2.circle(picture, CLOCK_AT, CLOCK_PX, INK, -1, cv2.LINE_AA)
    cv2.circle(picture, CLOCK_AT, CLOCK_PX - 20, PAPER, -1, cv2.LINE_AA)
    for hour in range(12):
        _paint_bar(picture, hour * math.pi / 6, (CLOCK_PX - 60, CLOCK_PX - 35), 6)
    _paint_bar(picture, -0.6, (-20, 100), 9)
    _paint_bar(picture, -2.1, (-20, 160), 7)


def _paint_bar(picture: NDArray[np.uint8], turn: float, ends_px: tuple[int, int], width_px: int) -> None:
    one, other = (
        (round(CLOCK_AT[0] + r * math.cos(turn)), round(CLOCK_AT[1] + r * math.sin(turn))) for r in ends_px
    )
    cv2.line(picture, one, other, INK, width_px, cv2.LINE_AA)
