"""The option ``--wheel``: what a wheel's file knows helps to read one more picture of it; nothing is written.

Only the drive wheel's own diameters are taken, which give the picture its scale. The whirl may be another one
now, so neither its size nor the ratio is.
"""

from dataclasses import replace
from typing import Final

import numpy as np
from uncertainties import UFloat, correlated_values

from ...calc.fusing import FusedWheel, fuse
from ...calc.solving import Solution, Unknown, row_of
from ...calc.wheel import Dimension, reading_of
from ...vision.measured import Outcome
from ...vision.photo_reading import PhotoReading, WheelReading
from .kept import KeptWheel
from .numbers import photo_numbers

THIS: Final = "this picture"
OUTER, PITCH, APART = Dimension("outer_mm"), Dimension("pitch_mm"), Dimension("centre_distance_mm")
NO_SIZES: Final = "The wheel's file does not tell the wheel's size, so it did not help."
CONTRADICTED: Final = (
    "The wheel's file and this picture do not agree on the wheel's size, so the file was not used: is it the "
    "same wheel?"
)
USED: Final = "The wheel's size comes from its file, or from file and picture together."


def with_known_size(reading: PhotoReading, sha256: str, wheel: KeptWheel) -> PhotoReading:
    """Give the picture's lengths the scale that the wheel's file knows.

    Parameters
    ----------
    reading : PhotoReading
    sha256 : str
        Checksum of the picture; what the file holds of the same picture is no news.
    wheel : KeptWheel

    Returns
    -------
    PhotoReading
        With a remark that says whether the file was used.
    """
    known = [kept.reading.only((OUTER, PITCH)) for kept in wheel.readings if kept.sha256 != sha256]
    known = [each for each in known if each.values]
    if not known or not isinstance(reading.wheel, WheelReading):
        return _remarked(reading, NO_SIZES)
    fused = fuse([*known, reading_of(THIS, photo_numbers(reading))])
    if fused.leaving_out:
        return _remarked(reading, CONTRADICTED)
    return _remarked(_with_lengths(reading, reading.wheel, fused), USED)


def _with_lengths(reading: PhotoReading, wheel: WheelReading, fused: FusedWheel) -> PhotoReading:
    whirls = [Dimension("pitch_mm", whirl.label) for whirl in reading.whirls]
    told = _numbers(fused.solution, [OUTER, PITCH, APART, *whirls])
    return replace(
        reading,
        wheel=replace(
            wheel,
            outer_mm=_known(told, OUTER, wheel.outer_mm),
            pitch_mm=_known(told, PITCH, wheel.pitch_mm),
        ),
        whirls=tuple(
            replace(whirl, pitch_mm=_known(told, dimension, whirl.pitch_mm))
            for whirl, dimension in zip(reading.whirls, whirls, strict=True)
        ),
        centre_distance_mm=_known(told, APART, reading.centre_distance_mm),
    )


def _known(told: dict[Dimension, UFloat], dimension: Dimension, otherwise: Outcome) -> Outcome:
    return told.get(dimension, otherwise)


def _numbers(solution: Solution, wanted: list[Dimension]) -> dict[Dimension, UFloat]:
    """Correlated numbers for those dimensions that the readings tell."""
    rows: dict[Dimension, dict[Unknown, float]] = {
        each: row for each in wanted if solution.log_of(row := row_of(each)) is not None
    }
    if not rows:
        return {}
    combine = np.array([[row.get(unknown, 0.0) for unknown in solution.unknowns] for row in rows.values()])
    values = np.exp(combine @ solution.logs)
    covariance = combine @ solution.covariance @ combine.T * np.outer(values, values)
    return dict(zip(rows, correlated_values(values, covariance), strict=True))


def _remarked(reading: PhotoReading, remark: str) -> PhotoReading:
    return replace(reading, remarks=(*reading.remarks, remark))
