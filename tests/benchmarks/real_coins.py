"""How well round outlines are measured on real photographs of coins, whose sizes are laid down by law.

    python tests/benchmarks/real_coins.py FOLDER

FOLDER holds the photographs and ``truth.csv`` with the columns file, official_diameter_mm,
approx_centre_x_px, approx_centre_y_px and approx_diameter_px_rough; lines without a centre or a size are left
out. Prints how far the ratio of two outlines is off: side by side; anywhere on the table, whose tilt is not
known; and with the tilt fitted to all coins, as a wheel's rim tells it in other pictures.
"""

import csv
import sys
from collections import defaultdict
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from whirlwise.vision.find.round_outline import RoundOutline, round_outline
from whirlwise.vision.measured import HALF_WIDTH_95
from whirlwise.vision.open.picture import Picture, open_picture

#: A rough size is right to this share.
ROUGH = 0.2
#: Upper faces of coins lie 1.7 to 2.4 mm above the table: seen from about so far, that changes their size.
THICKNESS_DOUBT_MM, DISTANCE_MM = 0.2, 250.0
#: Coins off by more than this share pull less on the table's perspective.
STRAY = 0.01

Coin = tuple[float, RoundOutline]


def main(folder: Path) -> None:
    """Measure all coins and print how far their ratios are off."""
    given = defaultdict(list)
    with (folder / "truth.csv").open(encoding="utf-8") as lines:
        for line in csv.DictReader(lines):
            if (
                line["official_diameter_mm"]
                and line["approx_centre_x_px"]
                and line["approx_diameter_px_rough"]
            ):
                given[line["file"]].append(line)
    everything: dict[str, list[Errors]] = defaultdict(list)
    for name, lines_of_file in given.items():
        picture = open_picture(folder / name)
        coins = [coin for line in lines_of_file if (coin := _measured(picture, line)) is not None]
        print(f"{name}: {len(coins)} of {len(lines_of_file)} coins")
        for what, errors in _compared(coins).items():
            everything[what].append(errors)
            print("   ", _summary(what, [errors]))
    for what, errors_of_all in everything.items():
        print(_summary(f"all pictures, {what}", errors_of_all))


@dataclass(frozen=True)
class Errors:
    """Errors (n,) as shares, and in units of half the 95 % interval."""

    share: NDArray[np.float64]
    stretch: NDArray[np.float64]


def _compared(coins: list[Coin]) -> dict[str, Errors]:
    """Ratios of two outlines, and each coin's size with another one as the reference on a known plane."""
    size_mm = np.array([mm for mm, _ in coins])
    seen_px = np.array([outline.diameter_px.nominal_value for _, outline in coins])
    doubt = np.array([outline.diameter_px.std_dev for _, outline in coins]) / seen_px
    centres = np.array([outline.ellipse.centre_px for _, outline in coins])
    one, other = np.array(list(combinations(range(len(coins)), 2))).T
    near = np.linalg.norm(centres[one] - centres[other], axis=1) < 1.5 * (seen_px[one] + seen_px[other]) / 2
    scale = np.log(seen_px / size_mm)
    level = scale - _perspective(centres, scale)
    pair_doubt = np.hypot.reduce(
        [doubt[one], doubt[other], np.full(len(one), THICKNESS_DOUBT_MM / DISTANCE_MM)]
    )

    def errors(logs: NDArray[np.float64], chosen: NDArray[np.bool_]) -> Errors:
        share = (logs[one] - logs[other])[chosen]
        return Errors(share, np.abs(share) / (HALF_WIDTH_95 * pair_doubt[chosen]))

    everywhere = np.ones(len(one), dtype=bool)
    return {
        "two coins side by side": errors(scale, near),
        "any two coins, the table's tilt unknown": errors(scale, everywhere),
        "any two coins, the table's tilt reckoned in": errors(level, everywhere),
    }


def _perspective(centres_px: NDArray[np.float64], scale: NDArray[np.float64]) -> NDArray[np.float64]:
    """Logarithm of the scale at each coin on a flat table, fitted to all coins."""
    design = np.column_stack([np.ones(len(scale)), centres_px / 1000.0])

    def misfit(x: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(design @ x - scale)

    fitted = least_squares(misfit, np.zeros(3), loss="soft_l1", f_scale=STRAY)
    return np.asarray(design @ fitted.x)


def _measured(picture: Picture, line: dict[str, str]) -> Coin | None:
    middle = np.array([float(line["approx_centre_x_px"]), float(line["approx_centre_y_px"])])
    radius = float(line["approx_diameter_px_rough"]) / 2
    outline = round_outline(picture.lab, middle, ((1 - ROUGH) * radius, (1 + ROUGH) * radius))
    return None if outline is None else (float(line["official_diameter_mm"]), outline)


def _summary(name: str, errors: list[Errors]) -> str:
    share = 100 * np.abs(np.concatenate([e.share for e in errors]))
    inside = 100 * np.mean(np.concatenate([e.stretch for e in errors]) < 1)
    return (
        f"{name}: {len(share)} pairs, median error {np.median(share):.2f} %, "
        f"95 % below {np.quantile(share, 0.95):.2f} %, inside {inside:.0f} %"
    )


if __name__ == "__main__":
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    main(Path(sys.argv[1]))
