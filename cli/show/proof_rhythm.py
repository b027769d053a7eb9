"""A drawing of the treadling that is read at a glance: each turn, how steady, and the mean turn as a clock.

A session keeps its colour throughout. Of more sessions than there are colours, the earlier ones are grey.
"""

import io
from collections.abc import Sequence
from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure
from matplotlib.projections.polar import PolarAxes

from ...calc.rhythm import spread_interval_95
from ...vision.measured import NotMeasured
from ...vision.session import SessionReading
from ...vision.turning.rhythm import Rhythm
from . import palette
from .rounding import texts
from .session import session_of

#: So narrow that the words can be read on a phone, which shows the whole width.
WIDTH_IN: Final = 5.5
DOTS_PER_INCH: Final = 210
TURNS_HEIGHT_IN, ROW_HEIGHT_IN, CLOCK_HEIGHT_IN = 2.6, 0.42, 2.5
TITLE_PT, LABEL_PT, TICK_PT = 10.5, 9.0, 8.5
COLOURS: Final = (palette.RUST, palette.BLUE, palette.GREEN, palette.ROSE, palette.SKY)
EARLIER: Final = "#A9A29A"
#: Clocks that fit side by side; of more sessions the last ones are shown.
MOST_CLOCKS: Final = 3
#: The largest swing is drawn as this share of the ring's radius, so that it shows.
SWING_SHOWN: Final = 0.32
LONGEST_NAME: Final = 24


def proof_of_rhythm(readings: Sequence[SessionReading], wished_per_min: float | None = None) -> bytes:
    """Draw sessions with a rhythm; give a PNG file's bytes."""
    told = [(r, r.rhythm) for r in readings if isinstance(r.rhythm, Rhythm)]
    colours = _colours(len(told))
    clocks = [(r, each, c) for (r, each), c in zip(told, colours, strict=True) if len(each.speed_percent)]
    clocks = clocks[-MOST_CLOCKS:]
    heights = [TURNS_HEIGHT_IN, 0.9 + ROW_HEIGHT_IN * len(told), *([CLOCK_HEIGHT_IN] if clocks else [])]
    figure = Figure(figsize=(WIDTH_IN, sum(heights)), layout="constrained")
    figure.set_facecolor(palette.PAPER)
    if not told:
        _say_nothing(figure)
        return _png(figure)
    parts = list(np.ravel(figure.subfigures(len(heights), 1, height_ratios=heights, squeeze=False)))
    for part in parts:
        part.set_facecolor(palette.PAPER)
    _draw_turns(parts[0].subplots(), told, colours, wished_per_min)
    _draw_spreads(parts[1].subplots(), told, colours)
    if clocks:
        _draw_clocks(parts[2], clocks)
    return _png(figure)


def _png(figure: Figure) -> bytes:
    png = io.BytesIO()
    figure.savefig(png, format="png", dpi=DOTS_PER_INCH)
    return png.getvalue()


def _colours(count: int) -> list[str]:
    if count <= len(COLOURS):
        return list(COLOURS[:count])
    return [EARLIER] * (count - 1) + [COLOURS[0]]


def _say_nothing(figure: Figure) -> None:
    words = "In none of these recordings was a rhythm found."
    figure.text(0.05, 0.9, words, va="top", fontsize=TITLE_PT, color=palette.INK)


def _draw_turns(
    axes: Axes,
    told: Sequence[tuple[SessionReading, Rhythm]],
    colours: Sequence[str],
    wished_per_min: float | None,
) -> None:
    """Each turn is a bead on its string; a level string is a steady foot."""
    _plain(axes)
    for (reading, rhythm), colour in zip(told, colours, strict=True):
        turn_s = np.array(rhythm.turn_times_s)
        middle_s = np.cumsum(turn_s) - turn_s / 2
        many = len(turn_s) > 80
        axes.plot(
            middle_s,
            60 / turn_s,
            color=colour,
            linewidth=1.2,
            marker="" if many else "o",
            markersize=4.5,
            label=_short(reading.file),
        )
    cadences = np.concatenate([60 / np.array(rhythm.turn_times_s) for _, rhythm in told])
    if wished_per_min is not None:
        axes.axhline(wished_per_min, color=palette.INK, linewidth=0.8, linestyle=(0, (6, 4)))
        cadences = np.append(cadences, wished_per_min)
    # A steady foot shall look steady: the scale never shows less than a tenth of the cadence.
    middle = (cadences.max() + cadences.min()) / 2
    reach = max(0.06 * middle, 0.62 * float(np.ptp(cadences)))
    axes.set_ylim(middle - reach, middle + reach)
    axes.set_xlabel("seconds", color=palette.INK, fontsize=LABEL_PT)
    wish = "" if wished_per_min is None else f"; dashed, your wish: {wished_per_min:g}"
    _title(axes, f"Each turn of the wheel, in turns a minute{wish}")


