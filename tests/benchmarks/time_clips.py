"""How long clips take to measure, as multiples of only decoding them.

    python -m tests.benchmarks.time_clips FOLDER [--hints] [--runs 3]

A truth file NAME.json lies beside every clip (see :mod:`.clip_questions`). Decoding is PyAV's, to gray, with
the threads that it takes by itself. Both are timed in this process, turn and turn about, and the least of
several runs counts: a busy machine only adds. Seconds of the processor are given too, over all threads.
"""

import argparse
import json
import time
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

import av

from whirlwise.vision.clip import ClipSettings, measure_clip


def decode(path: Path) -> None:
    with av.open(str(path)) as container:
        for frame in container.decode(video=0):
            frame.to_ndarray(format="gray")


def settings_of(truth: Mapping[str, Any], *, hints: bool) -> ClipSettings:
    """What somebody knows who filmed the clip, and with ``hints`` points at axle and flyer."""
    video, first = truth["video"], truth["per_frame"][0]
    stretched = video["time_stretch"] != 1 and not video.get("capture_fps_tag")
    hub, flyer = (tuple(map(float, first[name])) if hints else None for name in ("hub_px", "whirl_px"))
    return ClipSettings(
        hub_px=None if hub is None else (hub[0], hub[1]),
        flyer_px=None if flyer is None else (flyer[0], flyer[1]),
        captured_at_per_s=float(video["capture_fps_nominal"]) if stretched else None,
    )


def timed(work: Callable[[], object]) -> tuple[float, float]:
    """Seconds that passed, and seconds of the processor."""
    wall_s, processor_s = time.monotonic(), time.process_time()
    work()
    return time.monotonic() - wall_s, time.process_time() - processor_s


def least(runs: list[tuple[float, float]]) -> tuple[float, float]:
    wall_s, processor_s = zip(*runs, strict=True)
    return min(wall_s), min(processor_s)


def main() -> None:
    """Print one line a clip."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folder", type=Path)
    parser.add_argument("--hints", action="store_true", help="point at axle and flyer")
    parser.add_argument("--runs", type=int, default=3)
    asked = parser.parse_args()
    for truth_path in sorted(asked.folder.glob("*.json")):
        truth = json.loads(truth_path.read_text())
        path, settings = truth_path.with_name(truth["file"]), settings_of(truth, hints=asked.hints)
        decode(path)  # the first pass reads the file from the disk
        decoding, measuring = [], []
        for _ in range(asked.runs):
            decoding.append(timed(partial(decode, path)))
            measuring.append(timed(partial(measure_clip, path, settings)))
        (plain_s, plain_cpu_s), (wall_s, cpu_s) = least(decoding), least(measuring)
        print(f"{path.name:42s} {wall_s:6.2f} s, {wall_s / plain_s:4.1f} times decoding", end="")
        print(f" ({cpu_s / plain_cpu_s:.1f} times by the processor)", flush=True)


if __name__ == "__main__":
    main()
