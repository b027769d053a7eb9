"""Ways to see two cords on both runs of a band, of those that were found: a double drive shows two.

Where cords part, each was found by itself; where they lie on each other or cross, only both together explain
what is seen. Seen aslant they may do so on one run and part on the other.
"""

from collections.abc import Sequence
from itertools import product

import numpy as np
from numpy.typing import NDArray

from .cord import Pair, two_along
from .cord_fit import PAIR_STEP_HALVES, PAIR_STEPS
from .cord_lines import CordLine
from .cord_strip import Strip

Ways = list[tuple[Pair, Pair]]

#: Two that lie nearer to each other than so many thicknesses are better told together than one by one; so far
#: to either side of where one would do they are looked for.
FAR = 0.5 * PAIR_STEPS * PAIR_STEP_HALVES
#: What lies nearer to a cord than so many thicknesses all along is the same cord once more. Cords that part
#: are farther from each other than so many at one end.
NEAR, PARTED = 0.5, 1.0
#: Where both runs show two cords that part, all four are explained first if each is seen along so much of its
#: run. Two that cross look like one between them, which is seen along less.
CLEARLY_SEEN = 0.75
#: Of a cord that lies half on another one, its own place is told no better than this share of its thickness;
#: those two are better told together.
VAGUE_SHARE = 0.25


def parting_ways(
    strips: Sequence[Strip], cords: Sequence[Sequence[CordLine]], close: Ways, *, surely: bool
) -> tuple[Ways, Ways, Ways]:
    """Ways in which two cords part: on both runs; on one, far from each other; on one, though not far.

    On the other run they part, cross or lie on each other.

    Parameters
    ----------
    strips : sequence of Strip
        Along both runs.
    cords : sequence of sequences of CordLine
        All cords of either run, the clearest first.
    close : list
        Ways in which they lie close on both runs. What these explain too, they explain better.
    surely : bool
        Whether two must be sure on the other run; else they are looked for there even if one would do.
    """
    far = [[(first, second) for second in others if _far(first, second)] for first, *others in cords]
    parting = [
        [(first, second) for second in others if _parts(first, second) and not _explained(k, second, close)]
        for k, (first, *others) in enumerate(cords)
    ]
    clear = [list(filter(_clear, pairs)) for pairs in parting]
    return (
        [*product(clear[0], clear[1])],
        _with_close(strips, far, surely=surely),
        _with_close(strips, parting, surely=surely),
    )


def _explained(run: int, cord: CordLine, close: Ways) -> bool:
    """Whether a way in which cords lie close has this one among those of a run."""
    return any(one_line(each, cord) for way in close for each in way[run])


def _clear(pair: Pair) -> bool:
    return min(cord.seen for cord in pair) > CLEARLY_SEEN


def _with_close(strips: Sequence[Strip], pairs: Sequence[list[Pair]], *, surely: bool) -> Ways:
    """Each pair of either run, with those of the other one and with two that lie close together there."""
    close = [
        # Where a second cord is seen beside the first, it is not the first once more.
        [two for two in two_along(strip, surely=surely) if not (own and one_line(*two))] if others else []
        for strip, own, others in zip(strips, pairs, pairs[::-1], strict=True)
    ]
    return [*product(pairs[0], pairs[1]), *product(pairs[0], close[1]), *product(close[0], pairs[1])]


def one_line(cord: CordLine, other: CordLine) -> bool:
    """Whether two cords are one, found twice."""
    return bool(np.abs(_across(cord, other)).max() < NEAR)


def _far(cord: CordLine, other: CordLine) -> bool:
    """Whether a cord runs so far beside another one that no search for two that lie close finds both."""
    return bool(abs(_across(cord, other).mean()) > FAR)


def _parts(cord: CordLine, other: CordLine) -> bool:
    """Whether a cord clearly runs on one side of another one, and parts from it towards one end at least."""
    nearer, farther = sorted(_across(cord, other).tolist(), key=abs)
    vague = max(each.doubt_px / each.thickness_px for each in (cord, other)) > VAGUE_SHARE
    return bool(not vague and abs(farther) > PARTED and nearer * np.sign(farther) > -NEAR)


def _across(cord: CordLine, other: CordLine) -> NDArray[np.float64]:
    """How far (2,) aside of a cord another one's ends lie, in thicknesses."""
    along = cord.points_px[-1] - cord.points_px[0]
    away = other.points_px[[0, -1]] - cord.points_px[0]
    aside_px = (along[0] * away[:, 1] - along[1] * away[:, 0]) / np.linalg.norm(along)
    return np.asarray(aside_px / cord.thickness_px)
