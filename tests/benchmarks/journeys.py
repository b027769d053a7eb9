"""The whole journey of a wheel: four pictures and two clips into one file, and its table against the truth.

Given a folder of cases, each a folder with pictures and clips of one wheel and a truth file beside each, it
gives every one to its command, as a person would who measured offset and band with a rule, and prints what
the file then says of every groove: ratio and 95 % interval, and MISSED where the truth lies outside.

The truth files tell geometry (whirl steps with their ratios, bobbin_whirl) and references, as that of the
sample picture does.
"""

import argparse
import json
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.benchmarks.fused_cases import arguments, asked

#: What a person takes, with the command for it and what is typed besides.
MEDIA = {
    "whole.jpg": ("photo",),
    "other.jpg": ("photo",),
    "whirl.jpg": ("photo",),
    "side.jpg": ("profile",),
    "hand.mp4": ("clip", "--by-hand"),
    "work.mp4": ("clip",),
}


def truth_of(medium: Path) -> Any:
    return json.loads(medium.with_suffix(".json").read_text(encoding="utf-8"))


def given(case: Path, wheel: Path) -> Iterator[str]:
    """Give every medium to its command; names those in which nothing was measured."""
    for name, (command, *options) in MEDIA.items():
        typed = arguments(truth_of(case / name)) if name.endswith(".jpg") else []
        if asked(command, str(case / name), *typed, *options, "--add-to", str(wheel)) is None:
            yield name


def lines(case: Path, wheel: Path) -> Iterator[str]:
    """What the file says of every groove, beside the truth, the slowest first."""
    geometry = truth_of(case / "whole.jpg")["geometry"]
    truths = {"flyer": sorted(step["ratio"] for step in geometry["whirl"]["steps"])}
    if "bobbin_whirl" in geometry:
        truths["bobbin"] = [geometry["bobbin_whirl"]["ratio"]]
    table = asked("wheel", str(wheel))["table"]
    for turned, ratios in truths.items():
        rows = [row for row in table if row["turns"] == turned and row["ratio"] is not None]
        if len(rows) != len(ratios):
            yield f"{turned}: {len(rows)} grooves told, {len(ratios)} are there"
        for truth, row in zip(ratios, rows, strict=False):
            told = row["ratio"]
            held = "" if told["low"] <= truth <= told["high"] else "  MISSED"
            yield (
                f"{turned:6} {row['groove']:14} truth {truth:8.4f}   told {told['value']:8.4f} "
                f"({told['low']:.4f} to {told['high']:.4f}, {100 * (told['value'] / truth - 1):+.2f} %){held}"
            )


def main() -> None:
    """Print a table for each case."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path, help="folder of cases")
    folder = parser.parse_args().folder
    with tempfile.TemporaryDirectory() as scratch:
        for case in sorted(path for path in folder.iterdir() if (path / "side.jpg").exists()):
            wheel = Path(scratch) / f"{case.name}.json"
            silent = ", ".join(given(case, wheel)) or "none"
            print(f"{case.name}: nothing measured in {silent}", flush=True)
            print("\n".join(lines(case, wheel)), flush=True)


if __name__ == "__main__":
    main()
