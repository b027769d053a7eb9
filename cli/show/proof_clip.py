"""The proof picture of a clip: its first picture with axle and flyer, and below it what was counted."""

import io
from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from ...calc.interval import interval_95
from ...vision.clip_reading import ClipReading, FlyerTurning, WheelTurning
from ...vision.measured import NotMeasured
from ...vision.open.clip import ClipFrames
from . import palette
from .rounding import texts

WIDTH_IN: Final = 9.0
PLOT_HEIGHT_IN: Final = 2.4
DOTS_PER_INCH: Final = 130


def proof_of_clip(frames: ClipFrames, reading: ClipReading) -> bytes:
    """Draw the first picture, the cadence over time and the order spectrum; give a PNG file's bytes."""
    height, width = frames.gray.shape[1:]
    picture_in = min(WIDTH_IN * height / width, WIDTH_IN)
    figure = Figure(figsize=(WIDTH_IN, picture_in + 2 * PLOT_HEIGHT_IN), layout="constrained")
    figure.set_facecolor(palette.PAPER)
    picture, cadence, spectrum = figure.subplots(
        3, 1, height_ratios=[picture_in, PLOT_HEIGHT_IN, PLOT_HEIGHT_IN]
    )
    _draw_picture(picture, frames, reading)
    _draw_cadence(cadence, reading.wheel)
    _draw_spectrum(spectrum, reading.flyer)
    png = io.BytesIO()
    figure.savefig(png, format="png", dpi=DOTS_PER_INCH)
    return png.getvalue()


def _draw_picture(axes: Axes, frames: ClipFrames, reading: ClipReading) -> None:
    axes.imshow(frames.gray[0], cmap="gray", vmin=0, vmax=255)
    axes.set_axis_off()
    if isinstance(reading.wheel, WheelTurning):
        _mark(axes, frames.to_gray(reading.wheel.hub_px), "axle", palette.RUST)
    if isinstance(reading.flyer, FlyerTurning):
        _mark(axes, frames.to_gray(reading.flyer.flyer_px), "flyer", palette.SKY)


def _mark(axes: Axes, at_px: tuple[float, float], name: str, colour: str) -> None:
    x, y = at_px
    axes.plot([x], [y], marker="+", markersize=18, markeredgewidth=1.6, color=colour)
    axes.annotate(
        name,
        (x, y),
        xytext=(9, 9),
        textcoords="offset points",
        color=palette.INK,
        bbox={"facecolor": palette.PAPER, "edgecolor": colour, "linewidth": 0.8, "pad": 2},
    )


def _draw_cadence(axes: Axes, wheel: WheelTurning | NotMeasured) -> None:
    _plain(axes, "seconds since the first picture", "turns of the wheel a minute")
    if isinstance(wheel, NotMeasured):
        _say(axes, wheel)
        return
    t_s, per_min = wheel.cadence_series.T
    axes.plot(t_s, per_min, color=palette.RUST, linewidth=1.4)
    mean = interval_95(wheel.cadence_per_min)
    axes.axhline(mean.value, color=palette.INK, linewidth=0.7, linestyle=(0, (6, 4)))
    axes.set_title(f"Cadence, mean {texts(mean)[0]} a minute", loc="left", color=palette.INK, fontsize=10)


def _draw_spectrum(axes: Axes, flyer: FlyerTurning | NotMeasured) -> None:
    _plain(axes, "turns for one turn of the wheel", "strength")
    if isinstance(flyer, NotMeasured):
        _say(axes, flyer)
        return
    axes.plot(flyer.orders, _share_of_peak(flyer.power), color=palette.GREEN, linewidth=0.9)
    for candidate in flyer.candidates:
        axes.axvline(float(candidate.order.n), color=palette.SKY, linewidth=0.8, linestyle=(0, (2, 3)))
    if isinstance(flyer.ratio, NotMeasured):
        title = "What turns with the wheel; dotted: ratios that remain possible"
    else:
        ratio = interval_95(flyer.ratio)
        axes.plot([ratio.value], [1.05], marker="v", markersize=7, color=palette.RUST, clip_on=False)
        title = f"What turns with the wheel; the flyer {texts(ratio)[0]} times"
    axes.set_title(title, loc="left", color=palette.INK, fontsize=10)


def _share_of_peak(power: NDArray[np.float64]) -> NDArray[np.float64]:
    top = float(power.max(initial=0.0))
    return power / top if top > 0 else power


def _plain(axes: Axes, across: str, up: str) -> None:
    axes.set_facecolor(palette.PAPER)
    axes.spines[["top", "right"]].set_visible(False)
    axes.spines[["left", "bottom"]].set_color(palette.INK)
    axes.tick_params(colors=palette.INK, labelsize=8)
    axes.set_xlabel(across, color=palette.INK, fontsize=9)
    axes.set_ylabel(up, color=palette.INK, fontsize=9)


def _say(axes: Axes, why: NotMeasured) -> None:
    axes.text(0.5, 0.5, why.reason, ha="center", va="center", wrap=True, transform=axes.transAxes, fontsize=9)
