"""How right the rate of ticks is that is told from sound alone, on recordings with known truth.

    OMP_NUM_THREADS=1 python -m tests.benchmarks.clock_ticks FOLDER

The folder holds recordings and a truth.csv with the columns file, ticks_per_min and pattern. For each
recording the answer, its error, its 95 % interval and the rates that are named are printed; below them, how
many are right within half a percent, how many name the true rate among others without choosing it, and how
many intervals hold the truth. A truth that was measured is itself good to 0.1 or 0.2 %.
"""

import csv
import sys
from pathlib import Path

from whirlwise.vision.measured import HALF_WIDTH_95, NotMeasured
from whirlwise.vision.sound_only import SoundReading, measure_sound

#: An answer is right within this share of the truth.
RIGHT = 0.005
#: Truths are only so good.
TRUTH_STD = 0.001


def main(folder: Path) -> None:
    """Measure every recording of a folder's truth.csv and print how right it is."""
    with (folder / "truth.csv").open(newline="", encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    readings = [(row, measure_sound(folder / row["file"])) for row in rows]
    right = named = held = 0
    for row, reading in readings:
        true_per_min = float(row["ticks_per_min"])
        right += _is_right(reading, true_per_min)
        named += isinstance(reading.events_per_min, NotMeasured) and _is_named(reading, true_per_min)
        held += _holds(reading, true_per_min)
        print(f"{row['file']:20s} {true_per_min:7.2f}  {_told(reading, true_per_min)}  ({row['pattern']})")
    print(f"asked {len(rows)}, right {right}, named among others {named}, inside the interval {held}")


def _is_right(reading: SoundReading, true_per_min: float) -> bool:
    rate = reading.events_per_min
    return not isinstance(rate, NotMeasured) and abs(rate.n / true_per_min - 1) <= RIGHT


def _is_named(reading: SoundReading, true_per_min: float) -> bool:
    return any(abs(rate.n / true_per_min - 1) <= RIGHT for rate in reading.candidates)


def _holds(reading: SoundReading, true_per_min: float) -> bool:
    rate = reading.events_per_min
    if isinstance(rate, NotMeasured):
        return False
    reach = HALF_WIDTH_95 * float((rate.s**2 + (TRUTH_STD * true_per_min) ** 2) ** 0.5)
    return bool(abs(rate.n - true_per_min) <= reach)


def _told(reading: SoundReading, true_per_min: float) -> str:
    rate = reading.events_per_min
    others = ", ".join(f"{each.n:.2f}" for each in reading.candidates)
    if isinstance(rate, NotMeasured):
        return f"no answer; named: {others or 'none'}"
    off, half = 100 * (rate.n / true_per_min - 1), 100 * HALF_WIDTH_95 * rate.s / true_per_min
    return f"{rate.n:7.2f} ({off:+.2f} %, +/-{half:.2f} %); named: {others}"


if __name__ == "__main__":
    main(Path(sys.argv[1]))
