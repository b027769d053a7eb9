"""A picture file becomes upright pixels and what the camera says about itself.

It is turned upright here, once, so that everything after works in the picture as a viewer shows it.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from ..errors import UnreadableFileError
from .decoding import CHECK_NAME, decoded

#: Half the diagonal of a 36 x 24 mm frame is 21.633 mm; the 35 mm equivalent relates to the whole one.
FULL_FRAME_DIAGONAL_MM = math.hypot(36.0, 24.0)

#: A phone's main camera, taken where the file says nothing: 27 mm equivalent, give or take a third.
USUAL_FOCAL_35MM = 27.0
RELATIVE_DOUBT_WITHOUT_EXIF = 0.35
#: Some cameras mean the diagonal, some the width of the picture: 3.9 % apart on 4:3 pictures.
RELATIVE_DOUBT_WITH_EXIF = 0.05

#: Scale and shift (3, 4) of L*, a* and b* to the range of 8 bits.
LAB_AS_8_BIT = np.array([[2.55, 0, 0, 0], [0, 1, 0, 128], [0, 0, 1, 128]])


def _light_of_values() -> NDArray[np.float32]:
    """Light, from 0 to 255, that each of the 256 values of sRGB stands for (IEC 61966-2-1)."""
    value = np.arange(256) / 255
    light = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    return np.asarray(255 * light, dtype=np.float32)


LIGHT_OF_VALUE = _light_of_values()


@dataclass(frozen=True, slots=True)
class Size:
    """Width and height of an upright picture."""

    width_px: int
    height_px: int

    def contains(self, point_px: tuple[float, float]) -> bool:
        """Whether a pixel position lies in the picture."""
        x, y = point_px
        return -0.5 <= x < self.width_px - 0.5 and -0.5 <= y < self.height_px - 0.5


@dataclass(frozen=True)
class Picture:
    """Upright pixels and the camera's focal length.

    Attributes
    ----------
    name : str
        The file's name, without folders.
    bgr : (height, width, 3) array of uint8
        Upright pixels in OpenCV's channel order.
    focal_px : float
        Focal length in pixels of the upright picture; from EXIF where ``focal_known``, else a guess.
    focal_known : bool
        True if the file tells its 35 mm equivalent focal length.
    """

    name: str
    bgr: NDArray[np.uint8]
    focal_px: float
    focal_known: bool

    @property
    def width_px(self) -> int:
        """Width of the upright picture."""
        return int(self.bgr.shape[1])

    @property
    def height_px(self) -> int:
        """Height of the upright picture."""
        return int(self.bgr.shape[0])

    @cached_property
    def lab(self) -> NDArray[np.float32]:
        """Pixels as CIELAB, (h, w, 3): L* times 2.55, a* and b* plus 128, so that all run from 0 to 255."""
        return cielab(self.bgr)

    @cached_property
    def light(self) -> NDArray[np.float32]:
        """How much light each pixel stands for in each channel, (h, w, 3), from 0 to 255.

        A lens blurs light. Where black meets white the middle of an edge in the file's own values lies half
        a pixel inside the black.
        """
        return np.asarray(cv2.LUT(self.bgr, LIGHT_OF_VALUE), dtype=np.float32)

    @property
    def relative_focal_doubt(self) -> float:
        """Standard uncertainty of the focal length, as a share of it."""
        return RELATIVE_DOUBT_WITH_EXIF if self.focal_known else RELATIVE_DOUBT_WITHOUT_EXIF

    @property
    def size(self) -> Size:
        """Width and height of the upright picture."""
        return Size(self.width_px, self.height_px)

    def contains(self, point_px: tuple[float, float]) -> bool:
        """Whether a pixel position lies in the picture."""
        return self.size.contains(point_px)


def cielab(bgr: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Pixels (h, w, 3) as CIELAB in steps like those of 8 bits, but not rounded to them.

    OpenCV's own 8-bit conversion has uneven steps, which shift edges.
    """
    pixels = bgr.astype(np.float32)
    pixels *= np.float32(1 / 255)
    lab = cv2.cvtColor(pixels, cv2.COLOR_BGR2LAB, dst=pixels)
    return np.asarray(cv2.transform(lab, LAB_AS_8_BIT), dtype=np.float32)


def open_picture(path: Path) -> Picture:
    """Read a picture whole and turn it upright.

    JPEG, PNG, WebP, TIFF, BMP, GIF, HEIC and AVIF, with 8 or 16 bits, grey or in colour, by the colour
    profile in them; of files with several pictures the main one.

    Raises
    ------
    UnreadableFileError
        If the file is missing, empty, broken off, too large or no picture; the message says so.
    """
    try:
        exists = path.exists()
    except OSError as problem:
        raise UnreadableFileError(f"{path} cannot be opened ({problem.strerror}). {CHECK_NAME}") from problem
    if not exists:
        raise UnreadableFileError(f"There is no file {path}. {CHECK_NAME}")
    if path.is_dir():
        raise UnreadableFileError(f"{path} is a folder, not a picture. Name one picture file in it.")
    if not path.is_file():
        raise UnreadableFileError(f"{path} is a device, not a picture. Name a picture file.")
    if path.stat().st_size == 0:
        raise UnreadableFileError(f"{path} is empty (0 bytes). Copy it from the camera once more.")
    upright = decoded(path)
    bgr = cv2.cvtColor(np.asarray(upright.rgb), cv2.COLOR_RGB2BGR).astype(np.uint8, copy=False)
    diagonal_px = math.hypot(*upright.rgb.size)
    known = upright.focal_35mm is not None
    equivalent_mm = upright.focal_35mm if upright.focal_35mm is not None else USUAL_FOCAL_35MM
    return Picture(path.name, bgr, equivalent_mm / FULL_FRAME_DIAGONAL_MM * diagonal_px, known)
