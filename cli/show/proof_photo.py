"""The proof picture of a photo: the picture itself, with thin lines where the tool saw something.

Below the picture stands a strip with the names of the lines, so that nothing of the picture is hidden.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from ...vision.measured import NotMeasured
from ...vision.photo_reading import PhotoReading, Point
from . import palette

Pixels = NDArray[np.uint8]
#: What each line shows, in the order of the strip.
COLOURS: Final = {
    "rim": palette.SKY,
    "where the band runs on the whirl": palette.YELLOW,
    "band, straight runs": palette.ROSE,
    "reference": palette.GREEN,
    "axle, in the plane of the band": palette.RUST,
}
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
class _Line:
    """One polyline: what it shows and where it runs."""

    name: str
    points_px: NDArray[np.float64]
    closed: bool


def proof_of_photo(bgr: Pixels, reading: PhotoReading) -> bytes:
    """Draw what was found onto the upright picture and give it as a PNG file's bytes.

    Parameters
    ----------
    bgr : (height, width, 3) array of uint8
        Upright pixels; left as they are.
    reading : PhotoReading
        What was found in them.
    """
    canvas = bgr.copy()
    longer_px = max(canvas.shape[:2])
    lines = list(_lines(reading, cross_px=longer_px / 60))
    for line in lines:
        _draw(canvas, line, max(THINNEST_PX, round(longer_px * LINE_SHARE)))
    names = [name for name in COLOURS if any(line.name == name for line in lines)]
    return png_of(
        _above(canvas, _legend(canvas.shape[1], max(SMALLEST_LETTER_PX, longer_px * TEXT_SHARE), names))
    )


def png_of(bgr: Pixels) -> bytes:
    """Encode pixels as a PNG file."""
    written, png = cv2.imencode(".png", bgr)
    if not written:
        raise ValueError("the picture could not be encoded as PNG")
    return png.tobytes()


def _lines(reading: PhotoReading, cross_px: float) -> Iterable[_Line]:
    for reference in reading.references:
        outline = reference.circle_px or reference.corners_px
        yield _Line("reference", np.array(outline, float), len(outline) > 2)
    if not isinstance(reading.wheel, NotMeasured):
        yield _Line("rim", reading.wheel.evidence.outline_px, True)
        yield from _cross("axle, in the plane of the band", reading.wheel.hub_px, cross_px)
    for run in reading.band_runs:
        yield _Line("band, straight runs", np.array(run.ends_px, float), False)
    for whirl in reading.whirls:
        yield _Line("where the band runs on the whirl", whirl.outline_px, True)


def _cross(name: str, centre_px: Point, size_px: float) -> Iterable[_Line]:
    x, y = centre_px
    for dx, dy in ((size_px, 0.0), (0.0, size_px)):
        yield _Line(name, np.array([(x - dx, y - dy), (x + dx, y + dy)]), False)


def _draw(canvas: Pixels, line: _Line, width_px: int) -> None:
    """Draw a line in its colour with a thin seam, so that it shows on light and on dark ground."""
    points = np.round(line.points_px * 2**SHIFT).astype(np.int32).reshape(-1, 1, 2)
    colour = COLOURS[line.name]
    seam = PAPER if colour in DARK else INK
    for colour_bgr, thickness in ((seam, width_px + 2), (palette.bgr(colour), width_px)):
        cv2.polylines(canvas, [points], line.closed, colour_bgr, thickness, cv2.LINE_AA, SHIFT)


def _above(picture: Pixels, strip: Pixels) -> Pixels:
    """Stack the picture on the strip; a picture that is narrower is given a margin to the right."""
    margin_px = strip.shape[1] - picture.shape[1]
    return np.vstack([np.pad(picture, ((0, 0), (0, margin_px), (0, 0)), constant_values=PAPER[0]), strip])


def _legend(width_px: int, letter_px: float, names: list[str]) -> Pixels:
    """Name the lines in a strip, in as many rows as they need."""
    scale = cv2.getFontScaleFromHeight(FONT, round(letter_px * 0.7))
    stroke = max(1, round(letter_px / 14))
    widths = [cv2.getTextSize(name, FONT, scale, stroke)[0][0] + 4 * letter_px for name in names]
    places = _in_rows(widths, width_px - letter_px)
    rows = 1 + max((row for row, _ in places), default=0)
    needed_px = math.ceil(max(widths, default=0) + letter_px)
    strip = np.full((round(letter_px * (1.8 * rows + 0.4)), max(width_px, needed_px), 3), PAPER, np.uint8)
    for name, (row, along_px) in zip(names, places, strict=True):
        x, y = letter_px + along_px, letter_px * (1.5 + 1.8 * row)
        sample = np.array([(x, y - 0.35 * letter_px), (x + 1.6 * letter_px, y - 0.35 * letter_px)])
        _draw(strip, _Line(name, sample, False), max(THINNEST_PX, round(letter_px / 10)))
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
