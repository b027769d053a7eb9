"""One session at the wheel: how it was treadled, from a clip.

The flyer is left alone, which makes this much quicker than the whole measurement of the clip.
"""

import pathlib
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .clip import ClipSettings, measure_clip
from .clip_reading import ClipReading
from .measured import NotMeasured, Outcome
from .turning.rhythm import Rhythm

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SessionReading:
    """What one recording tells of the treadling.

    Attributes
    ----------
    seconds : float
        Length of the recording.
    cadence_per_min : Outcome
        Mean turns a minute while the wheel turns.
    cadence_series : (m, 2) array
        Real time in s and turns a minute.
    rhythm : Rhythm or NotMeasured
    remarks : tuple of str
    """

    file: str
    seconds: float
    cadence_per_min: Outcome
    cadence_series: Floats
    rhythm: Rhythm | NotMeasured
    remarks: tuple[str, ...]


def measure_session(path: pathlib.Path, settings: ClipSettings | None = None) -> SessionReading:
    """Measure the rhythm in one recording.

    Raises
    ------
    UnreadableFileError, WrongHintError
        As :func:`.clip.measure_clip`.
    """
    return session_of_clip(measure_clip(path, replace(settings or ClipSettings(), with_flyer=False)))


def session_of_clip(reading: ClipReading) -> SessionReading:
    """Take from a clip's reading what concerns the treadling."""
    wheel = reading.wheel
    return SessionReading(
        file=reading.file,
        seconds=reading.seconds,
        cadence_per_min=wheel if isinstance(wheel, NotMeasured) else wheel.cadence_per_min,
        cadence_series=np.empty((0, 2)) if isinstance(wheel, NotMeasured) else wheel.cadence_series,
        rhythm=reading.rhythm,
        remarks=reading.remarks,
    )
