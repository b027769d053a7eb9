"""Clips of a few small pictures, in any codec; nothing turns in them."""

from pathlib import Path
from typing import Any

import av
import numpy as np


def write_clip(path: Path, codec: str) -> Path:
    with av.open(str(path), "w") as container:
        stream: Any = container.add_stream(codec, rate=25)
        stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
        for k in range(10):
            pixels = np.full((48, 64, 3), (20 * k, 100, 200), np.uint8)
            container.mux(stream.encode(av.VideoFrame.from_ndarray(pixels, format="rgb24")))
        container.mux(stream.encode())
    return path
