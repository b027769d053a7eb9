"""Pictures one after the other as they come, from a camera on the computer or from a clip as if it were one.

A camera's pictures are stamped the moment they arrive and wait in a short line, so that long reckoning in
between neither shifts their times nor fills the memory: where the line is full, the oldest is dropped.
"""

import math
import pathlib
import threading
import time
from collections import deque
from collections.abc import Callable, Generator, Iterator
from dataclasses import dataclass
from typing import Protocol, cast

import cv2
import numpy as np
from numpy.typing import NDArray

from ..errors import UnreadableFileError

#: Wider pictures are made smaller by a whole number: a wheel is followed as well in few pixels.
WIDTH_LIMIT_PX = 480
#: Pictures that wait at most.
LONGEST_LINE = 240
#: A camera that sends nothing for so long has gone.
PATIENCE_S = 5.0


@dataclass(frozen=True, slots=True)
class Snapshot:
    """One gray picture and when it was taken, in s since the first.

    It is smaller by ``shrink`` along each side than what the camera sent.
    """

    gray: NDArray[np.uint8]
    time_s: float
    shrink: int


class Capture(Protocol):
    """What is used of ``cv2.VideoCapture``."""

    def isOpened(self) -> bool: ...  # noqa: N802, D102
    def read(self) -> tuple[bool, NDArray[np.uint8] | None]: ...  # noqa: D102
    def get(self, what: int) -> float: ...  # noqa: D102
    def release(self) -> None: ...  # noqa: D102


def play_clip(path: pathlib.Path, *, at_once: bool = False) -> Iterator[Snapshot]:
    """Give a clip's pictures at the pace at which they were taken, or as fast as they are asked for.

    Raises
    ------
    UnreadableFileError
        If there is no clip to play.
    """
    if not path.is_file():
        raise UnreadableFileError(f"{path}: there is no such clip; check the name and the folder.")
    capture = _opened(str(path.absolute()))
    if not capture.isOpened():
        raise UnreadableFileError(
            f"{path}: got a file that cannot be decoded, expected a video clip such as .mp4 or .mov; "
            "record it again, or copy it again from the camera."
        )
    return _played(capture, at_once)


def _played(capture: Capture, at_once: bool) -> Iterator[Snapshot]:
    began_s, first_s = time.monotonic(), math.nan
    try:
        while True:
            there, picture = capture.read()
            if not there or picture is None:
                return
            stamp_s = capture.get(cv2.CAP_PROP_POS_MSEC) / 1000
            first_s = stamp_s if math.isnan(first_s) else first_s
            early_s = stamp_s - first_s - (time.monotonic() - began_s)
            if early_s > 0 and not at_once:
                time.sleep(early_s)
            yield _snapshot(picture, stamp_s - first_s)
    finally:
        capture.release()


def watch_camera(
    number: int, opened: Callable[[int], Capture] | None = None
) -> Generator[Snapshot, None, None]:
    """Give a camera's pictures as they come, without end.

    Parameters
    ----------
    number : int
        0 for the computer's first camera.
    opened : callable, optional
        Opens a camera; OpenCV does where none is given.

    Raises
    ------
    UnreadableFileError
        If there is no such camera, or it stops sending.
    """
    capture = (opened or _opened)(number)
    if not capture.isOpened():
        capture.release()
        raise UnreadableFileError(
            f"No camera {number} was found on this computer. Plug one in, let this program use it, or name a "
            "clip instead."
        )
    return _watched(capture, number)


def _watched(capture: Capture, number: int) -> Generator[Snapshot, None, None]:
    line: deque[tuple[NDArray[np.uint8], float]] = deque(maxlen=LONGEST_LINE)
    arrived, gone = threading.Event(), threading.Event()

    def fill() -> None:
        while not gone.is_set():
            there, picture = capture.read()
            if not there or picture is None:
                break
            line.append((picture, time.monotonic()))
            arrived.set()
        capture.release()

    threading.Thread(target=fill, daemon=True).start()
    first_s = math.nan
    try:
        while arrived.wait(PATIENCE_S):
            arrived.clear()
            while line:
                picture, at_s = line.popleft()
                first_s = at_s if math.isnan(first_s) else first_s
                yield _snapshot(picture, at_s - first_s)
        raise UnreadableFileError(f"Camera {number} stopped sending pictures. Check its cable and try again.")
    finally:
        gone.set()


def _opened(what: int | str) -> Capture:
    # What OpenCV notes about a camera that is not there, the error says in one sentence.
    cv2.utils.logging.setLogLevel(cv2.utils.logging.LOG_LEVEL_SILENT)
    return cast(Capture, cv2.VideoCapture(what))


def _snapshot(picture: NDArray[np.uint8], time_s: float) -> Snapshot:
    gray = cv2.cvtColor(picture, cv2.COLOR_BGR2GRAY) if picture.ndim == 3 else picture
    shrink = max(1, math.ceil(max(gray.shape) / WIDTH_LIMIT_PX))
    if shrink > 1:
        height, width = gray.shape[0] // shrink, gray.shape[1] // shrink
        gray = cv2.resize(
            gray[: height * shrink, : width * shrink], (width, height), interpolation=cv2.INTER_AREA
        )
    return Snapshot(np.asarray(gray, np.uint8), time_s, shrink)
