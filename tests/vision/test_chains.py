"""Chains of edges: those of one outline go on from line to line, those of cloth and wood do not."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.sparse.csgraph import connected_components

from whirlwise.vision.find.chains import FURTHEST_LINE, STEP_PX, in_chains

LINES, LEAST = 180, 12


def chance_edges(rng: np.random.Generator, a_line: int) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """So many edges on every line, anywhere within eight pixels of the outline."""
    return np.repeat(np.arange(LINES), a_line), rng.uniform(-8.0, 8.0, a_line * LINES)


@settings(max_examples=30, deadline=None)
@given(first=st.integers(0, LINES - 1), length=st.integers(LEAST, LINES), seed=st.integers(0, 99))
def test_an_arc_is_kept_wherever_it_begins(first: int, length: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    line = np.sort((first + np.arange(length)) % LINES)
    away_px = 0.1 * rng.normal(size=length)
    assert in_chains(line, away_px, LINES, LEAST).all()


def test_an_arc_with_a_hole_in_it_is_one_but_not_over_a_gap() -> None:
    line = np.array([3, 4, 5, 6, 8, 9, 10, 11])
    assert in_chains(line, np.zeros(8), LINES, 8).all()
    assert not in_chains(np.array([3, 4, 5, 6, 9, 10, 11, 12]), np.zeros(8), LINES, 8).any()


def test_chance_edges_rarely_go_on() -> None:
    """One edge a line goes on to the next with a chance of 1 in 16 or so; twelve in a row are never met."""
    rng = np.random.default_rng(1)
    assert sum(in_chains(*chance_edges(rng, 1), LINES, LEAST).sum() for _ in range(200)) == 0


def test_an_arc_among_chance_edges_is_told_from_them() -> None:
    rng = np.random.default_rng(2)
    line, away_px = chance_edges(rng, 1)
    arc = np.arange(40, 100)
    line, away_px = np.append(line, arc), np.append(away_px, 0.1 * rng.normal(size=len(arc)))
    order = np.argsort(line, kind="stable")
    kept = in_chains(line[order], away_px[order], LINES, LEAST)
    of_arc = order >= LINES
    assert kept[of_arc].all()
    # Chance edges that touch the arc go with it.
    assert kept[~of_arc].sum() < 0.15 * LINES


@settings(max_examples=50, deadline=None)
@given(lines=st.integers(3, 24), a_line=st.integers(1, 4), least=st.integers(1, 24), seed=st.integers(0, 999))
def test_every_two_edges_held_side_by_side_make_the_same_chains(
    lines: int, a_line: int, least: int, seed: int
) -> None:
    """The slow way: every edge against every other one, whatever line they lie on."""
    rng = np.random.default_rng(seed)
    line = rng.integers(lines, size=rng.integers(1, a_line * lines + 1))
    away_px = rng.uniform(-1.0, 1.0, len(line))
    further = (line[None] - line[:, None]) % lines
    beside = (further > 0) & (further <= FURTHEST_LINE)
    beside &= np.abs(away_px[None] - away_px[:, None]) < STEP_PX
    _, chain = connected_components(beside, directed=False)
    long = [len(np.unique(line[chain == one])) >= least for one in chain]
    assert in_chains(line, away_px, lines, least).tolist() == long


def test_no_edges_no_chains() -> None:
    assert in_chains(np.zeros(0, np.intp), np.zeros(0), LINES, LEAST).shape == (0,)
