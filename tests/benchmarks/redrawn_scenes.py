"""A Monte Carlo over re-drawn scenes: random wheels in random rooms, measured by the command.

    python -m tests.benchmarks.redrawn_scenes [--seeds 0-39] [--hints] [--keep FOLDER]

Prints a line for each scene and number, then how near the answers came, and whether the intervals are honest:
how many hold the truth, and how far errors spread as multiples of the standard deviation that was claimed (1
if it is right).
"""

import argparse
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from scipy.stats import binomtest
from tests.benchmarks.photo_questions import answers, words
from tests.benchmarks.score_photos import measured, pictures
from tests.benchmarks.score_table import Answer, table
from tests.vision.drawn_room_truth import NORMAL_95, write_room


def deviations(answer: Answer) -> float:
    """Error in standard deviations, as claimed."""
    assert answer.got is not None
    half = max(answer.half * answer.truth, 1e-12)
    return NORMAL_95 * (answer.got[0] - answer.truth) / half


def line(seed: int, answer: Answer) -> str:
    """One number of one scene: truth, answer, interval, error in standard deviations."""
    begin = f"{seed:5d}  {answer.quantity:12s} {answer.truth:9.3f}"
    if answer.got is None:
        return f"{begin}  -"
    value, low, high = answer.got
    mark = "  WRONG" if answer.confident_wrong else "" if answer.inside else "  out"
    return f"{begin} {value:9.3f}  [{low:9.3f}, {high:9.3f}] {deviations(answer):+7.2f} sd{mark}"


def honesty(everything: Sequence[Answer]) -> Iterator[str]:
    """A row for each quantity: how likely so few, or so many, are inside, and the spread."""
    yield "quantity       inside of   p(so few)  p(so many)   rms of errors/sd   2/3 of them within"
    for name in sorted({answer.quantity for answer in everything}):
        given = [answer for answer in everything if answer.quantity == name and answer.got is not None]
        if not given:
            continue
        inside = sum(answer.inside for answer in given)
        few, many = (binomtest(inside, len(given), 0.95, side).pvalue for side in ("less", "greater"))
        spread = np.abs([deviations(answer) for answer in given])
        yield (
            f"{name:14s} {inside:5d} {len(given):3d} {few:10.3f} {many:11.3f} "
            f"{np.sqrt(np.mean(spread**2)):16.2f} {np.quantile(spread, 0.6827):17.2f} sd"
        )


def seeds_of(text: str) -> list[int]:
    """Seeds as they are typed: ``0-39`` or ``3,7,20-22``."""
    ends = [part.split("-") for part in text.split(",")]
    return [seed for end in ends for seed in range(int(end[0]), int(end[-1]) + 1)]


def measured_scene(folder: Path, seed: int, *, hints: bool) -> Iterator[Answer]:
    """Draw the scene, unless it lies there, and measure it through the command."""
    if not (folder / f"room_{seed:04d}.jpg").exists():
        write_room(folder, seed)
    for truth, picture in pictures([folder], f"room_{seed:04d}"):
        typed = words(truth, str(picture), hints=hints)
        found = measured(typed)
        print(f"{seed:5d}  {' '.join(typed[2:])}: status {found.status} {found.complaint}")
        yield from answers(truth, found.told)


def main() -> None:
    """Draw, measure and print."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seeds", default="0-39", help="such as 0-39 or 3,7,20-22")
    parser.add_argument("--hints", action="store_true", help="click on axle and whirl, as a finger would")
    parser.add_argument("--keep", type=Path, help="a folder for the pictures, which are used again if there")
    asked = parser.parse_args()
    everything: list[Answer] = []
    with tempfile.TemporaryDirectory() as passing:
        folder: Path = asked.keep or Path(passing)
        folder.mkdir(parents=True, exist_ok=True)
        for seed in seeds_of(asked.seeds):
            given = list(measured_scene(folder, seed, hints=asked.hints))
            everything += given
            print("\n".join(line(seed, answer) for answer in given), flush=True)
    print(f"\n{table(everything)}\n\n" + "\n".join(honesty(everything)))


if __name__ == "__main__":
    main()
