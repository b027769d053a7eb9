"""What every reference kind asks for and gives back."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat

from ..geometry.plane import BandPlane
from ..measured import NotMeasured
from ..open.picture import Picture

Point = tuple[float, float]
Finder = Callable[[Picture, "Surroundings", "ReferenceRequest"], Sequence["FoundReference | NotMeasured"]]

#: Corners seen to be rounded as they should speak for a thing, sharp ones against it. On pictures with known
#: truth true cards have 0.77 and more, chance rectangles at most 0.74 and nearly all under 0.6.
MERIT_OF_ROUNDING, ROUNDED = 1.2, 0.7
#: A card too small or too faint for its corners to be seen must make up for that by its outline.
CORNERS_UNSEEN = 0.2
#: Of clear things so much of the outline is seen, and their corners are so round if they should be.
CLEARLY_OUTLINED, CLEARLY_ROUNDED = 0.82, 0.75


@dataclass(frozen=True, slots=True)
class ReferenceRequest:
    """A reference as the spinner names it.

    Attributes
    ----------
    kind : str
        A name from :data:`whirlwise.vision.references.REFERENCE_KINDS`.
    length_mm : UFloat, optional
        Side of the marker, diameter of the coin, distance of the two points, or the printed sheet's check
        line as measured.
    points_px : tuple of Point
        The two points, or the coin's middle or the four corners of a card or sheet if the spinner points at
        them, in upright pixels.
    """

    kind: str
    length_mm: UFloat | None = None
    points_px: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class TicksSeen:
    """Ticks of a rule.

    Attributes
    ----------
    points_px : (n, 2) array
        Where they are, on a straight line.
    at_mm : (n,) array
        How far along the rule each stands.
    ends_px : (n, 2, 2) array, optional
        Two places on each tick, the same way round; NaN for ticks that are not seen well.
    """

    points_px: NDArray[np.float64]
    at_mm: NDArray[np.float64]
    ends_px: NDArray[np.float64] | None = None


@dataclass(frozen=True, slots=True)
class CircleOutline:
    """The edge of a coin: pixels (n, 2) found on it, and the whole outline (m, 2) as fitted."""

    points_px: NDArray[np.float64]
    outline_px: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FoundReference:
    """A reference in the picture.

    Attributes
    ----------
    kind : str
    corners_px : (4, 2) or (2, 2) array
        Corners clockwise as seen, the first side being ``width_mm`` long; or two points ``width_mm`` apart,
        on a rule the first and the last tick, on a coin both ends of a diameter.
    width_mm, height_mm : float
        Nominal size; for two points ``height_mm`` is 0.
    size_doubt : float
        Standard uncertainty of the true size, as a share of the nominal one.
    deviation_px : float
        Standard uncertainty of a clicked point, or of a point of a side across it.
    outlined : float
        Share of the outline on which an edge was seen.
    certain : bool
        Whether it cannot be anything else: a marker, or what the spinner pointed at.
    sides_px : tuple of four (n, 2) arrays
        Points on the sides, the first one running from the first corner to the second; empty for two points.
    ticks : TicksSeen, optional
        All ticks, if it is a rule.
    circle : CircleOutline, optional
        The edge, if it is a coin.
    thickness_mm : float
        How high the walls are that stand under the sides, if it is a card or a sheet.
    rounded_mm : float
        By what radius its corners should be rounded.
    rounding : float, optional
        How much they are, 1 if by that radius, 0 if they are sharp; None where that was not to be seen.
    """

    kind: str
    corners_px: NDArray[np.float64]
    width_mm: float
    height_mm: float
    size_doubt: float
    deviation_px: float
    outlined: float = 1.0
    certain: bool = True
    sides_px: tuple[NDArray[np.float64], ...] = ()
    ticks: TicksSeen | None = None
    circle: CircleOutline | None = None
    thickness_mm: float = 0.0
    rounded_mm: float = 0.0
    rounding: float | None = None

    @property
    def merit(self) -> float:
        """How much speaks for it by its looks: its outline, and how round its corners are."""
        if not self.rounded_mm:
            return self.outlined
        if self.rounding is None:
            return self.outlined - CORNERS_UNSEEN
        return self.outlined + MERIT_OF_ROUNDING * (self.rounding - ROUNDED)

    @property
    def clear(self) -> bool:
        """Whether it surely looks like the thing, so that a further search can be spared."""
        if self.certain or not self.sides_px:
            return True
        rounded = not self.rounded_mm or (self.rounding is not None and self.rounding > CLEARLY_ROUNDED)
        return rounded and self.outlined > CLEARLY_OUTLINED


@dataclass(frozen=True, slots=True)
class Surroundings:
    """The rough wheel that a reference is looked for around: its plane, and the rim's radius in its units."""

    plane: BandPlane
    rim_radius_mm: float


@dataclass(frozen=True, slots=True)
class ReferenceKind:
    """A kind of thing with known size, and how to find it.

    ``find`` returns what it is sure of, the surest first. Where it is not, it returns nothing, or the reason
    why as a :class:`NotMeasured`. ``needs_plane`` tells whether what it finds depends on the surroundings.
    ``find_further`` is a longer search for where nothing that is clear was found.
    """

    name: str
    find: Finder
    needs_length: bool = False
    needs_points: bool = False
    needs_plane: bool = True
    find_further: Finder | None = None
