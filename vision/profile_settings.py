"""What the spinner knows of a side-on picture before it is measured."""

from dataclasses import dataclass, field

from uncertainties import UFloat, ufloat

from .measured import HALF_WIDTH_95
from .photo_reading import Point
from .references import ReferenceRequest


@dataclass(frozen=True, slots=True)
class ProfileSettings:
    """What the spinner knows of the picture.

    Attributes
    ----------
    references : tuple of ReferenceRequest
        What of known size to look for; empty: whatever can be found without being told.
    no_reference : bool
        Use none.
    offset_mm : UFloat
        How far the reference stands in front of the spindle's axis.
    band_mm : UFloat, optional
        Thickness of the band.
    whirl_px : Point, optional
        A click on the turned part; it chooses, and is never measured from.
    """

    references: tuple[ReferenceRequest, ...] = ()
    no_reference: bool = False
    offset_mm: UFloat = field(default_factory=lambda: ufloat(0.0, 5.0 / HALF_WIDTH_95))
    band_mm: UFloat | None = None
    whirl_px: Point | None = None
