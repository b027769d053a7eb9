"""Measure every picture that has a truth file beside it, and print how near the answers came.

    python -m tests.benchmarks.score_photos FOLDER... [--hints] [--only PATTERN]

Each picture goes through the command as a person calls it, and is timed in processor seconds over all
threads as a multiple of ``cv2.imread`` of the same file, so that the figure says something on any machine.
"""

import argparse
import contextlib
import fnmatch
import io
import json
import statistics
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
from tests.benchmarks.photo_questions import answers, sizes_from_nowhere, words
from tests.benchmarks.score_table import Answer, table

from whirlwise.cli.app import run

READS = 5


@dataclass(frozen=True, slots=True)
class Measured:
    """What the command printed (empty: nothing), its exit status and complaint, and the processor time."""

    told: dict[str, Any]
    status: int
    complaint: str
    seconds: float


def pictures(folders: list[Path], pattern: str) -> Iterator[tuple[dict[str, Any], Path]]:
    """Truth and picture, by name."""
    for path in sorted(found for folder in folders for found in folder.rglob("*.json")):
        truth = json.loads(path.read_text(encoding="utf-8"))
        if not isinstance(truth, dict) or not {"kind", "file", "geometry", "image"} <= truth.keys():
            continue
        picture = path.with_name(truth["file"])
        if picture.exists() and fnmatch.fnmatch(path.stem, pattern):
            yield truth, picture


def measured(typed: list[str]) -> Measured:
    out, complaint = io.StringIO(), io.StringIO()
    start = time.process_time()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(complaint):
        status = run(typed)
    seconds = time.process_time() - start
    told = json.loads(out.getvalue()) if status in (0, 3) else {}
    return Measured(told if status == 0 else {}, status, complaint.getvalue().strip(), seconds)


def reading_s(path: Path) -> float:
    """The middle one of several readings by OpenCV."""
    spent = []
    for _ in range(READS):
        start = time.process_time()
        cv2.imread(str(path))
        spent.append(time.process_time() - start)
    return statistics.median(spent)


def main() -> None:
    """Measure, print a line a picture and the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument(
        "--hints", action="store_true", help="click on the axle and the whirl, as a finger would"
    )
    parser.add_argument("--only", default="*", help="names to take, such as 'card*'")
    asked = parser.parse_args()
    everything: list[Answer] = []
    times, from_nowhere = [], []
    for truth, picture in pictures(asked.folders, asked.only):
        found = measured(words(truth, str(picture), hints=asked.hints))
        given = list(answers(truth, found.told))
        everything += given
        times.append(found.seconds / reading_s(picture))
        from_nowhere += [f"{picture.name}: {name}" for name in sizes_from_nowhere(truth, found.told)]
        cells = " | ".join(answer.cell() for answer in given)
        print(
            f"{picture.name:32s} status {found.status}, {times[-1]:4.0f} x imread  {cells} {found.complaint}",
            flush=True,
        )
    print(f"\n{table(everything)}\nsizes told without a reference: {', '.join(from_nowhere) or 'none'}")
    if times:
        print(f"time: {statistics.median(times):.0f} x imread (median), {max(times):.0f} at the most")


if __name__ == "__main__":
    main()
