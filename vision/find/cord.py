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

#: Each cord is fitted so often, of two with the other one painted over, so that it is where it was found.
ROUNDS = 2
#: Ways to see two cords that explain the strips so little worse than the best are given too, so many at most.
NEARLY_AS_GOOD, MOST_WAYS = 2.0, 3
#: Two cords where one would do must explain a strip by so much better.
WORTH_A_CORD = 14.0
#: Surely there are two where they explain a strip by so much better, at one of its ends lie so many
#: thicknesses apart, and what is seen grows as broad as they do. One that is lit on one side or out of focus
#: also looks a little like two; where it does not show all along a run, its breadth says little, and two must
#: explain the strip the better. Where the other run shows two, less is enough.
TWO_AS_BROAD, SURELY_TWO, BESIDE_ANOTHER, APART = 20.0, 30.0, 10.0, 0.7
#: Ways whose cords lie nearer to each other than this all along are one.
SAME_PX = 0.7

Pair = tuple[CordLine, CordLine]


def cords_along(strips: Sequence[Strip]) -> tuple[list[CordLine], ...]:
    """Return the cords near each run: one, two that keep apart, or none; the clearest first.

    Parameters
    ----------
    strips : sequence of Strip
        Along runs of one band, on which the clearest cord is equally thick.
    """
    found = [_each_alone(strip) for strip in strips]
    if len(found) == 2 and all(found):
        clearest = _alike_thick([cords[0] for cords in found])
        found = [[first, *cords[1:]] for first, cords in zip(clearest, found, strict=True)]
    return tuple([line for cord in cords for line in cord.strip.lines(cord.lines)] for cords in found)


@dataclass(frozen=True, slots=True)
class _Cord:
    """One cord in a strip in which others are painted over."""

    strip: Strip
    lines: CordLines


def _each_alone(strip: Strip) -> list[_Cord]:
    """The one or two clearest cords of a strip, each fitted with the other one painted over."""
    if strip.alone is None:
        return []
    if len(strip.ridges) == 1 or not _worth_two(strip, strip.alone):
        return [_Cord(strip, strip.fits.likeliest(strip.alone))]
    found = strip.ridges
    for _ in range(ROUNDS):
        beside = [strip.without([other]) for other in found[::-1]]
        found = [each.fits.likeliest(lines) for each, lines in zip(beside, found, strict=True)]
    return [_Cord(each, lines) for each, lines in zip(beside, found, strict=True)]


def _worth_two(strip: Strip, alone: CordLines) -> bool:
    """Whether two ridges are two cords; the light and the dark side of a lone one look like two, too."""
    ends_px = np.concatenate([ridge.ends_px for ridge in strip.ridges])
    both = [strip.fits.fitted(CordLines(order, 0.0, strip.half_px)) for order in (ends_px, ends_px[::-1])]
    one, *two = strip.fits.compared([alone, *both])
    return bool(min(two) + WORTH_A_CORD < one)


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
    misfits = [one.strip.fits.compared([one.lines, new.lines]) for one, new in zip(cords, again, strict=True)]
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


def cord_pairs(strips: Sequence[Strip]) -> list[tuple[Pair, Pair]]:
    """The ways to see two cords of one band along both its runs, also where they cross; the likeliest first.

    Parameters
    ----------
    strips : sequence of Strip
        Along the band's two runs.

    Returns
    -------
    list of pairs of pairs of CordLine
        For each run its two cords, the one that seems nearer to the camera first; empty if either run shows
        nothing.
    """
    ways = [strip.pairs for strip in strips]
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
    return [(_pair_in(strips[0], one), _pair_in(strips[1], other)) for one, other in kept[:MOST_WAYS]]


def surely_two(strips: Sequence[Strip], *, hiding: bool = False) -> bool:
    """Whether two cords explain one of the runs at least far better than one does.

    ``hiding``: a cord alone does not show all along the runs.
    """
    return any(_surely_two(strip, hiding=hiding) for strip in strips)


def two_along(strip: Strip, *, surely: bool) -> list[Pair]:
    """The likeliest ways to see two cords along a run where the other one shows two.

    If that may be chance and there ``surely`` must be two, there is none unless what is seen is broad as two.
    """
    if surely and not _surely_two(strip, BESIDE_ANOTHER):
        return []
    ways = strip.pairs
    kept: list[CordLines] = []
    for misfit, way in ways:
        if misfit < ways[0][0] + NEARLY_AS_GOOD and not any(_same_place(way, other) for other in kept):
            kept.append(way)
    return [_pair_in(strip, way) for way in kept]


def _pair_in(strip: Strip, both: CordLines) -> Pair:
    nearer, further = strip.lines(both)
    return nearer, further


def _surely_two(strip: Strip, least: float = TWO_AS_BROAD, *, hiding: bool = False) -> bool:
    """Whether two cords that keep apart explain a strip far better than one."""
    if strip.alone is None or not strip.pairs:
        return False
    both = strip.pairs[0][1]
    apart_px = float(np.abs(both.ends_px[1] - both.ends_px[0]).max())
    left, left_by_both = strip.fits.compared([strip.alone, both]).tolist()
    better = left - left_by_both
    if better < least or apart_px < APART * 2 * both.half_px:
        return False
    return (hiding and better > SURELY_TWO) or strip.broad_as(both)


def _same(way: tuple[CordLines, CordLines], other: tuple[CordLines, CordLines]) -> bool:
    """Whether both ways put the cords in the same places, whichever is nearer."""
    return all(map(_same_place, way, other))


def _same_place(one: CordLines, other: CordLines) -> bool:
    return any(np.abs(one.ends_px - order).max() < SAME_PX for order in (other.ends_px, other.ends_px[::-1]))
