"""A double drive: one band twice round the wheel, once over the flyer's whirl and once over the bobbin's.

The two loops run in planes one groove apart and share the wheel's pitch circle and the spindle. Which cord of
one run belongs to which cord of the other, and which loop stands nearer to the camera, is tried both ways;
the geometry decides. Of the two whirls the larger one is the flyer's, so that the bobbin turns faster and
winds the yarn on (common practice, no source).
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product

from ..find.cord import Pair
from ..geometry.circle_pose import CirclePose
from ..measured import HALF_WIDTH_95
from .band_fit import WheelFit, fit_bands
from .joint import Fit, misfit_at_start
from .wheel_fit import BandPlan, BandStart, LoopSeen, WheelPicture, band_plans

#: Half a chi-square by which the second loop may stretch the fit of the first: beyond that it is no loop.
MOST_STRETCH = 24.0
#: A bobbin's whirl is smaller than the flyer's, but not by half (common practice, no source).
LEAST_BOBBIN = 0.5
#: Before it is fitted: a second whirl larger by this share of the first one is no bobbin's, and a way that
#: explains so many times less than the best is not fitted at all.
SURELY_LARGER, HOPELESS = 0.12, 6.0
#: The ways to give two pairs of cords to two loops come in eights, so ordered that this, by exclusive or,
#: tells the number of the way in which both loops, and so before and behind, have changed places.
CHANGED = 7
#: A way that stretches what is known of wheels so far, and so much farther than the best way, is ruled out.
FAR_STRAINED, FAR_MORE = 3.0, 1.5
#: A way to pair the cords that fits worse than the best by so much is ruled out.
RULED_OUT_COST = 4.0


def double_drive_starts(
    seen: WheelPicture, pose: CirclePose, alone: BandStart, pairs: Sequence[tuple[Pair, Pair]]
) -> list[list[BandStart]]:
    """The ways in which the cords make two loops, the likeliest first; empty if no way fits.

    Parameters
    ----------
    alone : BandStart
        The band taken for one loop: the clearest cord of each run.
    pairs : sequence of pairs of pairs of CordLine
        Ways to see two cords on each run.

    Returns
    -------
    list of list of BandStart
        Each way fitted from each guess of the whirl, without the spindle's parts as yet.
    """
    bands = [replace(alone.plan.band, loops=loops) for cords in pairs for loops in _loops(cords)]
    fitted = _fitted([band_plans(seen, pose, alone.fit, band) for band in bands])
    fitted.sort(key=lambda way: way[0].fit.cost)
    if not fitted or fitted[0][0].fit.cost > alone.fit.cost + MOST_STRETCH:
        return []
    most = fitted[0][0].fit.cost + RULED_OUT_COST
    return [[first, *(plan.fitted() for plan in others)] for first, others in fitted if first.fit.cost < most]


def _fitted(ways: Sequence[list[BandPlan]]) -> list[tuple[BandStart, list[BandPlan]]]:
    """The ways worth fitting, each fitted from the first guess of the whirl, with the plans from the others.

    Each way stands for another one, too, in which the loops have changed places; which whirl is the larger
    one the fit tells.
    """
    likely = _not_hopeless(ways)
    fitted = []
    for k in dict.fromkeys(k ^ CHANGED if _surely_swapped(ways[k][0]) else k for k in likely):
        # One that is likely itself is fitted in its own turn.
        other = [] if k ^ CHANGED in likely else ways[k ^ CHANGED]
        for way in filter(None, (ways[k], other)):
            first = way[0].fitted()
            if _as_flyer_and_bobbin(first.fit, _left_open_mm(way[0])):
                fitted.append((first, way[1:]))
            if first.fit.values["loop2_radius"] < first.fit.values["loop1_radius"]:
                break
    return fitted


def _not_hopeless(ways: Sequence[list[BandPlan]]) -> list[int]:
    """Which ways are worth fitting, as the cords lie in the plane that the first loop alone tells."""
    starts = {k: plans[0] for k, plans in enumerate(ways) if plans}
    misfits = {k: misfit_at_start(plan.table, plan.observations) for k, plan in starts.items()}
    return [k for k, misfit in misfits.items() if misfit < HOPELESS * min(misfits.values())]


def _surely_swapped(plan: BandPlan) -> bool:
    """Whether the whirl of the second loop is larger, so that the loops will fit the other way round."""
    starts = {unknown.name: unknown.start for unknown in plan.table.unknowns}
    return starts["loop2_radius"] - starts["loop1_radius"] > SURELY_LARGER * plan.whirl.radius_mm


def _left_open_mm(plan: BandPlan) -> float:
    """How much larger both whirls may be than in a fit that holds the first one near its guess.

    Where the spindle stands on the line hub - whirl changes both alike.
    """
    return plan.whirl.doubt * plan.whirl.radius_mm


def _as_flyer_and_bobbin(fit: Fit, open_mm: float = 0.0) -> bool:
    flyer_mm, bobbin_mm = fit.values["loop1_radius"], fit.values["loop2_radius"]
    return LEAST_BOBBIN * (flyer_mm + open_mm) < bobbin_mm + open_mm < flyer_mm + open_mm


def _surely_halved(fit: Fit) -> bool:
    """Whether the whirl of the second loop is smaller than a bobbin's, whatever the fit leaves open."""
    flyer, bobbin = fit.measured("loop1_radius", "loop2_radius")
    lacking = LEAST_BOBBIN * flyer - bobbin
    return bool(lacking.nominal_value > HALF_WIDTH_95 * lacking.std_dev)


def fit_double_drive(seen: WheelPicture, ways: Sequence[Sequence[BandStart]]) -> list[WheelFit]:
    """Fit the spindle's parts too in each way; what is stretched too far by then is left out."""
    fitted = [whole for whole in fit_bands(seen, ways) if not _surely_halved(whole.fit)]
    least = min((whole.fit.strain for whole in fitted), default=0.0)
    return [whole for whole in fitted if whole.fit.strain < max(FAR_STRAINED, FAR_MORE * least)]


def _loops(cords: tuple[Pair, Pair]) -> Iterator[tuple[LoopSeen, LoopSeen]]:
    """Every way to give the cords of both runs to two loops, the second loop before or behind the first.

    The first one and the last one, and so on inwards, differ in which loop is which.
    """
    for one, other in product((cords[0], cords[0][::-1]), (cords[1], cords[1][::-1])):
        for side in (1, -1):
            yield LoopSeen((one[0], other[0])), LoopSeen((one[1], other[1]), side)
