"""A double drive: one band twice round the wheel, once over the flyer's whirl and once over the bobbin's.

The two loops run in planes one groove apart and share the wheel's pitch circle and the spindle. Which cord of
one run belongs to which cord of the other, and which loop stands nearer to the camera, is tried both ways;
the geometry decides. Of the two whirls the larger one is the flyer's, so that the bobbin turns faster and
winds the yarn on (common practice, no source).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from ..find.cord import Pair
from ..geometry.circle_pose import CirclePose
from .band_fit import WheelFit, fit_band
from .joint import Fit
from .wheel_fit import BandSeen, BandStart, LoopSeen, WheelPicture, band_starts

#: Half a chi-square by which the second loop may stretch the fit of the first: beyond that it is no loop.
MOST_STRETCH = 24.0
#: A bobbin's whirl is smaller than the flyer's, but not by half (common practice, no source).
LEAST_BOBBIN = 0.5
#: A way that stretches what is known of wheels so far, and so much farther than the best way, is ruled out.
FAR_STRAINED, FAR_MORE = 3.0, 1.5
#: A way to pair the cords that fits worse than the best by so much is ruled out.
RULED_OUT_COST = 4.0


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to make two loops: the fit from the likeliest guess of the whirl, and those from the others."""

    first: BandStart
    others: Iterator[BandStart]


def double_drive_starts(
    seen: WheelPicture,
    pose: CirclePose,
    rim_fit: Fit,
    single: BandSeen,
    pairs: Sequence[tuple[Pair, Pair]],
) -> list[list[BandStart]]:
    """The ways in which the cords make two loops, the likeliest first; empty if no way fits.

    Parameters
    ----------
    single : BandSeen
        The band taken for one loop: the clearest cord of each run.
    pairs : sequence of pairs of pairs of CordLine
        Ways to see two cords on each run.

    Returns
    -------
    list of list of BandStart
        Each way fitted from each guess of the whirl, without the spindle's parts as yet.
    """
    alone = next(band_starts(seen, pose, rim_fit, single), None)
    if alone is None:
        return []
    ways = []
    for loops in (loops for cords in pairs for loops in _loops(cords)):
        band = BandSeen(single.pair, loops, single.whirl_px, single.thickness_mm)
        starts = band_starts(seen, pose, rim_fit, band)
        first = next(starts, None)
        if first is None:
            continue
        flyer_mm, bobbin_mm = first.fit.values["loop1_radius"], first.fit.values["loop2_radius"]
        if LEAST_BOBBIN * flyer_mm < bobbin_mm < flyer_mm:
            ways.append(_Way(first, starts))
    ways.sort(key=lambda way: way.first.fit.cost)
    if not ways or ways[0].first.fit.cost > alone.fit.cost + MOST_STRETCH:
        return []
    standing = [way for way in ways if way.first.fit.cost < ways[0].first.fit.cost + RULED_OUT_COST]
    return [[way.first, *way.others] for way in standing]


def fit_double_drive(seen: WheelPicture, ways: Sequence[Sequence[BandStart]]) -> list[WheelFit]:
    """Fit the spindle's parts too in each way; what is stretched too far by then is left out."""
    fitted = [whole for starts in ways if (whole := fit_band(seen, starts)) is not None]
    least = min((whole.fit.strain for whole in fitted), default=0.0)
    return [whole for whole in fitted if whole.fit.strain < max(FAR_STRAINED, FAR_MORE * least)]


def _loops(cords: tuple[Pair, Pair]) -> Iterator[tuple[LoopSeen, LoopSeen]]:
    """Every way to give the cords of both runs to two loops, the second loop before or behind the first."""
    for one, other in product((cords[0], cords[0][::-1]), (cords[1], cords[1][::-1])):
        for side in (1, -1):
            yield LoopSeen((one[0], other[0])), LoopSeen((one[1], other[1]), side)
