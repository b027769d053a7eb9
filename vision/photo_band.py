"""The band in the picture: its two runs, and the cords along them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from .find.cord import Pair, cord_pairs, cords_along, surely_two, two_along
from .find.cord_beyond import followed_on
from .find.cord_fit import PAIR_STEP_HALVES, PAIR_STEPS
from .find.cord_lines import CordLine
from .find.cord_ridges import cord_beside
from .find.cord_strip import Strip
from .find.runs import RunPair, find_run_pairs
from .find.runs_beside import runs_beside
from .geometry.ellipse import Ellipse
from .open.picture import Picture
from .photo_reading import Point

#: Single profiles put a real cord nearer than this to its straight line; where there is none, they put it
#: anywhere in the 1.5 pixels to either side in which it is looked for. Grain scatters those of a thin cord,
#: and a second cord beside it those of any, but then a cord shows along most of the run, or all of them
#: together still tell the line this well.
MOST_SCATTER_PX, TOLD_WELL_PX, MOSTLY_SEEN = 1.0, 0.5, 0.7
#: A lone cord shows along so much of a run; of two that lie on each other, neither explains it all.
ALONE_SEEN = 0.85
#: Two that lie nearer to each other than so many thicknesses are better told together than one by one; so far
#: to either side of where one would do they are looked for.
FAR = 0.5 * PAIR_STEPS * PAIR_STEP_HALVES
#: What is found nearer to a cord than so many thicknesses is the same cord once more.
NEAR = 0.5
#: A second cord seen along this share of a run says double drive.
SECOND_LOOP_SEEN = 0.5


@dataclass(frozen=True, slots=True)
class Band:
    """The band in the picture: its runs, the cords seen on either, and ways to see two cords on both.

    Those ways that explain a cord which stands apart come before those that leave it out. It is
    ``surely_double`` if one of the runs shows two cords, whatever the geometry says.
    """

    pair: RunPair
    cords: tuple[list[CordLine], list[CordLine]]
    apart: list[tuple[Pair, Pair]]
    close: list[tuple[Pair, Pair]]
    surely_double: bool


def likeliest_pair(
    picture: Picture, rim: Ellipse, whirl_px: Point | None, band_px: tuple[Point, ...]
) -> RunPair | None:
    """The likeliest two runs of the band, of all tangents of one edge of the rim, and runs beside them."""
    found = find_run_pairs(picture.bgr, rim, whirl_px, band_px)
    return replace(found[0], beside=runs_beside(found)) if found else None


def likelier(pairs: Iterable[RunPair | None]) -> RunPair | None:
    """The likeliest of the pairs that were found."""
    found = [pair for pair in pairs if pair is not None]
    return max(found, key=lambda pair: pair.score, default=None)


def band_along(picture: Picture, pair: RunPair, thicknesses_px: Sequence[float | None]) -> Band:
    """The cords along two runs; ``thicknesses_px``: how thick they are on either, where that is known."""
    lab = picture.lab
    strips = [
        Strip.along(lab, run, pair.rim_radius_px, thickness_px)
        for run, thickness_px in zip(pair.runs, thicknesses_px, strict=True)
    ]
    one, other = map(_surely_there, cords_along(strips))
    double = len(one) * len(other) > 1
    apart: list[tuple[Pair, Pair]] = []
    close: list[tuple[Pair, Pair]] = []
    surely_double = False
    if one and other:
        hiding = min(one[0].seen, other[0].seen) < ALONE_SEEN
        surely_double = surely_two(strips, hiding=hiding)
        close = cord_pairs(strips) if double or surely_double else []
        beside = [_second_cord(picture, pair, k, thick_px) for k, thick_px in enumerate(thicknesses_px)]
        one, other = ([*cords, *second] for cords, second in zip((one, other), beside, strict=True))
        apart = _pairs_apart(strips, (one, other), surely=not (double or close))
        if not close and any(map(_shows_another, (one, other))):
            # Thick cords beside each other reach farther than a lone one is looked for.
            told = zip(strips, pair.runs, thicknesses_px, strict=True)
            close = cord_pairs(
                [strip.for_two(lab, run, pair.rim_radius_px, thick_px) for strip, run, thick_px in told]
            )
        pair = followed_on(lab, pair, (one[0], other[0]))
    return Band(pair, (one, other), apart, close, surely_double)


def _pairs_apart(
    strips: Sequence[Strip], cords: tuple[list[CordLine], list[CordLine]], surely: bool
) -> list[tuple[Pair, Pair]]:
    """Ways to see two cords of which one runs beside the other, on both runs or on one alone.

    Seen aslant, the two may stand far apart on one run and lie on each other, or cross, on the other. There
    two are looked for even if one would do, unless ``surely``.
    """
    one, other = ([(along[0], second) for second in along[1:] if _far(along[0], second)] for along in cords)
    close_one = two_along(strips[0], surely=surely) if other else []
    close_other = two_along(strips[1], surely=surely) if one else []
    return [*product(one, other), *product(one, close_other), *product(close_one, other)]


def _far(cord: CordLine, other: CordLine) -> bool:
    """Whether a cord runs so far beside another one that no search for two that lie close finds both."""
    return _apart_px(cord, other) > FAR * cord.thickness_px


def _shows_another(cords: Sequence[CordLine]) -> bool:
    """Whether beside the clearest cord of a run another one was seen, and not the same once more."""
    return any(_apart_px(cords[0], other) > NEAR * other.thickness_px for other in cords[1:])


def _apart_px(cord: CordLine, other: CordLine) -> float:
    """How far beside a cord the middle of another one lies."""
    along, away = cord.points_px[-1] - cord.points_px[0], other.points_px.mean(axis=0) - cord.points_px[0]
    return abs(float(along[0] * away[1] - along[1] * away[0])) / float(np.linalg.norm(along))


def _second_cord(picture: Picture, pair: RunPair, k: int, thickness_px: float | None) -> list[CordLine]:
    """The cord that was seen beside one of the band's runs; none if there is no cord after all."""
    beside = pair.beside[k] or cord_beside(picture.lab, pair.runs[k], pair.rim_radius_px)
    if beside is None:
        return []
    (cords,) = cords_along([Strip.along(picture.lab, beside, pair.rim_radius_px, thickness_px)])
    return _surely_there(cords)[:1]


def _surely_there(cords: list[CordLine]) -> list[CordLine]:
    """The clearest cord if it is one at all, and a second one if it is seen along most of the run."""
    if cords and _is_none(cords[0]):
        return []
    return cords[:1] + [cord for cord in cords[1:] if cord.seen >= SECOND_LOOP_SEEN]


def _is_none(cord: CordLine) -> bool:
    """Whether what goes for a cord is a row of chance edges."""
    told = cord.scatter_px < MOST_SCATTER_PX or cord.doubt_px < TOLD_WELL_PX
    return not told and cord.seen < MOSTLY_SEEN
