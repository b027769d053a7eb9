"""What the spinner knows of a picture before it is measured."""

from dataclasses import dataclass, field

from uncertainties import UFloat, ufloat

from .measured import HALF_WIDTH_95
from .photo_reading import Point
from .references import ReferenceRequest


@dataclass(frozen=True, slots=True)
class PhotoSettings:
    """What the spinner knows of the picture.

    Attributes
    ----------
    references : tuple of ReferenceRequest
        What of known size to look for; empty: whatever can be found without being told.
    no_reference : bool
        Use none: ratios only.
    offset_mm : UFloat
        How far the reference stands before the band plane.
    band_mm : UFloat, optional
        Thickness of the band.
    groove_depth_mm : UFloat, optional
        Depth of the wheel's groove; where no band is on it, that tells where one would run.
    hub_px, whirls_px, rim_px, band_px : Point
        Clicks; they choose and start the search, and are never measured from. Those on the rim tell which of
        its round edges is meant, those on the band which straight runs are.
    """

    references: tuple[ReferenceRequest, ...] = ()
    no_reference: bool = False
    offset_mm: UFloat = field(default_factory=lambda: ufloat(0.0, 5.0 / HALF_WIDTH_95))
    band_mm: UFloat | None = None
    groove_depth_mm: UFloat | None = None
    hub_px: Point | None = None
    whirls_px: tuple[Point, ...] = ()
    rim_px: tuple[Point, ...] = ()
    band_px: tuple[Point, ...] = ()
