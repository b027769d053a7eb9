"""What a wheel is made of: how it is driven, and the parts of it that can be swapped.

A groove is known by one label throughout: the same in readings, on a whirl and in the table of ratios.
"""

from dataclasses import dataclass, replace
from typing import Final, Literal, TypeAlias

from uncertainties import UFloat

from .interval import Interval, from_half_width_95

#: Whether the band turns the flyer, the bobbin, or (twice round) both.
Drive: TypeAlias = Literal["flyer-led", "bobbin-led", "double"]
DRIVES: Final[tuple[Drive, ...]] = ("flyer-led", "bobbin-led", "double")


@dataclass(frozen=True, slots=True)
class Whirl:
    """A whirl with one or more grooves of different sizes.

    Attributes
    ----------
    name : str
    steps : tuple of str
        Labels of its grooves; a whirl with one groove alone goes by its own name and has none.
    """

    name: str
    steps: tuple[str, ...] = ()

    @property
    def grooves(self) -> tuple[str, ...]:
        """Labels of its grooves."""
        return self.steps or (self.name,)


@dataclass(frozen=True, slots=True)
class Flyer:
    """A flyer, and the names of the whirls that fit on it; none named: every whirl does."""

    name: str
    whirls: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Bobbin:
    """A bobbin, and the names of the whirls on it, where the band runs over them."""

    name: str
    whirls: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Head:
    """An accelerating head, and the names of the whirls on it, which the great wheel's band turns.

    Its own wheel turns the spindle by a second band.
    """

    name: str
    whirls: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Band:
    """A drive band: its thickness with a 95 % interval (None: not known) and what it is made of."""

    name: str
    thickness_mm: Interval | None = None
    material: str = ""

    @property
    def thickness(self) -> UFloat | None:
        """Its thickness in mm as a number to reckon with."""
        if self.thickness_mm is None:
            return None
        return from_half_width_95(self.thickness_mm.value, self.thickness_mm.half_width)


Part: TypeAlias = Whirl | Flyer | Bobbin | Head | Band


@dataclass(frozen=True, slots=True)
class Parts:
    """All parts of a wheel; within a kind, no two share a name."""

    drive: Drive | None = None
    whirls: tuple[Whirl, ...] = ()
    flyers: tuple[Flyer, ...] = ()
    bobbins: tuple[Bobbin, ...] = ()
    heads: tuple[Head, ...] = ()
    bands: tuple[Band, ...] = ()

    def of_kind(self, kind: type[Part]) -> tuple[Part, ...]:
        """Give all parts of a kind."""
        shelves: dict[type[Part], tuple[Part, ...]] = {
            Whirl: self.whirls,
            Flyer: self.flyers,
            Bobbin: self.bobbins,
            Head: self.heads,
            Band: self.bands,
        }
        return shelves[kind]

    def with_part(self, part: Part) -> "Parts":
        """Add a part, or put it in the place of the one of its kind and name."""
        old = self.of_kind(type(part))
        names = [each.name for each in old]
        if part.name in names:
            place = names.index(part.name)
            return self._with_kind(type(part), (*old[:place], part, *old[place + 1 :]))
        return self._with_kind(type(part), (*old, part))

    def without_part(self, kind: type[Part], name: str) -> "Parts":
        """Take a part away; nothing happens where there is none of that name."""
        return self._with_kind(kind, tuple(each for each in self.of_kind(kind) if each.name != name))

    def _with_kind(self, kind: type[Part], parts: tuple[Part, ...]) -> "Parts":
        if kind is Whirl:
            return replace(self, whirls=tuple(each for each in parts if isinstance(each, Whirl)))
        if kind is Flyer:
            return replace(self, flyers=tuple(each for each in parts if isinstance(each, Flyer)))
        if kind is Bobbin:
            return replace(self, bobbins=tuple(each for each in parts if isinstance(each, Bobbin)))
        if kind is Head:
            return replace(self, heads=tuple(each for each in parts if isinstance(each, Head)))
        return replace(self, bands=tuple(each for each in parts if isinstance(each, Band)))
