"""A smaller copy of a picture for the screen: browsers show no HEIC, and phones have no patience."""

import os
from pathlib import Path
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from ..media import PREVIEW

#: Its longer side: sharp on a large screen, and enough for the magnifier.
LONGER_SIDE_PX: Final = 2000
QUALITY: Final = 88


def write_preview(bgr: NDArray[np.uint8], folder: Path) -> None:
    """Write the smaller copy of upright pixels, unless it is there."""
    if (folder / PREVIEW).exists():
        return
    scale = LONGER_SIDE_PX / max(bgr.shape[:2])
    if scale < 1:
        size = (round(bgr.shape[1] * scale), round(bgr.shape[0] * scale))
        bgr = cv2.resize(bgr, size, interpolation=cv2.INTER_AREA).astype(np.uint8, copy=False)
    _, jpeg = cv2.imencode(".jpg", bgr, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
    making = folder / f"making-{os.getpid()}.jpg"
    making.write_bytes(jpeg.tobytes())
    making.replace(folder / PREVIEW)
