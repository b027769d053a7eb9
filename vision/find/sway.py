"""How much the camera moves, from what stands still in the picture."""

import cv2
import numpy as np
from numpy.typing import NDArray

from .turning import activity

#: Pictures that are compared with the first.
COMPARED = 40
#: Activity (log scale, see :func:`.turning.activity`) above which a pixel does not stand still.
STILL = 0.5


def camera_sway_px(gray: NDArray[np.uint8]) -> float:
    """Root mean square of the picture's shift against the first, in gray pixels.

    Phase correlation of the parts that change least. 0 where nothing stands out enough to be followed.
    """
    active, _ = activity(gray)
    height, width = gray.shape[1:]
    still = cv2.resize((active < STILL).astype(np.float32), (width, height), interpolation=cv2.INTER_LINEAR)
    window = cv2.createHanningWindow((width, height), cv2.CV_32F) * cv2.blur(still, (15, 15))
    level = gray[0].astype(np.float32).mean()
    first = (gray[0] - level) * window
    shifts = []
    for i in np.unique(np.linspace(1, len(gray) - 1, COMPARED).astype(int)):
        (dx, dy), response = cv2.phaseCorrelate(first, ((gray[i] - level) * window).astype(np.float32))
        shifts.append((dx**2 + dy**2) if response > 0.05 else 0.0)
    return float(np.sqrt(np.mean(shifts)))
