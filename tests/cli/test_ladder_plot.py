"""Ladders side by side can be read: no name runs into the next wheel."""

from io import BytesIO

import numpy as np
import pytest

from whirlwise.calc.ladder import ladder_of
from whirlwise.cli.show.ladder_plot import LONGEST_NAME, LadderShown, ladder_figure
from whirlwise.cli.show.plot import drawing


@pytest.mark.parametrize("name", ["w", "whirl", "W" * LONGEST_NAME, "m" * (LONGEST_NAME + 9)])
@pytest.mark.parametrize("wish", [None, (6.0, 18.0)])
def test_names_end_before_the_next_wheels_rungs(name: str, wish: tuple[float, float] | None) -> None:
    wheels = [LadderShown(f"wheel {k}", ladder_of({name: 11.25, "large": 6.0}), (8.5,)) for k in range(3)]
    with drawing():
        figure = ladder_figure(wheels, wish)
        figure.savefig(BytesIO(), format="png")
        (axes,) = figure.axes
        rungs = [np.asarray(line.get_xdata()) for line in axes.lines if line.get_linewidth() == 6]
        starts = sorted({float(ends[0]) for ends in rungs})
        assert len(starts) == 3
        places = axes.transData.inverted()
        for words in axes.texts:
            if words.get_fontweight() == "bold" and words.get_horizontalalignment() == "left":
                left, right = places.transform(words.get_window_extent())[:, 0]
                beyond = [start for start in starts if start > left]
                assert right < min([*beyond, axes.get_xlim()[1]]), words.get_text()
