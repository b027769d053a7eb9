"""The proof picture of a clip: what turned, drawn into its first picture, and below it what was counted.

Wheel and flyer keep their colours throughout: one round what turned, and in the plot that comes from it.
"""

import io
import textwrap
from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patheffects import withStroke
from matplotlib.ticker import NullFormatter, NullLocator, ScalarFormatter
from numpy.typing import NDArray

from ...calc.interval import interval_95
from ...vision.clip_reading import ClipReading, FlyerTurning, WheelTurning
from ...vision.measured import NotMeasured
from ...vision.open.clip import ClipFrames
from . import palette
from .answer import between

#: So narrow that the words can be read on a phone, which shows the whole width.
WIDTH_IN: Final = 5.5
DOTS_PER_INCH: Final = 210
PLOT_HEIGHT_IN: Final = 2.2
#: The strip below the picture that names the lines in it.
NAMES_HEIGHT_IN: Final = 0.4
TITLE_PT, LABEL_PT, TICK_PT = 10.5, 9.0, 8.5
LETTERS_A_LINE: Final = 58
WHEEL, FLYER = palette.RUST, palette.BLUE
#: A light seam lets dark colours show on wood.
SEAM: Final = (withStroke(linewidth=3.4, foreground=palette.PAPER),)
#: A peak is named if it lies within this share of half or twice the ratio, and is this share of the highest.
PEAK_REACH, WORTH_A_NAME = 0.02, 0.3
RATIO_TICKS: Final = (3, 4, 5, 6, 8, 10, 15, 20, 30)


def proof_of_clip(frames: ClipFrames, reading: ClipReading) -> bytes:
    """Draw the first picture, the cadence over time and the order spectrum; give a PNG file's bytes."""
    height, width = frames.gray.shape[1:]
    picture_in = min(WIDTH_IN * height / width, WIDTH_IN) + NAMES_HEIGHT_IN
    # Where neither wheel nor flyer was found, the reason is said once.
    plots = 1 if reading.flyer == reading.wheel else 2
    figure = Figure(figsize=(WIDTH_IN, picture_in + plots * PLOT_HEIGHT_IN), layout="constrained")
    figure.set_facecolor(palette.PAPER)
    panels = figure.subplots(1 + plots, 1, height_ratios=[picture_in, *[PLOT_HEIGHT_IN] * plots])
    _draw_picture(panels[0], frames, reading)
    _draw_cadence(panels[1], reading.wheel)
    if plots > 1:
        _draw_spectrum(panels[2], reading.flyer)
    png = io.BytesIO()
    figure.savefig(png, format="png", dpi=DOTS_PER_INCH)
    return png.getvalue()


def _draw_picture(axes: Axes, frames: ClipFrames, reading: ClipReading) -> None:
    height, width = frames.gray.shape[1:]
    axes.imshow(frames.gray[0], cmap="gray", vmin=0, vmax=255)
    axes.set_axis_off()
    axes.set(xlim=(-0.5, width - 0.5), ylim=(height - 0.5, -0.5))
    if isinstance(reading.wheel, WheelTurning):
        _outline(axes, frames, reading.wheel.outline_px, "here the wheel was followed", WHEEL)
        _cross(axes, frames.to_gray(reading.wheel.hub_px), "its axle", WHEEL)
    if isinstance(reading.flyer, FlyerTurning):
        _outline(axes, frames, reading.flyer.outline_px, "here the flyer", FLYER)
    if axes.get_legend_handles_labels()[0]:
        axes.legend(
            loc="upper center",
            bbox_to_anchor=(0.5, 0.0),
            ncols=3,
            frameon=False,
            fontsize=LABEL_PT,
            labelcolor=palette.INK,
        )


def _outline(axes: Axes, frames: ClipFrames, outline_px: NDArray[np.float64], name: str, colour: str) -> None:
    x, y = np.array([frames.to_gray((x, y)) for x, y in outline_px.tolist()]).T
    axes.plot(
        np.append(x, x[0]), np.append(y, y[0]), color=colour, linewidth=1.6, label=name, path_effects=SEAM
    )


def _cross(axes: Axes, at_px: tuple[float, float], name: str, colour: str) -> None:
    x, y = at_px
    axes.plot(
        [x],
        [y],
        marker="+",
        markersize=11,
        markeredgewidth=1.6,
        linestyle="none",
        color=colour,
        label=name,
        path_effects=SEAM,
    )


