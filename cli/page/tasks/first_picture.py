"""The first picture of a clip, upright and in colour."""

from pathlib import Path

import av
import av.error
import numpy as np
from numpy.typing import NDArray

from ....vision.errors import UnreadableFileError


def first_picture(path: Path) -> NDArray[np.uint8]:
    """Decode the first picture that is whole.

    Returns
    -------
    (height, width, 3) array of uint8
        Upright pixels in OpenCV's channel order.

    Raises
    ------
    UnreadableFileError
        If there is none.
    """
    try:
        with av.open(str(path.absolute()), metadata_errors="replace") as container:
            for frame in container.decode(video=0):
                if not frame.is_corrupt:
                    pixels = np.rot90(frame.to_ndarray(format="bgr24"), round(frame.rotation / 90))
                    return np.ascontiguousarray(pixels, dtype=np.uint8)
    except (av.error.FFmpegError, IndexError, OSError) as problem:
        raise UnreadableFileError(f"{path} cannot be played: it is damaged or no clip.") from problem
    raise UnreadableFileError(f"{path} holds no whole picture; record it again.")
