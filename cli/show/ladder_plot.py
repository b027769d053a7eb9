"""Ladders of ratios, one wheel beside the other: rungs with their doubt, steps, the classes behind."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath
from uncertainties import nominal_value

from ...calc.comparing import Stretch
from ...calc.interval import interval_95
from ...calc.ladder import Ladder, Rung
from ...calc.quantity import Quantity
from ...calc.speed_class import CLASSES
from .palette import BLUE, GREEN, INK, RUST, WOOD, WOOLS
from .plot import LABEL_PT, TICK_PT, drawing, name_axes, new_plot, png_of_plot

#: A rung's half width where one ladder stands alone, in wheels.
HALF: Final = 0.24
#: Where the plot begins with and without a bracket, and the room for names beyond the last wheel, in wheels.
BRACKET, BARE, NAMES = -0.75, -0.42, 0.6
#: Where several stand side by side, what each takes beside its names: a rung's half width, and gaps.
RUNG_IN, GAPS_IN = 0.6, 0.5
#: Names nearer than this factor are moved apart.
LINE_FACTOR: Final = 1.05
MARKS: Final = (3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20, 25, 30, 40, 60, 80, 100)
#: Width of the plot of one ladder, of what stands at the left of several, and the height.
ALONE_IN, LEFT_IN, HEIGHT_IN = 5.4, 0.8, 7.6
POINTS_PER_INCH: Final = 72
#: Letters of a name that have room beside a rung.
LONGEST_NAME: Final = 14


@dataclass(frozen=True, slots=True)
class LadderShown:
    """One wheel's ladder under its name, and ratios that might be added."""

    name: str
    ladder: Ladder
    new: tuple[Quantity, ...] = ()


@drawing()
def ladder_plot(wheels: Sequence[LadderShown], wish: Stretch | None = None) -> bytes:
    """Draw ladders side by side; the same ladders are the same bytes. Gives a PNG.

    Parameters
    ----------
    wheels : sequence of LadderShown
        At least one.
    wish : (float, float), optional
        The range wished for, drawn as a bracket at the left.
    """
    return png_of_plot(ladder_figure(wheels, wish))


def ladder_figure(
    wheels: Sequence[LadderShown], wish: Stretch | None = None, size_in: tuple[float, float] | None = None
) -> Figure:
    """Draw ladders side by side, within :func:`.plot.drawing`."""
    ends = [interval_95(each) for wheel in wheels for each in (*_ratios(wheel.ladder), *wheel.new)]
    low = min([each.value for each in ends] + ([wish[0]] if wish else [])) / 1.25
    high = max([each.value for each in ends] + ([wish[1]] if wish else [])) * 1.18
    across = (BRACKET if wish else BARE, len(wheels) + NAMES)
    half, width_in = HALF, ALONE_IN
    if len(wheels) > 1:
        each_in = 2 * RUNG_IN + max(_width_in(name) for w in wheels for _, name in _names(w)) + GAPS_IN
        half, width_in = RUNG_IN / each_in, LEFT_IN + each_in * (across[1] - across[0])
    figure, (axes,) = new_plot("", size_in=size_in or (width_in, HEIGHT_IN))
    _prepare(axes, across, low, high)
    _classes(axes, across[1], low, high, _apart([ratio for ratio, _ in _names(wheels[-1])]))
    for place, wheel in enumerate(wheels):
        _draw(axes, place, wheel, half)
    if wish is not None:
        _bracket(axes, wish)
    return figure


def _ratios(ladder: Ladder) -> list[Quantity]:
    return [rung.ratio for rung in ladder.rungs]


def _prepare(axes: Axes, across: tuple[float, float], low: float, high: float) -> None:
    """Scale and marks, and nothing that is not needed."""
    axes.set_xlim(*across)
    axes.set_yscale("log")
    axes.set_ylim(low, high)
    marks = [mark for mark in MARKS if low <= mark <= high]
    axes.set_yticks(marks, [f"{mark}" for mark in marks])
    axes.minorticks_off()
    axes.set_xticks([])
    axes.spines[:].set_visible(False)
    axes.grid(visible=False)
    name_axes(axes, across="faint bands: 95 % sure", up="turns of the flyer for one turn of the wheel")


