"""The band fitted from one pose of the rim: rim and runs first, then the round parts about the spindle.

Looking for the parts takes longest; where rim and runs rule a pose out, nobody need look for them in it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

from .fit.band_fit import fit_bands, without_parts
from .fit.double_drive import double_drive_starts, fit_double_drive
from .fit.hypothesis import Hypothesis, covering, share_of
from .fit.reference_choice import Choice
from .fit.wheel_fit import BandSeen, BandStart, LoopSeen, band_starts
from .geometry.circle_pose import CirclePose
from .photo_band import Band
from .photo_settings import PhotoSettings


@dataclass(frozen=True, slots=True)
class Begun:
    """Every way to understand the band, fitted to its runs from each guess of the whirl; none without one."""

    ways: list[list[BandStart]]
    double: bool = False

    @property
    def strains(self) -> list[float]:
        """How far each fit stretches what is known of wheels."""
        return [start.fit.strain for starts in self.ways for start in starts]


def with_runs(choice: Choice, pose: CirclePose, band: Band | None, settings: PhotoSettings) -> Begun:
    """The fits to the band's runs; where either run shows two cords, as a double drive if that fits."""
    if band is None or not all(band.cords):
        return Begun([])
    whirl_px = settings.whirls_px[0] if settings.whirls_px else None
    thickness_mm = settings.band_mm.nominal_value if settings.band_mm is not None else None
    singles = [
        BandSeen(band.pair, (LoopSeen(cords),), whirl_px, thickness_mm) for cords in product(*band.cords)
    ]
    ways = [band_starts(choice.seen, pose, choice.fit, single) for single in singles]
    alone = next(ways[0], None)
    for pairs in band.ways:
        double = double_drive_starts(choice.seen, pose, alone, pairs) if alone is not None else []
        if double:
            return Begun(double, double=True)
    fitted = [list(starts) for starts in ways]
    if alone is not None:
        fitted[0].insert(0, alone)
    return Begun([starts for starts in fitted if starts])


def explaining_all(starts: Sequence[Begun], *, surely_double: bool) -> list[bool]:
    """Which poses to keep: of two cords that are surely there, one that explains both rules out others."""
    double = [start.double for start in starts]
    return double if surely_double and any(double) else [True] * len(starts)


def with_parts(choice: Choice, begun: Begun, ruled_out: bool) -> Hypothesis:
    """The fit with the band and the spindle's parts; of a pose ruled out already, without these."""
    seen = choice.seen
    without = Hypothesis(seen, choice.fit, None, None, disagreement=choice.disagreement)
    if not begun.ways:
        return without
    if ruled_out:
        return replace(without, band=without_parts(begun.ways[0][0]))
    fits = fit_double_drive(seen, begun.ways) if begun.double else fit_bands(seen, begun.ways)
    if not fits:
        return replace(without, band=without_parts(begun.ways[0][0]))
    shares = [share_of(fit) for fit in fits]
    bobbins = [share_of(fit, "loop2") for fit in fits if len(fit.band.loops) == 2]
    return replace(
        without,
        band=fits[0],
        share=covering(shares),
        bobbin_share=covering(bobbins) if bobbins else None,
    )