def _draw_spreads(axes: Axes, told: Sequence[tuple[SessionReading, Rhythm]], colours: Sequence[str]) -> None:
    """One line a session: where its spread is, and how far from there it may be."""
    _plain(axes)
    axes.spines["left"].set_visible(False)
    for row, ((reading, rhythm), colour) in enumerate(zip(told, colours, strict=True)):
        spread = spread_interval_95(session_of(reading.file, rhythm))
        axes.plot([spread.low, spread.high], [row, row], color=colour, linewidth=9, alpha=0.3)
        axes.plot([spread.value], [row], marker="o", markersize=8, color=colour)
        axes.text(
            0,
            row - 0.33,
            f"{_short(reading.file)}  {texts(spread)[0]} %",
            fontsize=TICK_PT,
            color=palette.INK,
        )
    axes.set_ylim(len(told) - 0.4, -0.9)
    axes.set_xlim(left=0)
    axes.set_yticks([])
    axes.set_xlabel(
        "spread from turn to turn, %; the bar is where it may lie", color=palette.INK, fontsize=LABEL_PT
    )
    _title(axes, "Calmer is further left")


def _draw_clocks(part: SubFigure, clocks: Sequence[tuple[SessionReading, Rhythm, str]]) -> None:
    """Show the mean turn round a dial: outside the ring faster, inside slower than the mean."""
    part.suptitle(
        "Where in the turn the wheel runs faster (outside the ring)\nand slower (inside); a dot: slowest",
        x=0.02,
        ha="left",
        color=palette.INK,
        fontsize=TITLE_PT,
    )
    largest = max(float(np.abs(rhythm.speed_percent - 100).max()) for _, rhythm, _ in clocks)
    dials = part.subplots(1, len(clocks), subplot_kw={"projection": "polar"}, squeeze=False)[0]
    for axes, (_, rhythm, colour) in zip(dials, clocks, strict=True):
        _draw_clock(axes, rhythm, colour, SWING_SHOWN / max(largest, 1.0))


def _draw_clock(axes: PolarAxes, rhythm: Rhythm, colour: str, radius_per_percent: float) -> None:
    # Where the place of the rim stands that stood at 12 o'clock in the first picture; 12 o'clock is up.
    turned = np.radians(90 + np.arange(len(rhythm.speed_percent) + 1))
    radii = 1 + np.append(rhythm.speed_percent, rhythm.speed_percent[:1]) * radius_per_percent
    radii -= 100 * radius_per_percent
    axes.set_facecolor(palette.PAPER)
    axes.fill_between(turned, np.ones_like(radii), radii, color=colour, alpha=0.25, linewidth=0)
    axes.plot(turned, np.ones_like(radii), color=palette.INK, linewidth=0.8, linestyle=(0, (2, 3)))
    axes.plot(turned, radii, color=colour, linewidth=1.8)
    if not isinstance(rhythm.slowest_at_deg, NotMeasured):
        at = round(float(rhythm.slowest_at_deg.n)) % len(rhythm.speed_percent)
        axes.plot([turned[at]], [radii[at]], marker="o", markersize=8, color=colour)
    axes.set_ylim(0, 1.05 + SWING_SHOWN)
    axes.set_yticks([])
    axes.set_xticks(np.radians([90, 0, 270, 180]), ["12", "3", "6", "9"])
    axes.tick_params(colors=palette.INK, labelsize=LABEL_PT, pad=-5)
    axes.grid(False)
    axes.spines["polar"].set_visible(False)


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 3]}..."


def _plain(axes: Axes) -> None:
    axes.set_facecolor(palette.PAPER)
    axes.spines[["top", "right"]].set_visible(False)
    axes.spines[["left", "bottom"]].set_color(palette.INK)
    axes.tick_params(colors=palette.INK, labelsize=TICK_PT)


def _title(axes: Axes, words: str) -> None:
    axes.set_title(words, loc="left", color=palette.INK, fontsize=TITLE_PT)
