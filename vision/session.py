"""One session at the wheel: how it was treadled, from a clip.

The flyer is left alone, which makes this much quicker than the whole measurement of the clip.
"""

import pathlib
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .clip import ClipSettings, measure_clip
from .clip_reading import ClipReading
from .measured import NotMeasured, Outcome
from .turning.rhythm import Rhythm, rhythm_of_marks

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


def session_of_marks(
    file: str,
    seconds: float,
    strokes_per_min: Outcome,
    marks_s: Sequence[float],
    mark_std_s: float,
    remarks: tuple[str, ...] = (),
) -> SessionReading:
    """Put marks, one a stroke, together as a session: what a sound tells of the treadling.

    Parameters
    ----------
    strokes_per_min : Outcome
        Not measured where it is open what a stroke is; then the marks tell no rhythm either.
    marks_s : sequence of float
        When each stroke's mark begins.
    mark_std_s : float
        How well that is known (standard uncertainty).
    """
    doubtful = isinstance(strokes_per_min, NotMeasured)
    return SessionReading(
        file=file,
        seconds=seconds,
        cadence_per_min=strokes_per_min,
        cadence_series=np.empty((0, 2)),
        rhythm=strokes_per_min if doubtful else rhythm_of_marks(np.array(marks_s), mark_std_s),
        remarks=remarks,
    )


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
