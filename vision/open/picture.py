"""A picture file becomes upright pixels and what the camera says about itself.

EXIF orientation is applied here, once, so that everything after works in the picture as a viewer shows it.
"""

import math
import warnings
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from ..errors import UnreadableFileError

#: Half the diagonal of a 36 x 24 mm frame is 21.633 mm; the 35 mm equivalent relates to the whole one.
FULL_FRAME_DIAGONAL_MM = math.hypot(36.0, 24.0)

#: A phone's main camera, taken where the file says nothing: 27 mm equivalent, give or take a third.
USUAL_FOCAL_35MM = 27.0
RELATIVE_DOUBT_WITHOUT_EXIF = 0.35
#: Some cameras mean the diagonal, some the width of the picture: 3.9 % apart on 4:3 pictures.
RELATIVE_DOUBT_WITH_EXIF = 0.05

REMEDY = "Give a photo as the camera saved it, for example a JPEG or PNG file."
CHECK_NAME = "Check the name and the folder."


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

    @property
    def relative_focal_doubt(self) -> float:
        """Standard uncertainty of the focal length, as a share of it."""
        return RELATIVE_DOUBT_WITH_EXIF if self.focal_known else RELATIVE_DOUBT_WITHOUT_EXIF

    def contains(self, point_px: tuple[float, float]) -> bool:
        """Whether a pixel position lies in the picture."""
        x, y = point_px
        return -0.5 <= x < self.width_px - 0.5 and -0.5 <= y < self.height_px - 0.5


def cielab(bgr: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Pixels (h, w, 3) as CIELAB in steps like those of 8 bits, but not rounded to them.

    OpenCV's own 8-bit conversion has uneven steps, which shift edges.
    """
    lab = np.asarray(cv2.cvtColor(bgr.astype(np.float32) / np.float32(255), cv2.COLOR_BGR2LAB))
    lab = lab * np.array([2.55, 1, 1], np.float32) + np.array([0, 128, 128], np.float32)
    return np.asarray(lab, dtype=np.float32)


def open_picture(path: Path) -> Picture:
    """Read a picture whole and turn it upright.

    Raises
    ------
    UnreadableFileError
        If the file is missing, empty, broken off or no picture; the message says so.
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
    return _decoded(path)


def _decoded(path: Path) -> Picture:
    try:
        with warnings.catch_warnings():
            # Very large pictures, and damaged EXIF that is of no consequence.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            warnings.simplefilter("ignore", UserWarning)
            with Image.open(path) as stored:
                focal_35mm = _focal_35mm(stored)
                upright = _eight_bits(ImageOps.exif_transpose(stored)).convert("RGB")
    except PermissionError as problem:
        raise UnreadableFileError(f"{path} is a file that you may not read. {CHECK_NAME}") from problem
    except UnidentifiedImageError as problem:
        raise UnreadableFileError(f"{path} is not a picture that can be read here. {REMEDY}") from problem
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as problem:
        raise UnreadableFileError(f"{path} is damaged or broken off: {problem}. {REMEDY}") from problem
    bgr = cv2.cvtColor(np.asarray(upright), cv2.COLOR_RGB2BGR).astype(np.uint8, copy=False)
    diagonal_px = math.hypot(*upright.size)
    known = focal_35mm is not None
    equivalent_mm = focal_35mm if focal_35mm is not None else USUAL_FOCAL_35MM
    return Picture(path.name, bgr, equivalent_mm / FULL_FRAME_DIAGONAL_MM * diagonal_px, known)


def _eight_bits(picture: Image.Image) -> Image.Image:
    """The picture, or its upper 8 bits if it is grey in 16 bits, which Pillow would clip."""
    if not picture.mode.startswith("I"):
        return picture
    return Image.fromarray((np.asarray(picture) / 257).round().clip(0, 255).astype(np.uint8))


def _focal_35mm(stored: Image.Image) -> float | None:
    """Read FocalLengthIn35mmFilm from EXIF; None where it is absent or nonsense."""
    details = stored.getexif().get_ifd(ExifTags.IFD.Exif)
    try:
        equivalent_mm = float(details.get(ExifTags.Base.FocalLengthIn35mmFilm, 0))
    except (TypeError, ValueError):
        return None
    return equivalent_mm if 8.0 <= equivalent_mm <= 1000.0 else None
