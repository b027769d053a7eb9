"""A picture in which the program takes the wrong thing for the wheel: a clock that is rounder and blacker."""

import math
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from tests.vision.drawn_pictures import exif_segment, write_jpeg
from tests.vision.drawn_scenes import card_px, seen_by_opencv
from tests.vision.drawn_wheels import (
    FOCAL_35MM,
    INK,
    PAPER,
    WALL,
    WHEEL,
    Painter,
    paint_band,
    paint_card,
    paint_wheel,
)
from tests.vision.drawn_wheels import SIZE as DRAWN_SIZE

#: The wheel is drawn in the middle of a picture; the camera is turned aside from it, and its lens shows more.
SIZE, SHRINK, TURN_RAD = (1200, 620), 0.55, 0.24
CLOCK_AT, CLOCK_PX = (935, 320), 235
#: The drawn wheel's ratio.
RATIO = 13.0
#: The drawn wheel's focal length, told for the shrunk scale and this picture's diagonal.
LENS_35MM = round(FOCAL_35MM * SHRINK * math.hypot(*DRAWN_SIZE) / math.hypot(*SIZE))


def _lens(focal_px: float, size: tuple[int, int]) -> NDArray[np.float64]:
    return np.array([[focal_px, 0, (size[0] - 1) / 2], [0, focal_px, (size[1] - 1) / 2], [0, 0, 1.0]])


def _turned() -> NDArray[np.float64]:
    """From pixels of the drawn picture to those of this one: a turn of the camera, and another lens."""
    focal_px = math.exp(WHEEL["log_focal"])
    aside, _ = cv2.Rodrigues(np.array([0.0, -TURN_RAD, 0.0]))
    inverse = np.linalg.inv(_lens(focal_px, DRAWN_SIZE))
    return np.asarray(_lens(SHRINK * focal_px, SIZE) @ aside @ inverse)


def _seen_px(points_px: NDArray[np.float64]) -> list[tuple[float, float]]:
    seen = cv2.perspectiveTransform(points_px[None], _turned())[0]
    return [(float(x), float(y)) for x, y in seen]


def hub_px() -> tuple[float, float]:
    """Where the wheel's axle truly is."""
    return _seen_px(seen_by_opencv(np.zeros((1, 2)), 0.0, WHEEL))[0]


def card_corners_px() -> list[tuple[float, float]]:
    """Where the sides of the card cross."""
    return _seen_px(card_px(WHEEL))


def write_wheel_and_clock(path: Path) -> Path:
    painter = Painter()
    paint_wheel(painter)
    paint_band(painter)
    paint_card(painter)
    drawn = cv2.GaussianBlur(painter.as_seen(noise=0), (0, 0), 0.5 / SHRINK)
    warped = cv2.warpPerspective(drawn, _turned(), SIZE, borderMode=cv2.BORDER_CONSTANT, borderValue=WALL)
    picture = np.asarray(warped, np.uint8)
    _paint_clock(picture)
    noise = np.random.default_rng(1).normal(0, 2, picture.shape)
    noisy = np.clip(picture + noise, 0, 255).astype(np.uint8)
    return write_jpeg(path, noisy, exif_segment(1, LENS_35MM))


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
