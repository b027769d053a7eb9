"""The map of yarns: grist across, twist up; a line for each whirl, a faint field for the usual twists.

Both run by factors, so that the field is a straight road and equal steps of ratios are equally far apart.
"""

from collections.abc import Sequence
from math import log
from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, NullLocator
from uncertainties import nominal_value

from ...calc.interval import Interval, interval_95
from ...calc.quantity import Quantity
from ...calc.spinnable import Spinnable
from ...calc.yarn import tex_for_twist, twist_for_multiplier_per_cm
from ...calc.yarn_counts import CountSystem, count_of, tex_of
from . import palette
from .map_words import YarnMap, counted
from .plot import LABEL_PT, LINES, drawing, name_axes, new_plot, png_of_plot
from .units import Units, amount, count_unit, few_digits, short_name

#: Counts and twists marked along the axes; those within the plot are shown.
MARKS: Final = (20, 50, 100, 200, 300, 500, 1000, 2000, 3000, 5000, 10_000, 20_000, 50_000)
TWIST_MARKS: Final = (0.5, 1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40)
#: The plot reaches beyond the outermost yarns and twists by these factors.
MARGIN, TWIST_MARGIN = 1.7, 1.35
#: Names of whirls stand at least this share of the height apart.
APART: Final = 0.065


@drawing()
def map_plot(found: YarnMap, units: Units) -> bytes:
    """Draw the map; give a PNG file's bytes."""
    return png_of_plot(map_figure(found, units))


def map_figure(found: YarnMap, units: Units) -> Figure:
    """Draw the map, within :func:`.plot.drawing`."""
    system = count_unit(units)
    speed, speed_unit = amount(found.drafting_cm_per_min, "speed", units)
    cadence = float(nominal_value(found.cadence_per_min))
    figure, (axes,) = new_plot(
        f"Which yarns this wheel spins\nat {cadence:.0f} treadles a minute, "
        f"{speed.value:.0f} {speed_unit} drafted"
    )
    name_axes(
        axes,
        across=f"thick        singles, {system}        fine",
        up=f"turns of twist per {'cm' if units == 'metric' else 'inch'}",
    )
    ranges = [counted(each.tex, system) for each in found.whirls]
    twists = [amount(each.twist_per_cm, "twist", units)[0] for each in found.whirls]
    ends = min(each.low for each in ranges) / MARGIN, max(each.high for each in ranges) * MARGIN
    heights = min(t.low for t in twists) / TWIST_MARGIN, max(t.high for t in twists) * TWIST_MARGIN
    _scale(axes, ends, heights)
    _draw_usual(axes, found, units, ends)
    places = _spread([log(t.value / heights[0]) / log(heights[1] / heights[0]) for t in twists])
    for place, (each, height) in enumerate(zip(found.whirls, places, strict=True)):
        _draw_whirl(axes, each, found.use.multiplier, units, LINES[place % len(LINES)], height)
    return figure


def _scale(axes: Axes, ends: tuple[float, float], heights: tuple[float, float]) -> None:
    axes.set(xscale="log", yscale="log", xlim=ends, ylim=heights)
    axes.set_xticks([mark for mark in MARKS if ends[0] < mark < ends[1]])
    axes.set_yticks([mark for mark in TWIST_MARKS if heights[0] < mark < heights[1]])
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_formatter(FuncFormatter(lambda mark, _: f"{mark:g}"))
        axis.set_minor_locator(NullLocator())


def _spread(heights: Sequence[float]) -> list[float]:
    """Move heights, from low to high, so far apart that names beside them can be read.

    Examples
    --------
    >>> [round(height, 3) for height in _spread([0.2, 0.21, 0.5])]
    [0.2, 0.265, 0.5]
    """
    spread: list[float] = []
    for height in heights:
        spread.append(max(height, spread[-1] + APART) if spread else height)
    return spread


def _draw_usual(axes: Axes, found: YarnMap, units: Units, ends: tuple[float, float]) -> None:
    """The twists that are usual for the use, as a field; its name lies below it, to the right."""
    system = count_unit(units)
    counts = np.geomspace(*ends, 200).tolist()

    def twists(multiplier: float) -> list[float]:
        found_cm = [twist_for_multiplier_per_cm(multiplier, tex_of(each, system)) for each in counts]
        return [amount(each, "twist", units)[0].value for each in found_cm]

    usual = interval_95(found.use.multiplier)
    axes.fill_between(counts, twists(usual.low), twists(usual.high), color=palette.WOOL, linewidth=0)
    axes.annotate(
        f"faint field: twists usual for {found.use.fibre} {found.use.use}",
        (0.98, 0.03),
        xycoords="axes fraction",
        ha="right",
        fontsize=LABEL_PT,
        color=palette.INK,
    )


def _draw_whirl(
    axes: Axes, whirl: Spinnable, multiplier: Quantity, units: Units, colour: str, name_at: float
) -> None:
    """A line at the whirl's twist with its interval, heavy where it crosses the field: those it spins."""
    system = count_unit(units)
    twist = amount(whirl.twist_per_cm, "twist", units)[0]
    span = _span(whirl.twist_per_cm, multiplier, system)
    axes.axhspan(twist.low, twist.high, color=colour, alpha=0.16, linewidth=0)
    axes.axhline(twist.value, color=colour, linewidth=1.4)
    axes.plot([span.low, span.high], [twist.value] * 2, color=colour, linewidth=7, solid_capstyle="round")
    axes.annotate(
        f"{short_name(whirl.label)}: {few_digits(span.value, 2)}",
        (1.0, twist.value),
        (1.04, name_at),
        xycoords=("axes fraction", "data"),
        textcoords="axes fraction",
        va="center",
        fontsize=LABEL_PT,
        weight="bold",
        color=palette.INK,
        arrowprops={"arrowstyle": "-", "color": colour, "linewidth": 3, "shrinkA": 2, "shrinkB": 0},
    )


def _span(twist_per_cm: Quantity, multiplier: Quantity, system: CountSystem) -> Interval:
    """The thickest, the middling and the finest yarn for which a twist is usual."""
    usual = interval_95(multiplier)
    counts = [
        float(nominal_value(count_of(tex_for_twist(twist_per_cm, each), system)))
        for each in (usual.value, usual.high, usual.low)
    ]
    return Interval(*counts)
