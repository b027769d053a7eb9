"""Time and memory of large clips: a minute of pictures is written, measured by itself, and weighed.

    python -m tests.benchmarks.large_clips [--size 1920x1080] [--per-s 60] [--seconds 60]

The clip is a small drawn one, enlarged and played over again, which is enough to weigh: decoding and cutting
out cost the same whatever is seen. It is measured in a process of its own, so that writing does not count.
"""

import argparse
import multiprocessing
import resource
import tempfile
import time
from fractions import Fraction
from functools import partial
from pathlib import Path

import av
import cv2
import numpy as np
from numpy.typing import NDArray
from tests.vision.drawn_clips import DrawnClip

from whirlwise.vision.clip import measure_clip

Floats = NDArray[np.float64]

#: Pictures that are encoded, and how often wheel and flyer (turns for one of the wheel) turn meanwhile.
PERIOD, TURNS, RATIO = 120, 2, 9.5


def write(path: Path, width: int, height: int, per_s: int, seconds: int) -> None:
    """Encode the drawn clip once, enlarged, and write its packets again and again."""
    pictures = DrawnClip(frames=PERIOD, per_s=per_s, ratio=RATIO).pictures(partial(_course, per_s))
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=per_s)
        assert isinstance(stream, av.VideoStream)
        stream.width, stream.height, stream.pix_fmt = width, height, "yuv420p"
        stream.options = {"crf": "28", "preset": "ultrafast"}
        stream.time_base = stream.codec_context.time_base = Fraction(1, per_s)
        once: list[tuple[bytes, int, int, bool]] = []
        for number, picture in enumerate([*pictures, None]):
            frame = None if picture is None else _frame(cv2.resize(picture, (width, height)), number, per_s)
            for packet in stream.encode(frame):
                assert packet.pts is not None
                assert packet.dts is not None
                once.append((bytes(packet), packet.pts, packet.dts, packet.is_keyframe))
        for start in range(0, per_s * seconds, PERIOD):
            for data, pts, dts, is_key in once:
                packet = av.Packet(data)
                packet.stream, packet.time_base = stream, Fraction(1, per_s)
                packet.pts, packet.dts, packet.is_keyframe = start + pts, start + dts, is_key
                container.mux(packet)


def _course(per_s: int, t_s: Floats) -> Floats:
    """Wheel angle: a treadled turn, over and over, and whole turns when the packets begin anew."""
    even = 2 * np.pi * TURNS * per_s / PERIOD * t_s
    return np.asarray(even + 0.12 * np.sin(even))


def _frame(picture: NDArray[np.uint8], number: int, per_s: int) -> av.VideoFrame:
    frame = av.VideoFrame.from_ndarray(picture, format="gray")
    frame.pts, frame.time_base = number, Fraction(1, per_s)
    return frame


def weigh(path: Path) -> None:
    """Measure, and print seconds and the highest memory of this process."""
    start = time.monotonic()
    reading = measure_clip(path)
    spent_s = time.monotonic() - start
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**10
    turns = getattr(reading.wheel, "turns", "not told")
    print(f"{reading.frames} pictures, turns {turns}, ratio {reading.ratio}: ", end="")
    print(f"{spent_s:.0f} s, {memory:.0f} MiB at the most")


def main() -> None:
    """Write, then measure in a fresh process."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--size", default="1920x1080")
    parser.add_argument("--per-s", type=int, default=60)
    parser.add_argument("--seconds", type=int, default=60)
    asked = parser.parse_args()
    width, height = map(int, asked.size.split("x"))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.mp4"
        write(path, width, height, asked.per_s, asked.seconds)
        weighing = multiprocessing.get_context("spawn").Process(target=weigh, args=(path,))
        weighing.start()
        weighing.join()


if __name__ == "__main__":
    main()
