"""What a wheel's file tells, all its readings brought together."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from ...calc.fusing import FusedWheel, fuse
from ...calc.interval import Interval
from ...calc.naming import NamedReadings, under_one_name
from ...calc.parts import Parts
from ...calc.ratio_table import RatioRow, ratio_table
from ...calc.wheel import WHEEL, Dimension
from .entries import KeptReading, KeptSession
from .kept import UNNAMED_WHIRL, KeptWheel


@dataclass(frozen=True, slots=True)
class ToldWheel:
    """All that is known of one wheel.

    Attributes
    ----------
    file : str
        The file's name.
    used : tuple of KeptReading
        Readings that went in, one whirl under one name throughout.
    sessions : tuple of KeptSession
    parts : Parts
    named : NamedReadings
        Which whirls were taken for the same.
    fused : FusedWheel
    table : tuple of RatioRow
        The ratio of every flyer and bobbin with every whirl.
    """

    file: str
    used: tuple[KeptReading, ...]
    sessions: tuple[KeptSession, ...]
    parts: Parts
    named: NamedReadings
    fused: FusedWheel
    table: tuple[RatioRow, ...]

    def whirls(self) -> list[str]:
        """Labels of all grooves of whirls, those first that carry a band."""
        return whirls_of(self.used)

    def interval_95(self, what: Dimension) -> Interval | None:
        """Give a dimension's 95 % interval; None where no reading tells it."""
        return self.fused.interval_95(what)

    def slip_percent(self) -> Interval | None:
        """Slip in the clip at work that was taken last."""
        at_work = sorted(
            (kept for kept in self.used if any(d.what == "ratio_at_work" for d in kept.reading.values)),
            key=lambda kept: kept.taken,
        )
        slips = [kept for each in reversed(at_work) if (kept := self.fused.speed_kept(each.id)) is not None]
        if not slips:
            return None
        return Interval(*(100 * (1 - share) for share in (slips[0].value, slips[0].high, slips[0].low)))


def tell(file: str, wheel: KeptWheel, without: Collection[str] = ()) -> ToldWheel:
    """Bring all readings of a wheel together, but for those whose ids are named."""
    kept = [each for each in wheel.readings if each.id not in without]
    named = under_one_name([each.reading for each in kept], nameless=UNNAMED_WHIRL, drive=wheel.parts.drive)
    fused = fuse(named.readings)
    used = tuple(replace(each, reading=reading) for each, reading in zip(kept, named.readings, strict=True))
    table = ratio_table(wheel.parts, whirls_of(used), fused.interval_95)
    return ToldWheel(file, used, wheel.sessions, wheel.parts, named, fused, table)


def whirls_of(used: Sequence[KeptReading]) -> list[str]:
    """Labels of all grooves of whirls of which readings tell, those first that carry a band."""
    dimensions = [dimension for kept in used for dimension in kept.reading.values if dimension.part != WHEEL]
    dimensions.sort(key=lambda dimension: not dimension.what.startswith("ratio"))
    return list(dict.fromkeys(dimension.part for dimension in dimensions))
