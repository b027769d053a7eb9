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

    def heads(self) -> list[str]:
        """Names of all accelerating heads, those first that are listed among the parts."""
        return list(dict.fromkeys([*(head.name for head in self.parts.heads), *heads_of(self.used)]))

    def turning(self) -> dict[str, Dimension]:
        """Give the ratios that tell the turns of flyer, bobbin or spindle, by the whirl's label.

        Where there are several heads, their names stand in the labels.
        """
        behind = [row for row in self.table if row.turned == "spindle"]
        on_heads = {row.groove for row in behind}
        several = len({row.on for row in behind}) > 1
        direct = {label: Dimension("ratio", label) for label in self.whirls() if label not in on_heads}
        return direct | {f"{row.groove}+{row.on}" if several else row.groove: row.dimension for row in behind}

    def interval_95(self, what: Dimension) -> Interval | None:
        """Give a dimension's 95 % interval; None where no reading tells it."""
        return self.fused.interval_95(what)

    def slip_percent(self) -> Interval | None:
        """Slip in the clip at work that was taken last."""
        at_work = sorted(
            (kept for kept in self.used if any(d.what.endswith("_at_work") for d in kept.reading.values)),
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
    table = ratio_table(wheel.parts, whirls_of(used), fused.interval_95, heads_of(used))
    return ToldWheel(file, used, wheel.sessions, wheel.parts, named, fused, table)


def whirls_of(used: Sequence[KeptReading]) -> list[str]:
    """Labels of all grooves of whirls of which readings tell, those first that carry a band."""
    dimensions = [d for kept in used for d in kept.reading.values if d.part != WHEEL and not d.in_head]
    dimensions.sort(key=lambda dimension: "ratio" not in dimension.what)
    return list(dict.fromkeys(dimension.part for dimension in dimensions))


def heads_of(used: Sequence[KeptReading]) -> list[str]:
    """Names of all accelerating heads of which readings tell."""
    return list(dict.fromkeys(d.head for kept in used for d in kept.reading.values if d.head))
