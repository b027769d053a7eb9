"""Round which edge of the rim things of known size are looked for."""

import numpy as np
import pytest

from whirlwise.vision.find.rim import RimEdge
from whirlwise.vision.geometry.ellipse import Ellipse
from whirlwise.vision.photo_references import edge_to_look_round

CLEAREST = RimEdge(Ellipse(1200.0, 900.0, 700.0, 650.0, 0.4), np.zeros((0, 2)), 0.98, 0.4)


def edge(x_px: float, semi_a_px: float, semi_b_px: float, angle_rad: float = 0.4) -> RimEdge:
    return RimEdge(Ellipse(x_px, 900.0, semi_a_px, semi_b_px, angle_rad), np.zeros((0, 2)), 0.9, 0.9)


@pytest.mark.parametrize(
    "chosen",
    [
        edge(1200.0, 0.93 * 700.0, 0.93 * 650.0),
        # The same ellipse, its axes named the other way round; and one a little off, as rough edges are.
        edge(1210.0, 0.9 * 650.0, 0.9 * 700.0, 0.4 + np.pi / 2),
        edge(1215.0, 0.95 * 700.0, 0.93 * 650.0),
    ],
    ids=["smaller", "axes changed", "rough"],
)
def test_round_the_clearest_edge_where_the_one_that_is_measured_has_its_shape(chosen: RimEdge) -> None:
    assert edge_to_look_round([CLEAREST, chosen], chosen) is CLEAREST


@pytest.mark.parametrize(
    "chosen",
    [edge(1200.0, 660.0, 560.0), edge(1200.0, 660.0, 613.0, 1.9), edge(1290.0, 651.0, 604.5)],
    ids=["flatter", "turned", "elsewhere"],
)
def test_round_the_one_that_is_measured_where_it_has_another_shape(chosen: RimEdge) -> None:
    assert edge_to_look_round([CLEAREST, chosen], chosen) is chosen
