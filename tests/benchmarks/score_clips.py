"""Measure every clip that has a truth file beside it, and print how near the answers came.

    python -m tests.benchmarks.score_clips FOLDER... [--hints] [--only PATTERN]

Each clip goes through the command as a person calls it. It is timed in processor seconds over all threads, as
a multiple of decoding the same file to gray pictures with PyAV's default threads, right before and right
after, so that the figure says something on any machine.
"""

import argparse
import contextlib
import fnmatch
import io
import json
import resource
import statistics
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import av
from tests.benchmarks.clip_questions import answers, cadence_off, words
from tests.benchmarks.score_table import Answer, table

from whirlwise.cli.app import run


@dataclass(frozen=True, slots=True)
class Measured:
    """What the command printed (empty: nothing), its exit status, and its time in times of decoding."""

    told: dict[str, Any]
    status: int
    times_decoding: float


def clips(folders: list[Path], pattern: str) -> Iterator[tuple[dict[str, Any], Path]]:
    """Truth and clip, by name."""
    for path in sorted(found for folder in folders for found in folder.rglob("*.json")):
        truth = json.loads(path.read_text(encoding="utf-8"))
        if not isinstance(truth, dict) or not {"kind", "file", "video", "per_frame"} <= truth.keys():
            continue
        clip = path.with_name(truth["file"])
        if clip.exists() and fnmatch.fnmatch(path.stem, pattern):
            yield truth, clip


def decoding_s(path: Path) -> float:
    """Processor seconds to decode all pictures to gray."""
    start = time.process_time()
    with av.open(str(path)) as container:
        for frame in container.decode(video=0):
            frame.to_ndarray(format="gray")
    return time.process_time() - start


def measured(typed: list[str], clip: Path) -> Measured:
    out = io.StringIO()
    plain_s = decoding_s(clip)
    start = time.process_time()
    with contextlib.redirect_stdout(out):
        status = run(typed)
    spent_s = time.process_time() - start
    plain_s = (plain_s + decoding_s(clip)) / 2
    told = json.loads(out.getvalue()) if status == 0 else {}
    return Measured(told, status, spent_s / plain_s)


def main() -> None:
    """Measure, print a line a clip and the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--hints", action="store_true", help="click on the axle and on the flyer's axis")
    parser.add_argument("--only", default="*", help="names to take, such as 'plain*'")
    asked = parser.parse_args()
    everything: list[Answer] = []
    times, cadences = [], []
    for truth, clip in clips(asked.folders, asked.only):
        found = measured(words(truth, str(clip), hints=asked.hints), clip)
        given = list(answers(truth, found.told))
        everything += given
        times.append(found.times_decoding)
        cadence = cadence_off(truth, found.told)
        cadences += [] if cadence is None else [cadence]
        cells = " | ".join(answer.cell() for answer in given)
        shown = "-" if cadence is None else f"{100 * cadence:.2f} %"
        print(
            f"{clip.name:36s} status {found.status}, {times[-1]:4.1f} x decoding  {cells} | cadence {shown}",
            flush=True,
        )
    print(f"\n{table(everything)}")
    if cadences:
        print(f"cadence over time: {100 * statistics.median(cadences):.2f} % off (median of {len(cadences)})")
    if times:
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**10
        print(f"time: {statistics.median(times):.1f} x decoding (median), {max(times):.1f} at the most")
        print(f"memory: {memory:.0f} MiB at the most")


if __name__ == "__main__":
    main()
