"""The drive ratio of every groove on every flyer and bobbin on which it can sit."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from .interval import Interval
from .parts import Bobbin, Flyer, Parts, Whirl
from .wheel import Dimension

Turned: TypeAlias = Literal["flyer", "bobbin"]


@dataclass(frozen=True, slots=True)
class RatioRow:
    """One groove on one flyer or bobbin.

    Attributes
    ----------
    turned : str
        ``"flyer"`` or ``"bobbin"``: what the ratio tells the turns of.
    on : str
        The flyer's or bobbin's name; empty where none was named.
    whirl, groove : str
        The whirl's name, and the label of the groove on it.
    pitch_mm, ratio : Interval or None
        Diameter on which the band runs, and the drive ratio; None where no reading tells it.
    """

    turned: Turned
    on: str
    whirl: str
    groove: str
    pitch_mm: Interval | None
    ratio: Interval | None


def ratio_table(
    parts: Parts, grooves: Sequence[str], told: Callable[[Dimension], Interval | None]
) -> tuple[RatioRow, ...]:
    """Give the ratio of every flyer with every whirl, and of every bobbin.

    Parameters
    ----------
    parts : Parts
    grooves : sequence of str
        Labels of which readings tell; those that stand on no whirl are taken for whirls of one groove.
    told : callable
        Gives the interval of a dimension, or None.

    Returns
    -------
    tuple of RatioRow
        Flyers before bobbins; of each, the slowest first and what is not measured last.
    """
    whirls = {whirl.name: whirl for whirl in _whirls(parts, grooves)}
    on_bobbins = _whirls_of_bobbins(parts, list(whirls))
    for_flyers = [name for name in whirls if name not in on_bobbins]
    rows: list[RatioRow] = []
    for flyer in parts.flyers or ((Flyer(""),) if for_flyers else ()):
        names = [name for name in flyer.whirls if name not in on_bobbins] or for_flyers
        rows += _rows("flyer", flyer.name, [whirls.get(name, Whirl(name)) for name in names], told)
    for bobbin in parts.bobbins or ((Bobbin(""),) if on_bobbins else ()):
        names = list(bobbin.whirls) or _of_no_bobbin(parts, on_bobbins)
        rows += _rows("bobbin", bobbin.name, [whirls.get(name, Whirl(name)) for name in names], told)
    return tuple(rows)


def _whirls(parts: Parts, grooves: Sequence[str]) -> list[Whirl]:
    """All whirls that are listed, named on a flyer or bobbin, or told of by a reading."""
    placed = {label for whirl in parts.whirls for label in whirl.grooves}
    holders: tuple[Flyer | Bobbin, ...] = (*parts.flyers, *parts.bobbins)
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


def _of_no_bobbin(parts: Parts, on_bobbins: Sequence[str]) -> list[str]:
    """Whirls for a bobbin on which none is listed: those that no other bobbin claims."""
    claimed = {name for bobbin in parts.bobbins for name in bobbin.whirls}
    return [name for name in on_bobbins if name not in claimed]


def _rows(
    turned: Turned, on: str, whirls: Sequence[Whirl], told: Callable[[Dimension], Interval | None]
) -> list[RatioRow]:
    rows = [
        RatioRow(
            turned,
            on,
            whirl.name,
            groove,
            told(Dimension("pitch_mm", groove)),
            told(Dimension("ratio", groove)),
        )
        for whirl in whirls
        for groove in whirl.grooves
    ]
    return sorted(rows, key=lambda row: row.ratio.value if row.ratio else float("inf"))
