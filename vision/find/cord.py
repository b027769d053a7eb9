"""The centre line of a cord along a run that is roughly known, to a fraction of a pixel.

Along the straightened run a cord is a nearly straight ridge; a double drive shows two. Light falls on one
side of a round cord, so its brightest line is not its middle, and half of it may hardly differ from the wall
behind. Therefore the whole profile across the cord is explained, with both its edges.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from .cord_lines import CordLine, CordLines
from .cord_strip import UNLIKE_THICKNESS, Strip
from .edges import Pixels
from .runs import BandRun

#: Every cord is fitted so often with the others painted over.
ROUNDS = 2
#: Ways to see two cords that explain the strips so little worse than the best are given too, so many at most.
NEARLY_AS_GOOD, MOST_WAYS = 2.0, 3
#: Two cords where one would do must explain a strip by so much better.
WORTH_A_CORD = 14.0
#: Surely there are two where they explain a strip by so much better, and at one of its ends lie so many
#: thicknesses apart: one cord, lit on one side and dark on the other, also looks a little like two.
SURELY_TWO, APART = 30.0, 0.7
#: Ways whose cords lie nearer to each other than this all along are one.
SAME_PX = 0.7

Pair = tuple[CordLine, CordLine]


def cords_along(
    lab: Pixels,
    runs: Sequence[BandRun],
    rim_radius_px: float,
    thicknesses_px: Sequence[float | None] | None = None,
) -> tuple[list[CordLine], ...]:
    """Return the cords near each run: one, two that keep apart, or none; the clearest first.

    Parameters
    ----------
    lab : (h, w, 3) array
    runs : sequence of BandRun
        Those of one band, on which the clearest cord is equally thick.
    rim_radius_px : float
    thicknesses_px : sequence of float or None, optional
        The cord's thickness on each run in the picture, if the spinner has measured it and the scale is
        known.
    """
    strips = [
        Strip(lab, run, rim_radius_px, thickness_px)
        for run, thickness_px in zip(runs, thicknesses_px or [None] * len(runs), strict=True)
    ]
    found = [_each_alone(strip) for strip in strips]
    if len(found) == 2 and all(found):
        clearest = _alike_thick([cords[0] for cords in found])
        found = [[first, *cords[1:]] for first, cords in zip(clearest, found, strict=True)]
    return tuple([cord.strip.line(cord.lines, 0) for cord in cords] for cords in found)


@dataclass(frozen=True, slots=True)
class _Cord:
    """One cord in a strip in which others are painted over."""

    strip: "Strip"
    lines: CordLines


def _each_alone(strip: "Strip") -> list[_Cord]:
    """The one or two clearest cords of a strip, each fitted with the others painted over."""
    found = [CordLines(np.array([ridge]), 0.0, strip.half_px) for ridge in strip.ridges()]
    if len(found) > 1:
        # The light and the dark side of one cord look like two ridges.
        found = _one_or_two(strip, found)
    # Twice, so that they are where they were found.
    for _ in range(ROUNDS):
        beside = [strip.without(found[:k] + found[k + 1 :]) for k in range(len(found))]
        fits = [each.fits() for each in beside]
        found = [fit.likeliest(lines) for fit, lines in zip(fits, found, strict=True)]
    return [_Cord(each, lines) for each, lines in zip(beside, found, strict=True)] if found else []


def _one_or_two(strip: Strip, found: list[CordLines]) -> list[CordLines]:
    """Two ridges, or the one cord that explains them as well: its light side and its dark one."""
    fits = strip.fits()
    whole = fits.likeliest(found[0])
    ends_px = np.concatenate([ridge.ends_px for ridge in found])
    both = [fits.fitted(CordLines(order, 0.0, strip.half_px)) for order in (ends_px, ends_px[::-1])]
    one, *two = fits.compared([whole, *both])
    return found if min(two) + WORTH_A_CORD < one else [whole]


def _alike_thick(cords: Sequence[_Cord]) -> Sequence[_Cord]:
    """The cord on either run, as thick as the one on the other where that explains both better.

    What looks like the wall on one run, or runs beside it, seldom does so on the other.
    """
    again = [
        _Cord(
            one.strip,
            one.strip.as_thick_as(other.lines).fitted(replace(one.lines, half_px=other.lines.half_px)),
        )
        for one, other in zip(cords, cords[::-1], strict=True)
    ]
    misfits = [
        one.strip.fits().compared([one.lines, new.lines]) for one, new in zip(cords, again, strict=True)
    ]
    ways = [(0, 0), (0, 1), (1, 0)]
    said = [
        sum(misfits[k][way[k]] for k in range(2))
        + _unlike(*((cords, again)[way[k]][k].lines.half_px for k in range(2)))
        for way in ways
    ]
    best = ways[int(np.argmin(said))]
    return [(cords, again)[best[k]][k] for k in range(2)]


def _unlike(one_px: float, other_px: float) -> float:
    """What speaks against one band being so thick on one run and so thick on the other."""
    return float((np.log(one_px / other_px) / UNLIKE_THICKNESS) ** 2)


def cord_pairs(
    lab: Pixels,
    runs: tuple[BandRun, BandRun],
    rim_radius_px: float,
    thickness_px: float | None = None,
    *,
    surely: bool = False,
) -> list[tuple[Pair, Pair]]:
    """The ways to see two cords of one band along both its runs, also where they cross; the likeliest first.

    Parameters
    ----------
    lab, rim_radius_px, thickness_px
        As for :func:`cords_along`.
    runs : pair of BandRun
    surely : bool
        Only if two cords explain one of the runs at least far better than one does.

    Returns
    -------
    list of pairs of pairs of CordLine
        For each run its two cords, the one that seems nearer to the camera first; empty if either run shows
        nothing, or if there surely is only one cord.
    """
    strips = [Strip(lab, run, rim_radius_px, thickness_px) for run in runs]
    alone = [_alone(strip) for strip in strips]
    ways = [_pairs_of(strip, one) for strip, one in zip(strips, alone, strict=True)]
    if surely and not any(map(_surely_two, strips, alone, ways)):
        return []
    joint = sorted(
        (
            one_misfit + other_misfit + _unlike(one.half_px, other.half_px),
            i,
            j,
        )
        for i, (one_misfit, one) in enumerate(ways[0])
        for j, (other_misfit, other) in enumerate(ways[1])
    )
    kept: list[tuple[CordLines, CordLines]] = []
    for misfit, i, j in joint:
        way = (ways[0][i][1], ways[1][j][1])
        if misfit < joint[0][0] + NEARLY_AS_GOOD and not any(_same(way, other) for other in kept):
            kept.append(way)
    return [
        (
            (strips[0].line(one, 0), strips[0].line(one, 1)),
            (strips[1].line(other, 0), strips[1].line(other, 1)),
        )
        for one, other in kept[:MOST_WAYS]
    ]


def _pairs_of(strip: "Strip", one: CordLines | None) -> list[tuple[float, CordLines]]:
    """Ways to see two cords near a lone one, each with what it leaves unexplained, the likeliest first."""
    return strip.fits().pairs(one) if one is not None else []


def _alone(strip: "Strip") -> CordLines | None:
    """The one cord that explains a strip best; None if it shows none."""
    ridges = strip.ridges()
    return strip.fits().likeliest(CordLines(np.array(ridges[:1]), 0.0, strip.half_px)) if ridges else None


def _surely_two(strip: "Strip", one: CordLines | None, ways: Sequence[tuple[float, CordLines]]) -> bool:
    """Whether two cords that keep apart explain a strip far better than one."""
    if one is None or not ways:
        return False
    both = ways[0][1]
    apart_px = float(np.abs(both.ends_px[1] - both.ends_px[0]).max())
    left, left_by_both = strip.fits().compared([one, both]).tolist()
    return left > left_by_both + SURELY_TWO and apart_px > APART * 2 * both.half_px


def _same(way: tuple[CordLines, CordLines], other: tuple[CordLines, CordLines]) -> bool:
    """Whether both ways put the cords in the same places, whichever is nearer."""
    return all(
        any(np.abs(a.ends_px - order).max() < SAME_PX for order in (b.ends_px, b.ends_px[::-1]))
        for a, b in zip(way, other, strict=True)
    )
