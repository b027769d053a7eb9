"""Ladders of ratios, one wheel beside the other: rungs with their doubt, steps, the classes behind."""

import io
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log
from typing import Final

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from uncertainties import nominal_value

from ...calc.comparing import Stretch
from ...calc.interval import interval_95
from ...calc.ladder import Ladder, Rung
from ...calc.quantity import Quantity
from ...calc.speed_class import CLASSES
from .palette import BLUE, GREEN, INK, PAPER, RUST

#: Shades of undyed wool for the classes, lighter than any rung.
WOOL: Final = ("#EFE7DA", "#E4D7C2", "#D8C6A9")
WOOD: Final = "#8A6A4B"
#: A rung's half width, in wheels.
HALF: Final = 0.24
#: Names nearer than this factor are moved apart.
LINE_FACTOR: Final = 1.05
MARKS: Final = (3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20, 25, 30, 40, 60, 80, 100)
LETTERS_PT: Final = 15
#: Letters of a name that have room beside a rung.
LONGEST_NAME: Final = 14


@dataclass(frozen=True, slots=True)
class LadderShown:
    """One wheel's ladder under its name, and ratios that might be added."""

    name: str
    ladder: Ladder
    new: tuple[Quantity, ...] = ()


def ladder_plot(wheels: Sequence[LadderShown], wish: Stretch | None = None) -> bytes:
    """Draw ladders side by side; the same ladders are the same bytes. Gives a PNG.

    Parameters
    ----------
    wheels : sequence of LadderShown
        At least one.
    wish : (float, float), optional
        The range wished for, drawn as a bracket at the left.
    """
    ends = [interval_95(each) for wheel in wheels for each in (*_ratios(wheel.ladder), *wheel.new)]
    low = min([each.value for each in ends] + ([wish[0]] if wish else [])) / 1.25
    high = max([each.value for each in ends] + ([wish[1]] if wish else [])) * 1.18
    with (
        mpl.rc_context({"font.family": "DejaVu Sans", "font.size": LETTERS_PT, "text.parse_math": False}),
        warnings.catch_warnings(),
    ):
        # A name in letters that the font lacks shows as boxes; the table beside the plot has it right.
        warnings.filterwarnings("ignore", message="Glyph")
        figure = Figure(figsize=(2.6 + 3.4 * len(wheels), 9.5), facecolor=PAPER, layout="constrained")
        axes = figure.add_subplot(facecolor=PAPER)
        _prepare(axes, len(wheels), low, high)
        for place, wheel in enumerate(wheels):
            _draw(axes, place, wheel)
        if wish is not None:
            _bracket(axes, wish)
        held = io.BytesIO()
        figure.savefig(held, format="png", dpi=110, metadata={"Software": None})
    return held.getvalue()


def _ratios(ladder: Ladder) -> list[Quantity]:
    return [rung.ratio for rung in ladder.rungs]


def _prepare(axes: Axes, count: int, low: float, high: float) -> None:
    """Scale, classes behind, and nothing that is not needed."""
    axes.set_xlim(-0.75, count + 0.02)
    axes.set_yscale("log")
    axes.set_ylim(low, high)
    marks = [mark for mark in MARKS if low <= mark <= high]
    axes.set_yticks(marks, [f"{mark}" for mark in marks])
    axes.minorticks_off()
    axes.tick_params(axis="both", length=0, colors=INK)
    axes.set_xticks([])
    for side in axes.spines.values():
        side.set_visible(False)
    for each, colour in zip(CLASSES, WOOL, strict=True):
        bottom, top = max(each.highest[0], low), min(each.highest[1], high)
        if bottom < top:
            axes.axhspan(bottom, top, color=colour, linewidth=0, zorder=0)
            middle = exp((log(bottom) + log(top)) / 2)
            small = LETTERS_PT - 2
            axes.text(
                count - 0.02, middle, each.name, color=INK, alpha=0.75, ha="right", va="center", size=small
            )
    axes.set_ylabel("turns of the flyer for one turn of the wheel", color=INK)
    axes.set_xlabel("light bands: 95 % sure", color=INK, size=LETTERS_PT - 2)


def _draw(axes: Axes, place: int, wheel: LadderShown) -> None:
    ratios = [float(nominal_value(ratio)) for ratio in _ratios(wheel.ladder)]
    for side in (-1, 1):
        axes.plot(
            [place + side * HALF * 0.8] * 2, [ratios[0] / 1.06, ratios[-1] * 1.06],
            color=WOOD, linewidth=5, alpha=0.6, solid_capstyle="round", zorder=1,
        )  # fmt: skip
    names = [(float(nominal_value(rung.ratio)), _name(rung), RUST) for rung in wheel.ladder.rungs]
    names += [(float(nominal_value(new)), f"new  {nominal_value(new):.3g}", GREEN) for new in wheel.new]
    for rung in wheel.ladder.rungs:
        _rung(axes, place, rung.ratio, RUST)
    for new in wheel.new:
        _rung(axes, place, new, GREEN)
    for (_, name, colour), y in zip(sorted(names), _apart(sorted(each[0] for each in names)), strict=True):
        axes.text(place + HALF + 0.06, y, name, color=colour, va="center", weight="bold")
    for step, bottom, top in zip(wheel.ladder.steps, ratios, ratios[1:], strict=False):
        if top / bottom > 1.1 and not any(bottom < nominal_value(new) < top for new in wheel.new):
            percent = f"+{100 * (nominal_value(step.factor) - 1):.0f} %"
            axes.text(place, (bottom * top) ** 0.5, percent, color=INK, ha="center", va="center")
    axes.text(
        place, axes.get_ylim()[1], _short(wheel.name), color=INK, ha="center", va="bottom", weight="bold"
    )


def _name(rung: Rung) -> str:
    """The whirl's name and its ratio; the ratio alone where it has no other name."""
    ratio = f"{nominal_value(rung.ratio):.3g}"
    return ratio if rung.label[:1].isdigit() else f"{_short(rung.label)}  {ratio}"


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 2]}.."


def _rung(axes: Axes, place: int, ratio: Quantity, colour: str) -> None:
    """A rung: a light band over its interval, a bar at its value."""
    interval = interval_95(ratio)
    ends = (place - HALF, place + HALF)
    axes.fill_between(ends, interval.low, interval.high, color=colour, alpha=0.25, linewidth=0, zorder=2)
    axes.plot(ends, [interval.value] * 2, color=colour, linewidth=6, solid_capstyle="round", zorder=3)


def _apart(ratios: Sequence[float]) -> list[float]:
    """Places for names, from low to high, none nearer to the next than a line of letters."""
    places: list[float] = []
    for ratio in ratios:
        places.append(max(ratio, places[-1] * LINE_FACTOR) if places else ratio)
    return places


def _bracket(axes: Axes, wish: Stretch) -> None:
    axes.plot([-0.48, -0.48], wish, color=BLUE, linewidth=4, solid_capstyle="butt")
    for end in wish:
        axes.plot([-0.48, -0.42], [end, end], color=BLUE, linewidth=4, solid_capstyle="butt")
    axes.text(
        -0.52, (wish[0] * wish[1]) ** 0.5, "wished for", color=BLUE, rotation=90, ha="right", va="center"
    )