def _classes(axes: Axes, right: float, low: float, high: float, names: Sequence[float]) -> None:
    """What is called slow, medium and fast, each word where no name of the last ladder stands."""
    for each, colour in zip(CLASSES, WOOLS, strict=True):
        bottom, top = max(each.highest[0], low), min(each.highest[1], high)
        if bottom >= top:
            continue
        axes.axhspan(bottom, top, color=colour, linewidth=0, zorder=0)
        crowded = any(top / LINE_FACTOR**1.5 < name < top * LINE_FACTOR**0.5 for name in names)
        place, side = (bottom * 1.006, "bottom") if crowded else (top / 1.006, "top")
        _write(axes, (right - 0.03, place), each.name, ha="right", va=side, size=TICK_PT)


def _draw(axes: Axes, place: int, wheel: LadderShown, half: float) -> None:
    ratios = [float(nominal_value(ratio)) for ratio in _ratios(wheel.ladder)]
    for side in (-1, 1):
        axes.plot(
            [place + side * half * 0.8] * 2, [ratios[0] / 1.06, ratios[-1] * 1.06],
            color=WOOD, linewidth=5, alpha=0.6, solid_capstyle="round", zorder=1,
        )  # fmt: skip
    ends = (place - half, place + half)
    for rung in wheel.ladder.rungs:
        _rung(axes, ends, rung.ratio, RUST)
    for new in wheel.new:
        _rung(axes, ends, new, GREEN)
    names = _names(wheel)
    for (_, name), y in zip(names, _apart([each[0] for each in names]), strict=True):
        _write(axes, (ends[1] + 0.06, y), name, ha="left", weight="bold")
    for step, bottom, top in zip(wheel.ladder.steps, ratios, ratios[1:], strict=False):
        if top / bottom > 1.1 and not any(bottom < nominal_value(new) < top for new in wheel.new):
            percent = f"+{100 * (nominal_value(step.factor) - 1):.0f} %"
            _write(axes, (place, (bottom * top) ** 0.5), percent)
    _write(axes, (place, axes.get_ylim()[1]), _short(wheel.name), va="bottom", weight="bold")


def _names(wheel: LadderShown) -> list[tuple[float, str]]:
    """What stands beside the rungs, each with its ratio, from low to high."""
    names = [(float(nominal_value(rung.ratio)), _name(rung)) for rung in wheel.ladder.rungs]
    return sorted(
        names + [(float(nominal_value(new)), f"new  {nominal_value(new):.3g}") for new in wheel.new]
    )


def _width_in(words: str) -> float:
    """Width of words beside a rung."""
    outline = TextPath((0, 0), words, size=LABEL_PT, prop=FontProperties(weight="bold"))
    return float(outline.get_extents().width) / POINTS_PER_INCH


def _write(axes: Axes, at: tuple[float, float], words: str, **how: Any) -> None:
    """Write words in ink, about their middle unless told otherwise."""
    axes.text(*at, words, **{"color": INK, "ha": "center", "va": "center", "size": LABEL_PT, **how})


def _name(rung: Rung) -> str:
    """The whirl's name and its ratio; the ratio alone where it has no other name."""
    ratio = f"{nominal_value(rung.ratio):.3g}"
    return ratio if rung.label[:1].isdigit() else f"{_short(rung.label)}  {ratio}"


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 2]}.."


def _rung(axes: Axes, ends: tuple[float, float], ratio: Quantity, colour: str) -> None:
    """A rung: a faint band over its interval, a bar at its value."""
    interval = interval_95(ratio)
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
    _write(axes, (-0.52, (wish[0] * wish[1]) ** 0.5), "wished for", ha="right", rotation=90)