def _draw_cadence(axes: Axes, wheel: WheelTurning | NotMeasured) -> None:
    if isinstance(wheel, NotMeasured):
        _say(axes, wheel)
        return
    _plain(axes, "seconds since the first picture", "turns a minute")
    t_s, per_min = wheel.cadence_series.T
    axes.plot(t_s, per_min, color=WHEEL, linewidth=1.4)
    axes.axhline(float(wheel.cadence_per_min.n), color=palette.INK, linewidth=0.7, linestyle=(0, (6, 4)))
    _title(
        axes, f"Turns of the wheel a minute; dashed, the mean:\n{between(interval_95(wheel.cadence_per_min))}"
    )


def _draw_spectrum(axes: Axes, flyer: FlyerTurning | NotMeasured) -> None:
    if isinstance(flyer, NotMeasured):
        _say(axes, flyer)
        return
    _plain(axes, "turns for one turn of the wheel", "strength")
    axes.set_xscale("log")
    axes.set_xlim(flyer.orders[0], flyer.orders[-1])
    axes.set_xticks(RATIO_TICKS)
    axes.xaxis.set_major_formatter(ScalarFormatter())
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.xaxis.set_minor_locator(NullLocator())
    axes.set_yticks([])
    strength = _share_of_peak(flyer.power)
    axes.plot(flyer.orders, strength, color=FLYER, linewidth=1.0)
    axes.set_ylim(0, 1.3)
    for candidate in flyer.candidates:
        _point_at(axes, float(candidate.order.n))
    _title(axes, _ratio_words(flyer))
    if not isinstance(flyer.ratio, NotMeasured):
        _name_peaks(axes, float(flyer.ratio.n), flyer.orders, strength)


def _ratio_words(flyer: FlyerTurning) -> str:
    if isinstance(flyer.ratio, NotMeasured):
        either = "\nor ".join(between(interval_95(candidate.order)) for candidate in flyer.candidates)
        return f"Turns of the flyer for one of the wheel; the clip leaves open:\n{either}"
    return f"Turns of the flyer for one turn of the wheel:\n{between(interval_95(flyer.ratio))}"


def _point_at(axes: Axes, ratio: float) -> None:
    axes.axvline(ratio, ymax=1.08 / 1.3, color=WHEEL, linewidth=0.9, linestyle=(0, (2, 3)))
    axes.plot([ratio], [1.12], marker="v", markersize=7, color=WHEEL)


def _name_peaks(axes: Axes, ratio: float, orders: NDArray[np.float64], strength: NDArray[np.float64]) -> None:
    """Name the ratio, and the peaks at half and twice that like arms make, lest they be taken for rivals."""
    for name, place in (("half", ratio / 2), ("ratio", ratio), ("twice", 2 * ratio)):
        seen = strength[np.abs(orders / place - 1) < PEAK_REACH].max(initial=0.0)
        if name == "ratio" or seen > WORTH_A_NAME:
            axes.text(place, 1.18, name, ha="center", va="bottom", fontsize=TICK_PT, color=palette.INK)


def _share_of_peak(power: NDArray[np.float64]) -> NDArray[np.float64]:
    top = float(power.max(initial=0.0))
    return power / top if top > 0 else power


def _plain(axes: Axes, across: str, up: str) -> None:
    axes.set_facecolor(palette.PAPER)
    axes.spines[["top", "right"]].set_visible(False)
    axes.spines[["left", "bottom"]].set_color(palette.INK)
    axes.tick_params(colors=palette.INK, labelsize=TICK_PT)
    axes.set_xlabel(across, color=palette.INK, fontsize=LABEL_PT)
    axes.set_ylabel(up, color=palette.INK, fontsize=LABEL_PT)


def _title(axes: Axes, words: str) -> None:
    axes.set_title(words, loc="left", color=palette.INK, fontsize=TITLE_PT)


def _say(axes: Axes, why: NotMeasured) -> None:
    """Say why there is nothing to plot."""
    axes.set_axis_off()
    words = textwrap.fill(str(why), LETTERS_A_LINE)
    axes.text(0.0, 1.0, words, va="top", transform=axes.transAxes, fontsize=TITLE_PT, color=palette.INK)
