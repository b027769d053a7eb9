"""How long the two measurements take, as multiples of a plain piece of work on the same file.

The plain work is decoding the picture, or every picture of the clip, and one pass of OpenCV's Canny edges
over each. It is timed right before and right after every measurement, in seconds of the processor over all
threads, so that the ratio says something on any machine, also on one that is busy. Nothing of the project
takes part in it.
"""

import argparse
import json
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

import av
import cv2
import numpy as np
from PIL import Image
from uncertainties import ufloat

from whirlwise import sample_media
from whirlwise.vision.clip import measure_clip
from whirlwise.vision.photo import PhotoSettings, measure_photo
from whirlwise.vision.references import ReferenceRequest

CANNY_THRESHOLDS = (50, 150)
#: Passes of the plain work before and after each measurement: one alone is too short to be timed well.
PASSES = {"old_wheel.jpg": 10, "old_wheel_at_work.mp4": 3}


@dataclass(frozen=True)
class Timed:
    """One run: processor seconds of the measurement and of one pass of the plain work about it."""

    measuring_s: float
    plain_s: float

    @property
    def ratio(self) -> float:
        return self.measuring_s / self.plain_s


def canny(gray: "np.ndarray[tuple[int, ...], np.dtype[np.uint8]]") -> None:
    cv2.Canny(gray, *CANNY_THRESHOLDS)


def plain_photo(path: Path) -> None:
    with Image.open(path) as picture:
        canny(np.asarray(picture.convert("L")))


def plain_clip(path: Path) -> None:
    with av.open(str(path)) as container:
        for frame in container.decode(video=0):
            canny(np.asarray(frame.to_ndarray(format="gray"), dtype=np.uint8))


def photo(path: Path) -> None:
    """Measure as the tour does; the doubts are those of a rule and a caliper."""
    measure_photo(
        path,
        PhotoSettings(
            references=(ReferenceRequest("card"),), offset_mm=ufloat(11, 1.0), band_mm=ufloat(3.1, 0.1)
        ),
    )


def clip(path: Path) -> None:
    measure_clip(path)


def processor_s(work: Callable[[Path], None], path: Path, passes: int = 1) -> float:
    start = time.process_time()
    for _ in range(passes):
        work(path)
    return (time.process_time() - start) / passes


def timed(measure: Callable[[Path], None], plain: Callable[[Path], None], path: Path) -> Timed:
    passes = PASSES[path.name]
    before = processor_s(plain, path, passes)
    measuring = processor_s(measure, path)
    return Timed(measuring, (before + processor_s(plain, path, passes)) / 2)


def summary(name: str, runs: list[Timed]) -> dict[str, str | int | float]:
    """Median and spread; the spread is the range of the ratios over their median."""
    ratios = [run.ratio for run in runs]
    ratio = statistics.median(ratios)
    return {
        "file": name,
        "runs": len(runs),
        "measuring_s": round(statistics.median(run.measuring_s for run in runs), 3),
        "plain_s": round(statistics.median(run.plain_s for run in runs), 4),
        "ratio": round(ratio, 1),
        "ratio_spread_percent": round(100 * (max(ratios) - min(ratios)) / ratio, 1),
    }


def main() -> None:
    """Time both and print one line of JSON for each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=5, help="runs of each measurement (5)")
    runs: int = parser.parse_args().runs
    cv2.setNumThreads(1)
    with resources.as_file(resources.files(sample_media)) as folder:
        for measure, plain, name in (
            (photo, plain_photo, "old_wheel.jpg"),
            (clip, plain_clip, "old_wheel_at_work.mp4"),
        ):
            path = folder / name
            plain(path)  # the first pass reads the file from the disk
            print(json.dumps(summary(name, [timed(measure, plain, path) for _ in range(runs)])), flush=True)


if __name__ == "__main__":
    main()
