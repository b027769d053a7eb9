"""The proof picture of a side-on photo: axis, outlines of the grooves and their waists, drawn on it."""

from collections.abc import Iterable

import numpy as np

from ...vision.measured import NotMeasured
from ...vision.profile_reading import ProfileReading
from . import palette
from .lines import Line, Pixels, drawn

COLOURS = {
    "axis": palette.RUST,
    "outline of a groove": palette.SKY,
    "across the groove": palette.YELLOW,
    "across the edge": palette.ROSE,
    "reference": palette.GREEN,
}


def proof_of_profile(bgr: Pixels, reading: ProfileReading) -> bytes:
    """Draw what was found onto the upright picture and give it as a PNG file's bytes.

    Parameters
    ----------
    bgr : (height, width, 3) array of uint8
        Upright pixels; left as they are.
    reading : ProfileReading
        What was found in them.
    """
    return drawn(bgr, list(_lines(reading)), COLOURS)


def _lines(reading: ProfileReading) -> Iterable[Line]:
    for reference in reading.references:
        yield Line("reference", np.array(reference.corners_px, float), len(reference.corners_px) > 2)
    if not isinstance(reading.axis, NotMeasured):
        yield Line("axis", np.array(reading.axis.ends_px), False)
    for step in reading.steps:
        for side in step.outline_px:
            yield Line("outline of a groove", side, False)
        yield Line("across the edge", np.array(step.outer_px), False)
        yield Line("across the groove", np.array(step.waist_px), False, step.label)
