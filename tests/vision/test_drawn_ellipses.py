"""Ellipses drawn through picked edges, against the ellipse on which the edges were put."""

import numpy as np
import pytest

from whirlwise.vision.find.drawn_ellipses import drawn_ellipses
from whirlwise.vision.find.edges import EdgePoints
from whirlwise.vision.geometry.ellipse import Ellipse

TRUE = Ellipse(403.0, 297.0, 212.0, 190.0, 0.7)
ROUGH = Ellipse(400.0, 300.0, 205.0, 195.0, 0.3)
LINES = 360


def edges_on(ellipse: Ellipse, rng: np.random.Generator, stray: float) -> EdgePoints:
    """One edge a line on the ellipse, some moved anywhere within 20 px across it."""
    outline, normals = ellipse.outline(LINES)
    off_px = np.where(rng.uniform(size=LINES) < stray, rng.uniform(-20, 20, LINES), rng.normal(0, 0.1, LINES))
    return EdgePoints(np.arange(LINES), outline + off_px[:, None] * normals, np.full(LINES, 10.0))


@pytest.mark.parametrize("stray", [0.0, 0.5])
def test_the_ellipse_comes_back_from_among_strays(stray: float) -> None:
    edges = edges_on(TRUE, np.random.default_rng(1), stray)
    best = drawn_ellipses(edges, ROUGH, 20.0, 1.6, np.random.default_rng(0))[0]
    assert np.abs(TRUE.distance_px(best.outline(90)[0])).max() < 1.5
    assert [best.semi_a_px, best.semi_b_px] == pytest.approx([212.0, 190.0], abs=1.5)
    assert best.angle_rad % np.pi == pytest.approx(0.7, abs=0.05)


def test_the_best_supported_comes_first() -> None:
    edges = edges_on(TRUE, np.random.default_rng(1), 0.5)
    drawn = drawn_ellipses(edges, ROUGH, 20.0, 1.6, np.random.default_rng(0))
    assert len(drawn) > 2
    away_px = np.array([ellipse.distance_px(edges.points_px) for ellipse in drawn])
    assert (np.abs(away_px[0]) < 1.6).sum() > 150
    # An edge counts the more the closer it lies: from 1 on the ellipse to 0 at 1.6 px.
    supports = np.maximum(1 - (away_px / 1.6) ** 2, 0).sum(axis=1)
    assert supports[0] == supports.max()


def test_ellipses_of_another_shape_are_left_out() -> None:
    edges = edges_on(Ellipse(400.0, 300.0, 200.0, 100.0, 0.0), np.random.default_rng(1), 0.0)
    assert drawn_ellipses(edges, ROUGH, 20.0, 1.6, np.random.default_rng(0)) == []


def test_edges_on_one_side_alone_give_none() -> None:
    edges = edges_on(TRUE, np.random.default_rng(1), 0.0)
    one_side = edges.chosen((edges.line < 60) | (edges.line == LINES - 1))
    assert drawn_ellipses(one_side, ROUGH, 20.0, 1.6, np.random.default_rng(0)) == []
