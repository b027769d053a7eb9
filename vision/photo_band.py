"""The band in the picture: its two runs, and the cords along them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from .find.cord import cord_pairs, cords_along, surely_two
from .find.cord_beyond import followed_on
from .find.cord_lines import CordLine
from .find.cord_ridges import cord_beside
from .find.cord_strip import Strip
from .find.cord_ways import Ways, one_line, parting_ways
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
#: A second cord seen along this share of a run says double drive.
SECOND_LOOP_SEEN = 0.5


@dataclass(frozen=True, slots=True)
class Band:
    """The band in the picture: its runs, the cords seen on either, and ways to see two cords on both.

    ``ways`` are in groups: those in which two part on both runs, on one at least, on neither. What explains
    more comes first. The band is ``surely_double`` if one of the runs shows two cords, whatever the geometry
    says.
    """

    pair: RunPair
    cords: tuple[list[CordLine], list[CordLine]]
    ways: tuple[Ways, ...]
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
    if not (one and other):
        return Band(pair, (one, other), (), surely_double=False)
    surely_double = surely_two(strips, hiding=min(one[0].seen, other[0].seen) < ALONE_SEEN)
    two_seen = len(one) * len(other) > 1
    close = cord_pairs(strips) if two_seen or surely_double else []
    beside = [
        _second_cord(picture, pair, k, cords[0], thickness_px)
        for k, (cords, thickness_px) in enumerate(zip((one, other), thicknesses_px, strict=True))
    ]
    surely = not (two_seen or close)
    one, other = ([*cords, *second] for cords, second in zip((one, other), beside, strict=True))
    if not close and any(beside):
        # Thick cords beside each other reach farther than a lone one is looked for.
        told = zip(strips, pair.runs, thicknesses_px, strict=True)
        close = cord_pairs([strip.for_two(lab, run, pair.rim_radius_px, px) for strip, run, px in told])
    close = [way for way in close if not all(one_line(*two) for two in way)]
    ways = (*parting_ways(strips, (one, other), close, surely=surely), close)
    return Band(followed_on(lab, pair, (one[0], other[0])), (one, other), ways, surely_double)


def _second_cord(
    picture: Picture, pair: RunPair, k: int, first: CordLine, thickness_px: float | None
) -> list[CordLine]:
    """The cord that was seen beside the first one of a run; none if there is no cord after all."""
    beside = pair.beside[k] or cord_beside(picture.lab, pair.runs[k], pair.rim_radius_px)
    if beside is None:
        return []
    (cords,) = cords_along([Strip.along(picture.lab, beside, pair.rim_radius_px, thickness_px)])
    # The first one shows in that strip as well, and may be the clearer one there.
    return [cord for cord in _surely_there(cords) if not one_line(first, cord)][:1]


def _surely_there(cords: list[CordLine]) -> list[CordLine]:
    """The clearest cord if it is one at all, and a second one if it is seen along most of the run."""
    if cords and _is_none(cords[0]):
        return []
    return cords[:1] + [cord for cord in cords[1:] if cord.seen >= SECOND_LOOP_SEEN]


def _is_none(cord: CordLine) -> bool:
    """Whether what goes for a cord is a row of chance edges."""
    told = cord.scatter_px < MOST_SCATTER_PX or cord.doubt_px < TOLD_WELL_PX
    return not told and cord.seen < MOSTLY_SEEN
