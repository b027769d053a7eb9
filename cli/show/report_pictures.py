"""Pictures for a report: scaled down, with nothing of the camera's notes, inside the page itself."""

import base64
import io
from pathlib import Path
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from ...vision.errors import UnreadableFileError
from ...vision.open.picture import open_picture
from ..keep.entries import KeptReading
from ..keep.facts import sha256_of
from ..keep.telling import ToldWheel
from .report_contents import ReportPicture

#: Enough for half a page's width in print, at 300 dots an inch.
LONGEST_PX: Final = 1200
JPEG_QUALITY: Final = 85


def report_picture(text: str, told: ToldWheel) -> ReportPicture:
    """Take a picture into a report.

    Parameters
    ----------
    text : str
        A file that the program can open, or ``WORDS=FILE`` with the words to stand below it. Without words
        it is called by its file's name, and by the reading that was taken from it.
    told : ToldWheel

    Raises
    ------
    UnreadableFileError
        If it cannot be read.
    """
    words, path = _words_and_path(text)
    bgr = open_picture(path).bgr
    return picture_of(bgr, words or _caption(path, told))


def picture_of(bgr: NDArray[np.uint8], caption: str) -> ReportPicture:
    """Take upright pixels in OpenCV's order into a report, with the words to stand below them."""
    scale = min(1.0, LONGEST_PX / max(bgr.shape[:2]))
    size = (max(1, round(bgr.shape[1] * scale)), max(1, round(bgr.shape[0] * scale)))
    smaller = cv2.resize(bgr, size, interpolation=cv2.INTER_AREA) if scale < 1 else bgr
    jpeg = io.BytesIO()
    # Colour as fine as light, so that thin coloured lines stay what they are.
    Image.fromarray(cv2.cvtColor(smaller, cv2.COLOR_BGR2RGB)).save(
        jpeg, "JPEG", quality=JPEG_QUALITY, subsampling=0
    )
    coded = base64.b64encode(jpeg.getvalue()).decode("ascii")
    return ReportPicture(
        f"data:image/jpeg;base64,{coded}", *size, caption, f"Picture of the wheel: {caption}"
    )


def _words_and_path(text: str) -> tuple[str, Path]:
    """A name may hold an equals sign itself; what is there as a file is meant as one."""
    words, named, path = text.partition("=")
    if not named or _is_there(Path(text)):
        return "", Path(text)
    return " ".join(words.split()), Path(path)


def _is_there(path: Path) -> bool:
    try:
        return path.exists()
    except OSError:
        return False


def _caption(path: Path, told: ToldWheel) -> str:
    read = _reading_of(path, told)
    return f"{path.name}, read as {read.id}" if read else path.name


def _reading_of(path: Path, told: ToldWheel) -> KeptReading | None:
    try:
        checksum = sha256_of(path)
    except OSError as problem:
        raise UnreadableFileError(f"{path} can no longer be read ({problem.strerror}).") from problem
    return next((kept for kept in told.used if kept.sha256 == checksum), None)
