"""How much the camera moves, from what stands still in the picture."""

import cv2
import numpy as np
from numpy.typing import NDArray

from .turning import activity

#: Pictures that are compared with the first.
COMPARED = 20
#: They are compared about this wide.
COMPARED_WIDTH_PX = 320
#: Differences of pictures that tell what stands still.
DIFFERENCES = 25
#: Activity (log scale, see :class:`.turning.Activity`) above which a pixel does not stand still.
STILL = 0.5


def camera_sway_px(gray: NDArray[np.uint8]) -> float:
    """Root mean square of the picture's shift against the first, in gray pixels.

    Phase correlation of the parts that change least. 0 where nothing stands out enough to be followed.
    """
    shrink = max(1, gray.shape[2] // COMPARED_WIDTH_PX)
    height, width = gray.shape[1] // shrink, gray.shape[2] // shrink
    seen = activity(gray, DIFFERENCES)
    still = cv2.resize(
        (seen.level < STILL).astype(np.float32), (width, height), interpolation=cv2.INTER_LINEAR
    )
    window = cv2.createHanningWindow((width, height), cv2.CV_32F) * cv2.blur(still, (15, 15))
    level = float(gray[0].mean())

    def windowed(picture: NDArray[np.uint8]) -> NDArray[np.float32]:
        small = cv2.resize(picture, (width, height), interpolation=cv2.INTER_AREA)
        return np.asarray((small - level) * window, np.float32)

    first = windowed(gray[0])
    shifts = []
    for i in np.unique(np.linspace(1, len(gray) - 1, COMPARED).astype(int)):
        (dx, dy), response = cv2.phaseCorrelate(first, windowed(gray[i]))
        shifts.append((dx**2 + dy**2) if response > 0.05 else 0.0)
    return float(shrink * np.sqrt(np.mean(shifts)))
