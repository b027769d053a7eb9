"""A smaller copy of a picture for the screen: browsers show no HEIC, and phones have no patience."""

import json
import os
from pathlib import Path
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from ..media import PREVIEW, SIZE

#: Its longer side: sharp on a large screen, and enough for the magnifier.
LONGER_SIDE_PX: Final = 2000
QUALITY: Final = 88


def write_preview(bgr: NDArray[np.uint8], folder: Path, size_px: tuple[int, int] | None = None) -> None:
    """Write the smaller copy of upright pixels, unless it is there.

    ``size_px`` is the size of the file's picture, if somebody may point at places in it already; whoever sees
    it written finds the copy there, too.
    """
    if not (folder / PREVIEW).exists():
        _write_smaller(bgr, folder)
    if size_px is not None and not (folder / SIZE).exists():
        _written(folder / SIZE, json.dumps(size_px).encode("utf-8"))


def _write_smaller(bgr: NDArray[np.uint8], folder: Path) -> None:
    """Write the smaller copy."""
    scale = LONGER_SIDE_PX / max(bgr.shape[:2])
    if scale < 1:
        size = (round(bgr.shape[1] * scale), round(bgr.shape[0] * scale))
        bgr = cv2.resize(bgr, size, interpolation=cv2.INTER_AREA).astype(np.uint8, copy=False)
    _, jpeg = cv2.imencode(".jpg", bgr, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
    _written(folder / PREVIEW, jpeg.tobytes())


def _written(path: Path, content: bytes) -> None:
    """Write a file beside its place and move it there, so that nobody sees half of it."""
    making = path.with_name(f"making-{os.getpid()}-{path.name}")
    making.write_bytes(content)
    making.replace(path)
