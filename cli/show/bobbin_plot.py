"""The plot of a filling bobbin: twist, and below it the pull, over the share of the yarn that is on it."""

from collections.abc import Sequence
from typing import Final

from matplotlib.axes import Axes
from uncertainties import nominal_value

from ...calc.bobbin import AsItPulls, BobbinPoint, ByTheDraw
from . import palette
from .bobbin_words import Filled, drive_name
from .plot import LABEL_PT, drawing, name_axes, new_plot, png_of_plot
from .units import Units, amount

DRIVES: Final = {"flyer-led": "flyer-led", "bobbin-led": "bobbin-led", "double": "double drive"}
TWIST, PULL = palette.RUST, palette.BLUE


@drawing()
def bobbin_plot(found: Filled, curve: Sequence[BobbinPoint], units: Units) -> bytes:
    """Draw twist with its interval, and the pull that goes with it; give a PNG file's bytes."""
    unit = {"metric": "cm", "imperial": "inch"}[units]
    figure, (above, below) = new_plot(
        f"Twist from the empty to the full bobbin\n{DRIVES[drive_name(found.drive)]}, {_manner(found)}",
        (5, 2),
    )
    filled = [100 * point.filled for point in curve]
    _draw_twist(above, filled, curve, units)
    name_axes(above, up=f"turns per {unit}")
    _draw_pull(below, filled, curve)
    name_axes(below, across="yarn on the bobbin, % of all that it holds", up="pull, %")
    below.set_xlim(0, 100)
    return png_of_plot(figure)


def _manner(found: Filled) -> str:
    if isinstance(found.manner, AsItPulls):
        return "yarn let in as it pulls"
    return "drawn out and let in" if isinstance(found.manner, ByTheDraw) else "drafted as it goes in"


def _draw_twist(axes: Axes, filled: list[float], curve: Sequence[BobbinPoint], units: Units) -> None:
    intervals = [amount(point.twist_per_cm, "twist", units)[0] for point in curve]
    low, high = [i.low for i in intervals], [i.high for i in intervals]
    axes.fill_between(filled, low, high, color=TWIST, alpha=0.22, linewidth=0)
    axes.plot(filled, [i.value for i in intervals], color=TWIST, linewidth=3.2)
    axes.set_ylim(0, 1.22 * max(high))
    _write(axes, "twist, with its 95 % interval", (50, 1.09 * max(high)), "center", TWIST)
    _write(axes, f" {intervals[0].value:.2f}", (0, high[0]), "left", TWIST, bold=True)
    _write(axes, f"{intervals[-1].value:.2f} ", (100, high[-1]), "right", TWIST, bold=True)


def _draw_pull(axes: Axes, filled: list[float], curve: Sequence[BobbinPoint]) -> None:
    """The pull on the yarn, of that on the empty bobbin, with brake or band left as they are."""
    pull = [float(nominal_value(point.pull_percent)) for point in curve]
    axes.plot(filled, pull, color=PULL, linewidth=3.2)
    axes.set_ylim(0, 118)
    axes.set_yticks([0, 50, 100])
    _write(axes, "pull on the yarn, brake and band left alone", (99, 75), "right", PULL)
    _write(axes, f"{pull[-1]:.0f} % ", (100, pull[-1]), "right", PULL, bold=True)


def _write(
    axes: Axes, words: str, at: tuple[float, float], side: str, colour: str, *, bold: bool = False
) -> None:
    axes.annotate(
        words,
        at,
        xytext=(0, 7),
        textcoords="offset points",
        ha=side,
        fontsize=LABEL_PT,
        weight="bold" if bold else "normal",
        color=colour,
    )
