"""The drive ratio of every groove on every flyer, bobbin and head on which it can sit."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from .interval import Interval
from .parts import Bobbin, Flyer, Head, Parts, Whirl
from .wheel import SPINDLE, Dimension

Turned: TypeAlias = Literal["flyer", "bobbin", "spindle"]
Told: TypeAlias = Callable[[Dimension], Interval | None]


@dataclass(frozen=True, slots=True)
class RatioRow:
    """One groove on one flyer, bobbin or head.

    Attributes
    ----------
    turned : str
        ``"flyer"``, ``"bobbin"``, or behind a head ``"spindle"``: what the ratio tells the turns of.
    on : str
        The flyer's, bobbin's or head's name; empty where none was named.
    whirl, groove : str
        The whirl's name, and the label of the groove on it.
    pitch_mm, ratio : Interval or None
        Diameter on which the great wheel's band runs, and the drive ratio from the wheel to what is turned;
        None where no reading tells it.
    pairs : tuple of Interval or None
        Behind a head, the ratio of the great wheel's pair and the head's own, of which the ratio is the
        product; else empty.
    """

    turned: Turned
    on: str
    whirl: str
    groove: str
    pitch_mm: Interval | None
    ratio: Interval | None
    pairs: tuple[Interval | None, ...] = ()

    @property
    def dimension(self) -> Dimension:
        """The ratio as a dimension of the wheel."""
        return ratio_on(self.turned, self.on, self.groove)


def ratio_on(turned: Turned, on: str, groove: str) -> Dimension:
    """Give the ratio of a groove on a flyer, bobbin or head as a dimension of the wheel."""
    return Dimension("whole_ratio", groove, on) if turned == "spindle" else Dimension("ratio", groove)


def ratio_table(
    parts: Parts, grooves: Sequence[str], told: Told, heads: Sequence[str] = ()
) -> tuple[RatioRow, ...]:
    """Give the ratio of every flyer with every whirl, of every bobbin, and of the spindle behind every head.

    Parameters
    ----------
    parts : Parts
    grooves : sequence of str
        Labels of which readings tell; those that stand on no whirl are taken for whirls of one groove.
    told : callable
        Gives the interval of a dimension, or None.
    heads : sequence of str
        Names of heads of which readings tell.

    Returns
    -------
    tuple of RatioRow
        Flyers before bobbins, those before heads; of each, the slowest first and what is not measured last.
    """
    whirls = {whirl.name: whirl for whirl in _whirls(parts, grooves)}
    all_heads = _heads(parts, heads)
    on_heads = _whirls_of_heads(parts, all_heads, list(whirls))
    on_bobbins = _whirls_of_bobbins(parts, [name for name in whirls if name not in on_heads])
    for_flyers = [name for name in whirls if name not in (*on_bobbins, *on_heads)]
    rows: list[RatioRow] = []
    for flyer in parts.flyers or ((Flyer(""),) if for_flyers else ()):
        names = [name for name in flyer.whirls if name not in (*on_bobbins, *on_heads)] or for_flyers
        rows += _rows("flyer", flyer.name, [whirls.get(name, Whirl(name)) for name in names], told)
    for bobbin in parts.bobbins or ((Bobbin(""),) if on_bobbins else ()):
        names = list(bobbin.whirls) or _claimed_by_none(parts.bobbins, on_bobbins)
        rows += _rows("bobbin", bobbin.name, [whirls.get(name, Whirl(name)) for name in names], told)
    for head in all_heads:
        names = list(head.whirls) or _claimed_by_none(all_heads, on_heads)
        rows += _rows("spindle", head.name, [whirls.get(name, Whirl(name)) for name in names], told)
    return tuple(rows)


def _whirls(parts: Parts, grooves: Sequence[str]) -> list[Whirl]:
    """All whirls that are listed, named on a flyer, bobbin or head, or told of by a reading."""
    placed = {label for whirl in parts.whirls for label in whirl.grooves}
    holders: tuple[Flyer | Bobbin | Head, ...] = (*parts.flyers, *parts.bobbins, *parts.heads)
    listed = {whirl.name for whirl in parts.whirls}
    named = [name for holder in holders for name in holder.whirls if name not in listed]
    loose = [label for label in grooves if label not in placed]
    return [*parts.whirls, *(Whirl(name) for name in dict.fromkeys([*named, *loose]))]


def _whirls_of_bobbins(parts: Parts, names: Sequence[str]) -> list[str]:
    """Names of the whirls that turn a bobbin: those listed on one, all where it leads, or so called."""
    if parts.drive == "flyer-led":
        return []
    listed = {name for bobbin in parts.bobbins for name in bobbin.whirls}
    on_flyers = {name for flyer in parts.flyers for name in flyer.whirls}
    return [
        name
        for name in names
        if name in listed
        or (name not in on_flyers and (parts.drive == "bobbin-led" or name.startswith("bobbin")))
    ]


def _heads(parts: Parts, told: Sequence[str]) -> tuple[Head, ...]:
    """All heads that are listed, or told of by a reading."""
    listed = [head.name for head in parts.heads]
    return (*parts.heads, *(Head(name) for name in dict.fromkeys(told) if name not in listed))


def _whirls_of_heads(parts: Parts, heads: Sequence[Head], names: Sequence[str]) -> list[str]:
    """Names of the whirls that turn a head: those listed on one, or all that sit on nothing else."""
    listed = {name for head in heads for name in head.whirls}
    holders: tuple[Flyer | Bobbin, ...] = (*parts.flyers, *parts.bobbins)
    elsewhere = {name for holder in holders for name in holder.whirls}
    open_to_any = any(not head.whirls for head in heads)
    return [name for name in names if name in listed or (open_to_any and name not in elsewhere)]


def _claimed_by_none(holders: Sequence[Bobbin | Head], names: Sequence[str]) -> list[str]:
    """Whirls for a bobbin or head on which none is listed: those that no other one claims."""
    claimed = {name for holder in holders for name in holder.whirls}
    return [name for name in names if name not in claimed]


def _rows(turned: Turned, on: str, whirls: Sequence[Whirl], told: Told) -> list[RatioRow]:
    rows = [
        RatioRow(
            turned,
            on,
            whirl.name,
            groove,
            told(Dimension("pitch_mm", groove)),
            told(ratio_on(turned, on, groove)),
            _pairs(on, groove, told) if turned == "spindle" else (),
        )
        for whirl in whirls
        for groove in whirl.grooves
    ]
    return sorted(rows, key=lambda row: row.ratio.value if row.ratio else float("inf"))


def _pairs(head: str, groove: str, told: Told) -> tuple[Interval | None, ...]:
    return told(Dimension("ratio", groove)), told(Dimension("ratio", SPINDLE, head))
