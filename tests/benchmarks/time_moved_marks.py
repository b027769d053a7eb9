"""How long a picture takes again after one mark was moved, beside the first time and beside reading the file.

    python -m tests.benchmarks.time_moved_marks [PICTURE] [--runs 3]

Without a picture that of the sample media is measured. For each mark the picture is measured once, and then
with the mark moved by a little, with and without what was remembered; the first is what the page does, which
has OpenCV use one thread as well.
Wall and processor time are told in seconds, and the wall time as a multiple of ``cv2.imread`` of the same
file in the same run, because seconds say little on another machine. The answers must not differ.
"""

import argparse
import json
import statistics
import time
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

import cv2
import numpy as np

from whirlwise import sample_media
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.photo import PhotoSettings, measure_photo
from whirlwise.vision.photo_reading import PhotoReading
from whirlwise.vision.references import ReferenceRequest
from whirlwise.vision.remembered import Remembered, by_value

READS = 5
#: How far a mark is moved, in pixels; and where another of the rim's round edges may be, as a share of it.
MOVED_PX, OTHER_EDGE = (3.0, -2.0), 0.96


@dataclass(frozen=True)
class Timed:
    """Seconds of one measurement by the clock and of the processor, and what it found."""

    wall_s: float
    processor_s: float
    reading: PhotoReading


def timed(path: Path, settings: PhotoSettings, remembered: Remembered | None = None) -> Timed:
    wall_s, processor_s = time.perf_counter(), time.process_time()
    reading = measure_photo(path, settings, remembered)
    return Timed(time.perf_counter() - wall_s, time.process_time() - processor_s, reading)


def moved(point_px: tuple[float, float]) -> tuple[float, float]:
    return float(point_px[0]) + MOVED_PX[0], float(point_px[1]) + MOVED_PX[1]


def moves(found: PhotoReading) -> Iterator[tuple[str, PhotoSettings]]:
    """Each mark that a screen offers, moved a little from where it was found."""
    if not isinstance(found.wheel, NotMeasured):
        yield "axle", PhotoSettings(hub_px=moved(found.wheel.hub_px))
        outline = found.wheel.evidence.outline_px
        yield "rim", PhotoSettings(rim_px=tuple(moved(outline[k]) for k in (0, 120, 240)))
        hub = np.asarray(found.wheel.hub_px)
        inner = (hub + OTHER_EDGE * (outline[[0, 120, 240]] - hub)).tolist()
        yield "rim to another edge", PhotoSettings(rim_px=tuple((x, y) for x, y in inner))
    for whirl in found.whirls[:1]:
        yield "whirl", PhotoSettings(whirls_px=(moved(whirl.centre_px),))
    for each in found.references:
        if len(each.corners_px) == 4 and each.kind in ("card", "a4", "a5", "letter"):
            corners = tuple(map(moved, each.corners_px))
            yield "corners", PhotoSettings(references=(ReferenceRequest(each.kind, None, corners),))


def reading_s(path: Path) -> float:
    spent = []
    for _ in range(READS):
        start = time.perf_counter()
        cv2.imread(str(path))
        spent.append(time.perf_counter() - start)
    return statistics.median(spent)


def print_times(path: Path, runs: int) -> None:
    """Print a line of JSON for the first measurement and for each mark."""
    plain_s = reading_s(path)
    first = PhotoSettings()
    found = timed(path, first).reading
    for mark, settings in [("none", first), *moves(found)]:
        again = []
        for _ in range(runs):
            remembered = Remembered()
            if mark != "none":
                timed(path, first, remembered)
            again.append(timed(path, settings, remembered))
        cold = timed(path, settings)
        row = {
            "moved": mark,
            "wall_s": round(statistics.median(each.wall_s for each in again), 2),
            "processor_s": round(statistics.median(each.processor_s for each in again), 2),
            "times_imread": round(statistics.median(each.wall_s for each in again) / plain_s, 1),
            "anew_processor_s": round(cold.processor_s, 2),
            "same_answer": by_value(cold.reading) == by_value(again[0].reading),
        }
        print(json.dumps(row), flush=True)


def main() -> None:
    """Time the moved marks of one picture."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("picture", nargs="?", type=Path)
    parser.add_argument("--runs", type=int, default=3)
    asked = parser.parse_args()
    cv2.setNumThreads(1)
    if asked.picture is not None:
        print_times(asked.picture, asked.runs)
        return
    with resources.as_file(resources.files(sample_media)) as folder:
        print_times(folder / "old_wheel.jpg", asked.runs)


if __name__ == "__main__":
    main()
