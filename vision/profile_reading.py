"""What one side-on picture tells: the result types of :func:`whirlwise.vision.profile.measure_profile`."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .measured import NotMeasured, Outcome
from .photo_reading import Point, ReferenceReading


@dataclass(frozen=True, slots=True)
class StepReading:
    """One groove. Sizes are diameters.

    Attributes
    ----------
    label : str
        ``"step 1"`` for the largest groove, and so on.
    outer_mm : Outcome
        Across the lower of its two flanges.
    groove_mm : Outcome
        Across the groove's bottom.
    pitch_mm : Outcome
        Where the middle of the band runs.
    bottom_hidden : bool
        Whether a flange hides the bottom.
    waist_px : (Point, Point)
        The bottom as seen on both sides of the axis.
    outer_px : (Point, Point)
        The flange as seen on both sides.
    outline_px : tuple of two (n, 2) arrays
        The groove's outline on both sides.
    """

    label: str
    outer_mm: Outcome
    groove_mm: Outcome
    pitch_mm: Outcome
    bottom_hidden: bool
    waist_px: tuple[Point, Point]
    outer_px: tuple[Point, Point]
    outline_px: tuple[NDArray[np.float64], NDArray[np.float64]]


@dataclass(frozen=True, slots=True)
class AxisReading:
    """The spindle's axis: its ends as far as the outline goes, and the camera's distance from it."""

    ends_px: tuple[Point, Point]
    distance_mm: Outcome


@dataclass(frozen=True, slots=True)
class ProfileReading:
    """All that one side-on picture told. The steps run from the largest groove to the smallest."""

    file: str
    references: tuple[ReferenceReading, ...]
    axis: AxisReading | NotMeasured
    steps: tuple[StepReading, ...]
    missing: tuple[NotMeasured, ...]
    remarks: tuple[str, ...]
