"""The map of yarns: grist across, twist up; a line for each whirl, a pale field for the usual twists."""

from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter, NullLocator
from uncertainties import nominal_value

from ...calc.interval import Interval, interval_95
from ...calc.quantity import Quantity
from ...calc.spinnable import Spinnable
from ...calc.yarn import tex_for_twist, twist_for_multiplier_per_cm
from ...calc.yarn_counts import CountSystem, count_of, tex_of
from . import palette
from .map_words import YarnMap, counted
from .plot import LABEL_PT, LINES, TICK_PT, name_axes, new_plot, png_of_plot
from .units import Units, amount, count_unit, few_digits

#: Counts marked along the axis; those within the plot are shown.
MARKS: Final = (20, 50, 100, 200, 300, 500, 1000, 2000, 3000, 5000, 10_000, 20_000, 50_000)
#: The plot reaches beyond the thickest and the finest yarn by this factor.
MARGIN: Final = 1.7


def map_plot(found: YarnMap, units: Units) -> bytes:
    """Draw the map; give a PNG file's bytes."""
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
    ends = min(each.low for each in ranges) / MARGIN, max(each.high for each in ranges) * MARGIN
    _scale(axes, ends)
    axes.set_ylim(0, 1.25 * max(amount(w.twist_per_cm, "twist", units)[0].high for w in found.whirls))
    _draw_usual(axes, found, units, ends)
    for place, each in enumerate(found.whirls):
        _draw_whirl(axes, each, found.use.multiplier, units, LINES[place % len(LINES)])
    return png_of_plot(figure)


def _scale(axes: Axes, ends: tuple[float, float]) -> None:
    axes.set_xscale("log")
    axes.set_xlim(*ends)
    axes.set_xticks([mark for mark in MARKS if ends[0] < mark < ends[1]])
    axes.xaxis.set_major_formatter(FuncFormatter(lambda mark, _: f"{mark:.0f}"))
    axes.xaxis.set_minor_locator(NullLocator())


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
        f"pale field: twists usual for {found.use.fibre} {found.use.use}",
        (0.98, 0.04),
        xycoords="axes fraction",
        ha="right",
        fontsize=LABEL_PT,
        color=palette.INK,
    )


def _draw_whirl(axes: Axes, whirl: Spinnable, multiplier: Quantity, units: Units, colour: str) -> None:
    """A line at the whirl's twist with its interval, heavy where it crosses the field: those it spins."""
    system = count_unit(units)
    twist = amount(whirl.twist_per_cm, "twist", units)[0]
    span = _span(whirl.twist_per_cm, multiplier, system)
    axes.axhspan(twist.low, twist.high, color=colour, alpha=0.16, linewidth=0)
    axes.axhline(twist.value, color=colour, linewidth=1.4)
    axes.plot([span.low, span.high], [twist.value] * 2, color=colour, linewidth=7, solid_capstyle="round")
    # The longer half of the line has room for its name.
    left, right = axes.get_xlim()
    to_the_left = span.value**2 > left * right
    axes.annotate(
        f"{whirl.label}: {few_digits(span.value, 2)} {system}",
        (left if to_the_left else right, twist.value),
        xytext=(8 if to_the_left else -8, 5),
        textcoords="offset points",
        ha="left" if to_the_left else "right",
        va="bottom",
        fontsize=TICK_PT,
        weight="bold",
        color=colour,
    )


def _span(twist_per_cm: Quantity, multiplier: Quantity, system: CountSystem) -> Interval:
    """The thickest, the middling and the finest yarn for which a twist is usual."""
    usual = interval_95(multiplier)
    counts = [
        float(nominal_value(count_of(tex_for_twist(twist_per_cm, each), system)))
        for each in (usual.value, usual.high, usual.low)
    ]
    return Interval(*counts)
