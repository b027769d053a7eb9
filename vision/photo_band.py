"""The band in the picture: its two runs, and the cords along them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .find.cord import Pair, cord_pairs, cords_along
from .find.cord_beyond import followed_on
from .find.cord_lines import CordLine
from .find.runs import RunPair, find_run_pairs
from .geometry.ellipse import Ellipse
from .open.picture import Picture
from .photo_reading import Point

#: Single profiles put a real cord nearer than this to its straight line; where there is none, they put it
#: anywhere in the 1.5 pixels to either side in which it is looked for. A second cord beside it scatters them
#: too, but then all of them together still tell the line this well.
MOST_SCATTER_PX, TOLD_WELL_PX = 1.0, 0.5
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
    """The likeliest two runs of the band, of all tangents of one edge of the rim."""
    return next(iter(find_run_pairs(picture.bgr, rim, whirl_px, band_px)), None)


def likelier(pairs: Iterable[RunPair | None]) -> RunPair | None:
    """The likeliest of the pairs that were found."""
    found = [pair for pair in pairs if pair is not None]
    return max(found, key=lambda pair: pair.score, default=None)


def band_along(
    picture: Picture, pair: RunPair, rim_radius_px: float, thicknesses_px: Sequence[float | None]
) -> Band:
    """The cords along two runs; ``thicknesses_px``: how thick they are on either, where that is known."""
    lab = picture.lab
    one, other = map(_surely_there, cords_along(lab, pair.runs, rim_radius_px, thicknesses_px))
    double = len(one) * len(other) > 1
    hiding = bool(one and other) and min(one[0].seen, other[0].seen) < ALONE_SEEN
    pairs = (
        cord_pairs(lab, pair.runs, rim_radius_px, thicknesses_px[0], surely=not double)
        if double or hiding
        else []
    )
    if one and other:
        pair = followed_on(lab, pair, (one[0], other[0]))
    return Band(pair, (one, other), pairs)


def _surely_there(cords: list[CordLine]) -> list[CordLine]:
    """The clearest cord if it is one at all, and a second one if it is seen along most of the run."""
    if cords and cords[0].scatter_px > MOST_SCATTER_PX and cords[0].doubt_px > TOLD_WELL_PX:
        return []
    return cords[:1] + [cord for cord in cords[1:] if cord.seen >= SECOND_LOOP_SEEN]
