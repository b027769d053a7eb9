"""The look that all plots share: calm, large letters, few lines, in the colours of wood and wool."""

import io
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Final

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from . import palette

#: As wide as a page or a phone held across, so large that its words can be read on either.
SIZE_IN: Final = (8.0, 5.6)
DOTS_PER_INCH: Final = 150
TITLE_PT, LABEL_PT, TICK_PT = 16.0, 13.0, 12.0
#: Colours of lines, in the order in which they are taken.
LINES: Final[Sequence[str]] = (palette.RUST, palette.BLUE, palette.GREEN, palette.ROSE, palette.INK)


@contextmanager
def drawing() -> Iterator[None]:
    """Draw a plot within it; a function that draws one may be decorated with it.

    A whirl's name is written as it stands, whatever signs are in it. One in letters that the font lacks shows
    as boxes, without a warning; the table beside the plot has it right.
    """
    with (
        mpl.rc_context(
            {
                "font.family": "DejaVu Sans",
                "text.parse_math": False,
                "svg.fonttype": "path",
                "svg.hashsalt": "a",
            }
        ),
        warnings.catch_warnings(),
    ):
        warnings.filterwarnings("ignore", message="Glyph")
        yield


def new_plot(
    title: str, heights: Sequence[float] = (1.0,), size_in: tuple[float, float] = SIZE_IN
) -> tuple[Figure, list[Axes]]:
    """Start a plot with its title to the left and one panel below the other, as high as told."""
    figure = Figure(figsize=size_in, layout="constrained", facecolor=palette.PAPER)
    panels = figure.subplots(len(heights), 1, sharex=True, height_ratios=heights, squeeze=False)[:, 0]
    panels[0].set_title(title, loc="left", fontsize=TITLE_PT, color=palette.INK, pad=14)
    for axes in panels:
        _calm(axes)
    return figure, list(panels)


def _calm(axes: Axes) -> None:
    axes.set_facecolor(palette.PAPER)
    axes.tick_params(labelsize=TICK_PT, colors=palette.INK, length=0, pad=6)
    axes.spines[["top", "right"]].set_visible(False)
    axes.spines[["left", "bottom"]].set_color(palette.INK)
    axes.grid(color=palette.INK, alpha=0.12, linewidth=0.8)
    axes.set_axisbelow(True)


def name_axes(axes: Axes, *, across: str = "", up: str = "") -> None:
    """Write what runs across and up."""
    axes.set_xlabel(across, fontsize=LABEL_PT, color=palette.INK, labelpad=8)
    axes.set_ylabel(up, fontsize=LABEL_PT, color=palette.INK, labelpad=8)


def png_of_plot(figure: Figure) -> bytes:
    """Give the bytes of a PNG file; the same plot is the same bytes."""
    png = io.BytesIO()
    figure.savefig(png, format="png", dpi=DOTS_PER_INCH, metadata={"Software": None})
    return png.getvalue()
