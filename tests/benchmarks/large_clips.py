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
from pathlib import Path

import av
import cv2
from tests.vision.drawn_clips import DrawnClip

from whirlwise.vision.clip import measure_clip


def write(path: Path, width: int, height: int, per_s: int, seconds: int) -> None:
    """Write the drawn clip again and again, enlarged."""
    pictures = DrawnClip(frames=120, per_s=per_s, turns_per_s=per_s / 120 * 2, unevenness=0.0).pictures()
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=per_s)
        assert isinstance(stream, av.VideoStream)
        stream.width, stream.height, stream.pix_fmt = width, height, "yuv420p"
        stream.options = {"crf": "28", "preset": "ultrafast"}
        for number in range(per_s * seconds):
            large = cv2.resize(pictures[number % len(pictures)], (width, height))
            frame = av.VideoFrame.from_ndarray(large, format="gray")
            frame.pts, frame.time_base = number, Fraction(1, per_s)
            container.mux(stream.encode(frame))
        container.mux(stream.encode())


def weigh(path: Path) -> None:
    """Measure, and print seconds and the highest memory of this process."""
    start = time.monotonic()
    reading = measure_clip(path)
    spent_s = time.monotonic() - start
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**10
    print(f"{reading.frames} pictures: {spent_s:.0f} s, {memory:.0f} MiB at the most")


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
