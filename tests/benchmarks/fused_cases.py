"""How much better two pictures are than one, on wheels with known truth.

Given a folder of cases, each a folder with pictures of one wheel and a truth file NAME.json beside each
NAME.jpg, it measures the pictures as a person would ask for them, fuses them, and prints for the drive ratio
and the pitch diameters how far off they are and how wide their 95 % intervals are, in percent of the truth.

The truth file tells geometry (ratio_pitch, drive_wheel, whirl, cord_diameter_mm) and references (type,
plane_offset_mm), as that of the sample picture does.
"""

import argparse
import json
import tempfile
from collections.abc import Iterator
from contextlib import redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import Any

from whirlwise.cli.app import run

#: Pictures of a whole wheel in a case, the first one being what a person takes first.
PICTURES = ("whole.jpg", "other.jpg")
REFERENCE_WORDS = {"id1_card": "card", "a4_sheet": "a4"}


@dataclass(frozen=True)
class Judged:
    """One number against its truth, in percent of it."""

    off_percent: float
    half_width_percent: float
    held: bool


def arguments(truth: Any) -> list[str]:
    """What a person who measured offset and band would type."""
    typed = ["--band", f"{truth['geometry']['cord_diameter_mm']:.1f}mm"]
    for reference in truth["references"][:1]:
        typed += ["--reference", REFERENCE_WORDS[reference["type"]]]
        typed += [f"--offset={round(reference['plane_offset_mm'])}mm"]
    return typed


def asked(*typed: str) -> Any:
    """Run a command with --json; None where it measured nothing."""
    out = StringIO()
    with redirect_stdout(out):
        status = run([*typed, "--json"])
    return json.loads(out.getvalue()) if status == 0 else None


def judged(answer: Any, truth: Any) -> dict[str, Judged | None]:
    geometry = truth["geometry"]
    step = geometry["whirl"]["steps"][geometry["whirl"]["active_step"]]
    ratios = [each["ratio"] for each in answer["ratios"][:1]] if answer else []
    whirls = [each["pitch_mm"] for each in answer["whirls"][:1]] if answer else []
    wheel = [answer["wheel"]["pitch_mm"]] if answer and answer["wheel"] else []
    return {
        "ratio": against(ratios, geometry["ratio_pitch"]),
        "wheel pitch": against(wheel, geometry["drive_wheel"]["pitch_diameter_mm"]),
        "whirl pitch": against(whirls, step["pitch_diameter_mm"]),
    }


def against(numbers: list[Any], truth: float) -> Judged | None:
    if not numbers or numbers[0] is None:
        return None
    value, low, high = (numbers[0][key] for key in ("value", "low", "high"))
    return Judged(100 * (value / truth - 1), 50 * (high - low) / truth, bool(low <= truth <= high))


def rows(case: Path, kept: Path) -> Iterator[tuple[str, dict[str, Judged | None]]]:
    """Each picture alone, then all of them together."""
    wheel = kept / f"{case.name}.json"
    truth: Any = None
    for name in PICTURES:
        truth = json.loads((case / name).with_suffix(".json").read_text(encoding="utf-8"))
        yield name, judged(asked("photo", str(case / name), *arguments(truth), "--add-to", str(wheel)), truth)
    if wheel.exists():
        yield "together", judged(asked("wheel", str(wheel)), truth)


def shown(number: Judged | None) -> str:
    if number is None:
        return f"{'not measured':^26}"
    held = "" if number.held else "  MISSED"
    return f"{number.off_percent:+7.2f} +-{number.half_width_percent:6.2f} %{held:8}"


def main() -> None:
    """Print a table for each case; MISSED where the truth lies outside the interval."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path, help="folder of cases")
    parser.add_argument("--keep", type=Path, help="folder for the wheels' files (left out: none are kept)")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        for case in sorted(path for path in given.folder.iterdir() if (path / PICTURES[0]).exists()):
            for name, numbers in rows(case, given.keep or Path(scratch)):
                told = "   ".join(f"{what} {shown(number)}" for what, number in numbers.items())
                print(f"{case.name:10} {name:10} {told}", flush=True)


if __name__ == "__main__":
    main()
