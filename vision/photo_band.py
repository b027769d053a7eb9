"""The band in the picture: its two runs, and the cords along them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import product

from .find.cord import Pair, cord_pairs, cords_along, two_surely
from .find.cord_beyond import followed_on
from .find.cord_lines import CordLine
from .find.cord_strip import Strip
from .find.runs import BandRun, RunPair, find_run_pairs
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
#: A second cord seen along this share of a run says double drive.
SECOND_LOOP_SEEN = 0.5


@dataclass(frozen=True, slots=True)
class Band:
    """The band in the picture: its runs, the cords seen on either, and ways to see two cords on both."""

    pair: RunPair
    cords: tuple[list[CordLine], list[CordLine]]
    pairs: list[tuple[Pair, Pair]]


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
    pairs: list[tuple[Pair, Pair]] = []
    if one and other:
        hiding = min(one[0].seen, other[0].seen) < ALONE_SEEN
        pairs = cord_pairs(strips, surely=not double, hiding=hiding)
        one, other = (
            [*cords, *_cord_beside(picture, beside, pair.rim_radius_px, thickness_px)]
            for cords, beside, thickness_px in zip((one, other), pair.beside, thicknesses_px, strict=True)
        )
        pairs = [*pairs, *_pairs_with_beside(pair, strips, (one, other))]
        pair = followed_on(lab, pair, (one[0], other[0]))
    return Band(pair, (one, other), pairs)


def _pairs_with_beside(
    pair: RunPair, strips: Sequence[Strip], cords: tuple[list[CordLine], list[CordLine]]
) -> list[tuple[Pair, Pair]]:
    """Ways to see two cords of which one runs beside the other, on both runs or on one alone.

    Seen aslant, the two may stand far apart on one run and lie on each other, or cross, on the other.
    """
    one, other = (
        [(along[0], along[-1])] if beside is not None and len(along) > 1 else []
        for beside, along in zip(pair.beside, cords, strict=True)
    )
    close_one = two_surely(strips[0]) if other else []
    close_other = two_surely(strips[1]) if one else []
    return [*product(one, other), *product(one, close_other), *product(close_one, other)]


def _cord_beside(
    picture: Picture, beside: BandRun | None, rim_radius_px: float, thickness_px: float | None
) -> list[CordLine]:
    """The cord along a run that was seen beside one of the band's; none if there is no cord after all."""
    if beside is None:
        return []
    (cords,) = cords_along([Strip.along(picture.lab, beside, rim_radius_px, thickness_px)])
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
