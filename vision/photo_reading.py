"""What one picture of a wheel tells: the result types of :func:`whirlwise.vision.photo.measure_photo`."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat

from .measured import NotMeasured, Outcome

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class ReferenceReading:
    """One thing of known size that was found and used.

    Attributes
    ----------
    kind : str
        Name of the reference kind, e.g. ``"card"``.
    corners_px : tuple of Point
        Its corners (or the two points), as fitted, in order round the shape.
    offset_mm : UFloat
        How far its face stands in front of the band plane, towards the camera.
    ticks_px : tuple of Point
        On a rule all its ticks, of which the corners are the first and the last.
    circle_px : tuple of Point
        On a coin its outline, of which the corners are the ends of a diameter.
    """

    kind: str
    corners_px: tuple[Point, ...]
    offset_mm: UFloat
    ticks_px: tuple[Point, ...] = ()
    circle_px: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class BandPlaneReading:
    """Where the plane of the band stands: its tilt against the picture and the distance to the axle."""

    tilt_deg: UFloat
    distance_mm: Outcome


@dataclass(frozen=True, slots=True)
class RimEvidence:
    """The rim as found: outline of the front edge, points used, arc covered and misfit."""

    outline_px: NDArray[np.float64]
    points_px: NDArray[np.float64]
    arc_deg: float
    rms_px: float


@dataclass(frozen=True, slots=True)
class WheelReading:
    """The drive wheel. Sizes are diameters."""

    hub_px: Point
    outer_mm: Outcome
    pitch_mm: Outcome
    out_of_round_percent: Outcome
    evidence: RimEvidence


@dataclass(frozen=True, slots=True)
class WhirlReading:
    """One groove on the spindle. Sizes are diameters.

    Attributes
    ----------
    label : str
        ``"whirl"``, or in double drive ``"flyer whirl"`` and ``"bobbin whirl"``.
    pitch_per_wheel_pitch : UFloat
        Its pitch diameter as a share of the wheel's. Needs no reference: the scale falls out.
    outline_px : (n, 2) array
        The pitch circle as it lies in the picture.
    """

    label: str
    centre_px: Point
    outer_mm: Outcome
    groove_mm: Outcome
    pitch_mm: Outcome
    pitch_per_wheel_pitch: UFloat
    outline_px: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class BandRunEvidence:
    """One straight run of the band: its ends and how many points along it were used."""

    ends_px: tuple[Point, Point]
    points_used: int
    rms_px: float


@dataclass(frozen=True, slots=True)
class PhotoReading:
    """All that one picture told.

    ``advice`` names the picture that would narrow the ratio's interval most; ``no_ratio`` says why none is
    given.
    """

    file: str
    references: tuple[ReferenceReading, ...]
    band_plane: BandPlaneReading | NotMeasured
    wheel: WheelReading | NotMeasured
    whirls: tuple[WhirlReading, ...]
    centre_distance_mm: Outcome
    band_runs: tuple[BandRunEvidence, ...]
    drive: Literal["single", "double"] | NotMeasured
    remarks: tuple[str, ...]
    advice: str | None = None
    no_ratio: NotMeasured | None = None
