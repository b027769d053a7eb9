"""Which groove of a whirl seen side-on is the one that carries the band in the pictures of the whole wheel.

A picture from the side tells the grooves' sizes well, but not where the band runs; a picture of the whole
wheel tells roughly how large the groove is in which it runs. Where only one groove fits, it is that one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from .fusing import fuse
from .interval import COVERAGE_FACTOR_95
from .wheel import WHEEL, Dimension, Reading

#: A groove fits if it lies within so many doubts of the one that carries the band ...
FITS: Final = 2.5
#: ... and every other groove of the same whirl lies at least so many away.
OTHERS_AWAY: Final = 4.0


@dataclass(frozen=True, slots=True)
class Seat:
    """A groove that was taken for the one that carries the band.

    Attributes
    ----------
    reading : str
        Name of the reading that tells its size.
    groove : str
        Its label there.
    whirl : str
        Label of the whirl that carries the band elsewhere.
    """

    reading: str
    groove: str
    whirl: str


def seated(readings: Sequence[Reading]) -> tuple[tuple[Reading, ...], tuple[Seat, ...]]:
    """Give grooves that can only be the one that carries the band its name, so that they are fused with it.

    Parameters
    ----------
    readings : sequence of Reading
        Those in which a ratio stands tell of whirls that carry a band; those without one, of grooves.

    Returns
    -------
    readings : tuple of Reading
    seats : tuple of Seat
        What was taken for what. Empty where nothing fits, or more than one groove does.
    """
    with_band = [reading for reading in readings if _carrying(reading)]
    labels = list(dict.fromkeys(label for reading in with_band for label in _carrying(reading)))
    renamed: list[Reading] = []
    seats: list[Seat] = []
    for reading in readings:
        grooves = [
            d
            for d in reading.values
            if d.what == "pitch_mm" and d.part not in (WHEEL, *labels) and not d.in_head
        ]
        for label in labels if reading not in with_band else []:
            groove = _only_fitting(reading, grooves, with_band, label)
            if groove is not None:
                seats.append(Seat(reading.name, groove, label))
                reading = reading.renamed(groove, label)
                grooves = [d for d in grooves if d.part != groove]
        renamed.append(reading)
    return tuple(renamed), tuple(seats)


def _carrying(reading: Reading) -> list[str]:
    return [d.part for d in reading.values if d.what == "ratio" and not d.in_head]


def _only_fitting(
    reading: Reading, grooves: Sequence[Dimension], with_band: Sequence[Reading], label: str
) -> str | None:
    """Label of the one groove whose size fits; None where none does or others might."""
    whirl = fuse(with_band).interval_95(Dimension("pitch_mm", label))
    if whirl is None or not grooves:
        return None
    # The wider side of the interval counts, so that pictures which contradict each other fit more grooves.
    log = np.log(whirl.value)
    deviation = max(log - np.log(whirl.low), np.log(whirl.high) - log) / COVERAGE_FACTOR_95
    places = [list(reading.values).index(groove) for groove in grooves]
    own = np.sqrt(np.diag(reading.whole_covariance)[places])
    away = np.abs(reading.logs[places] - log) / np.hypot(own, deviation)
    order = np.argsort(away)
    if away[order[0]] > FITS or (away[order[1:]] < OTHERS_AWAY).any():
        return None
    return grooves[int(order[0])].part
