"""The proof picture of a photo: the picture itself, with thin lines where the tool saw something.

Below the picture stands a strip with the names of the lines, so that nothing of the picture is hidden.
"""

from collections.abc import Iterable
from typing import Final

import numpy as np

from ...vision.measured import NotMeasured
from ...vision.photo_reading import PhotoReading, Point
from . import palette
from .lines import Line, Pixels, drawn, png_of

__all__ = ["COLOURS", "png_of", "proof_of_photo"]

#: What each line shows, in the order of the strip.
COLOURS: Final = {
    "rim": palette.SKY,
    "where the band runs on the whirl": palette.YELLOW,
    "band, straight runs": palette.ROSE,
    "reference": palette.GREEN,
    "axle, in the plane of the band": palette.RUST,
}


def proof_of_photo(bgr: Pixels, reading: PhotoReading) -> bytes:
    """Draw what was found onto the upright picture and give it as a PNG file's bytes.

    Parameters
    ----------
    bgr : (height, width, 3) array of uint8
        Upright pixels; left as they are.
    reading : PhotoReading
        What was found in them.
    """
    cross_px = max(bgr.shape[:2]) / 60
    return drawn(bgr, list(_lines(reading, cross_px)), COLOURS)


def _lines(reading: PhotoReading, cross_px: float) -> Iterable[Line]:
    for reference in reading.references:
        outline = reference.circle_px or reference.corners_px
        yield Line("reference", np.array(outline, float), len(outline) > 2)
    if not isinstance(reading.wheel, NotMeasured):
        yield Line("rim", reading.wheel.evidence.outline_px, True)
        yield from _cross("axle, in the plane of the band", reading.wheel.hub_px, cross_px)
    for run in reading.band_runs:
        yield Line("band, straight runs", np.array(run.ends_px, float), False)
    for whirl in reading.whirls:
        yield Line("where the band runs on the whirl", whirl.outline_px, True)


def _cross(name: str, centre_px: Point, size_px: float) -> Iterable[Line]:
    x, y = centre_px
    for dx, dy in ((size_px, 0.0), (0.0, size_px)):
        yield Line(name, np.array([(x - dx, y - dy), (x + dx, y + dy)]), False)
