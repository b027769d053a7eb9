"""The picture along a run of the band, straightened into a strip, and profiles across it.

A row is a station along the run, a column a distance across it.
"""

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from ..geometry.ellipse import Points
from .edges import Pixels
from .runs import BandRun

STATIONS = 160
ACROSS_STEP_PX = 0.5
#: Stations are averaged in groups, which evens out the twist of the cord.
GROUPS = 16


def straightened(lab: Pixels, run: BandRun, across_px: NDArray[np.float64]) -> tuple[Pixels, Points, Points]:
    """Strip (STATIONS, len(across_px), 3), the stations' pixels (STATIONS, 2) and the direction across."""
    along = np.linspace(0.0, 1.0, STATIONS)[:, None]
    stations = run.start_px + along * (run.end_px - run.start_px)
    normal = np.array([-run.direction[1], run.direction[0]])
    x = (stations[:, :1] + across_px * normal[0]).astype(np.float32)
    y = (stations[:, 1:] + across_px * normal[1]).astype(np.float32)
    strip = cv2.remap(lab, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(gaussian_filter1d(strip, 0.7, axis=0)), stations, normal


def profiles(strip: Pixels, guess_px: NDArray[np.float64] | None = None) -> NDArray[np.float64]:
    """Profiles (GROUPS, columns, 3) across the cord, the strip straightened along the guess if there is one.

    Lightness is made linear in the light: a lens blurs light, not its square root.
    """
    straight = strip if guess_px is None else _shifted(strip, guess_px)
    groups = np.array_split(straight.astype(np.float64), GROUPS)
    medians = np.stack([np.median(group, axis=0) for group in groups])
    medians[..., 0] = 255 * ((medians[..., 0] / 2.55 + 16) / 116) ** 3
    return medians


def _shifted(strip: Pixels, guess_px: NDArray[np.float64]) -> Pixels:
    columns = np.arange(strip.shape[1], dtype=np.float32)
    x = columns[None, :] + (guess_px / ACROSS_STEP_PX).astype(np.float32)[:, None]
    y = np.broadcast_to(np.arange(STATIONS, dtype=np.float32)[:, None], x.shape)
    rows = np.ascontiguousarray(y)
    return np.asarray(cv2.remap(strip, x, rows, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE))
