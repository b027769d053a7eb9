"""Thin lines over a picture, their names in a strip below it, so that nothing of the picture is hidden."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from . import palette

Pixels = NDArray[np.uint8]
#: Colours that are dark on wood; they are given a light seam, the others a dark one.
DARK: Final = (palette.GREEN, palette.RUST)
INK: Final = palette.bgr(palette.INK)
PAPER: Final = palette.bgr(palette.PAPER)
#: Lines are this share of the longer side wide, so that they look alike at any size.
LINE_SHARE: Final = 1 / 700
THINNEST_PX: Final = 2
#: So large that the words can be read on a phone, which shows the whole width.
TEXT_SHARE: Final = 1 / 40
SMALLEST_LETTER_PX: Final = 14
#: OpenCV draws to fractions of a pixel: coordinates times 2**SHIFT.
SHIFT: Final = 4
FONT: Final = cv2.FONT_HERSHEY_SIMPLEX


@dataclass(frozen=True, slots=True)
class Line:
    """One polyline: what it shows, where it runs, and a word to write at its end."""

    name: str
    points_px: NDArray[np.float64]
    closed: bool
    word: str = ""


def drawn(bgr: Pixels, lines: Sequence[Line], colours: Mapping[str, str]) -> bytes:
    """Draw lines onto a copy of a picture, name them below it, and give a PNG file's bytes.

    Parameters
    ----------
    bgr : (height, width, 3) array of uint8
    lines : sequence of Line
    colours : mapping of str to str
        The colour of each name, in the order of the strip.
    """
    canvas = bgr.copy()
    longer_px = max(canvas.shape[:2])
    letter_px = max(SMALLEST_LETTER_PX, longer_px * TEXT_SHARE)
    for line in lines:
        _draw(canvas, line, colours[line.name], max(THINNEST_PX, round(longer_px * LINE_SHARE)))
    for line in lines:
        if line.word:
            _write(canvas, line.word, line.points_px[-1], 0.8 * letter_px)
    named = {name: colour for name, colour in colours.items() if any(line.name == name for line in lines)}
    return png_of(_above(canvas, _legend(canvas.shape[1], letter_px, named)))


def png_of(bgr: Pixels) -> bytes:
    """Encode pixels as a PNG file."""
    written, png = cv2.imencode(".png", bgr)
    if not written:
        raise ValueError("the picture could not be encoded as PNG")
    return png.tobytes()


def _draw(canvas: Pixels, line: Line, colour: str, width_px: int) -> None:
    """Draw a line in its colour with a thin seam, so that it shows on light and on dark ground."""
    points = np.round(line.points_px * 2**SHIFT).astype(np.int32).reshape(-1, 1, 2)
    seam = PAPER if colour in DARK else INK
    for colour_bgr, thickness in ((seam, width_px + 2), (palette.bgr(colour), width_px)):
        cv2.polylines(canvas, [points], line.closed, colour_bgr, thickness, cv2.LINE_AA, SHIFT)


def _write(canvas: Pixels, word: str, end_px: NDArray[np.float64], letter_px: float) -> None:
    """Write a word beside the end of a line, dark on a light seam, inside the picture."""
    scale = cv2.getFontScaleFromHeight(FONT, round(letter_px * 0.7))
    stroke = max(1, round(letter_px / 14))
    (width_px, height_px), _ = cv2.getTextSize(word, FONT, scale, stroke)
    x = min(max(end_px[0] + 0.4 * letter_px, 0), canvas.shape[1] - width_px)
    y = min(max(end_px[1] + height_px, height_px), canvas.shape[0] - 4)
    seam = [(dx, dy, PAPER) for dx in (-stroke, 0, stroke) for dy in (-stroke, 0, stroke)]
    for dx, dy, colour_bgr in (*seam, (0, 0, INK)):
        place = (round(x) + dx, round(y) + dy)
        cv2.putText(canvas, word, place, FONT, scale, colour_bgr, stroke, cv2.LINE_AA)


def _above(picture: Pixels, strip: Pixels) -> Pixels:
    """Stack the picture on the strip; a picture that is narrower is given a margin to the right."""
    margin_px = strip.shape[1] - picture.shape[1]
    return np.vstack([np.pad(picture, ((0, 0), (0, margin_px), (0, 0)), constant_values=PAPER[0]), strip])


def _legend(width_px: int, letter_px: float, colours: Mapping[str, str]) -> Pixels:
    """Name the lines in a strip, in as many rows as they need."""
    scale = cv2.getFontScaleFromHeight(FONT, round(letter_px * 0.7))
    stroke = max(1, round(letter_px / 14))
    widths = [cv2.getTextSize(name, FONT, scale, stroke)[0][0] + 4 * letter_px for name in colours]
    places = _in_rows(widths, width_px - letter_px)
    rows = 1 + max((row for row, _ in places), default=0)
    needed_px = math.ceil(max(widths, default=0) + letter_px)
    strip = np.full((round(letter_px * (1.8 * rows + 0.4)), max(width_px, needed_px), 3), PAPER, np.uint8)
    for (name, colour), (row, along_px) in zip(colours.items(), places, strict=True):
        x, y = letter_px + along_px, letter_px * (1.5 + 1.8 * row)
        sample = np.array([(x, y - 0.35 * letter_px), (x + 1.6 * letter_px, y - 0.35 * letter_px)])
        _draw(strip, Line(name, sample, False), colour, max(THINNEST_PX, round(letter_px / 10)))
        cv2.putText(
            strip, name, (round(x + 2.1 * letter_px), round(y)), FONT, scale, INK, stroke, cv2.LINE_AA
        )
    return strip


def _in_rows(widths_px: list[float], room_px: float) -> list[tuple[int, float]]:
    """Row and place along it for each of some widths, set one after the other as words are."""
    places, row, along_px = [], 0, 0.0
    for width_px in widths_px:
        if along_px and along_px + width_px > room_px:
            row, along_px = row + 1, 0.0
        places.append((row, along_px))
        along_px += width_px
    return places
