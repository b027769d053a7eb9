"""One session at the wheel: how it was treadled, from a clip or from its sound alone.

Of a clip the flyer is left alone, which makes this much quicker than the whole measurement. A sound alone
tells when something knocks; it is taken for a mark of every turn, unless two rates may be meant.
"""

import pathlib
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .clip import ClipSettings, Tell, measure_clip
from .clip_reading import ClipReading
from .measured import NotMeasured, Outcome
from .open.sound import is_only_heard
from .sound_only import SoundReading, measure_sound
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
    heard : SoundReading, optional
        What was heard, where there are no pictures.
    """

    file: str
    seconds: float
    cadence_per_min: Outcome
    cadence_series: Floats
    rhythm: Rhythm | NotMeasured
    remarks: tuple[str, ...]
    heard: SoundReading | None = None


EITHER_RATE = NotMeasured(
    "Two rates may be meant by this sound, so it is open which knocks mark a turn of the wheel.",
    "Count the strokes of ten seconds by eye to know which, or film the wheel.",
)


def measure_session(
    path: pathlib.Path, settings: ClipSettings | None = None, tell: Tell = lambda what, share: None
) -> SessionReading:
    """Measure the rhythm in one recording: a clip, or a sound alone.

    Raises
    ------
    UnreadableFileError, WrongHintError
        As :func:`.clip.measure_clip`.
    """
    if is_only_heard(path):
        return session_of_sound(measure_sound(path))
    return session_of_clip(measure_clip(path, replace(settings or ClipSettings(), with_flyer=False), tell))


def session_of_sound(heard: SoundReading) -> SessionReading:
    """Take each event of a sound for the mark of a stroke, unless two rates may be meant."""
    strokes = heard.events_per_min if len(heard.candidates) < 2 else EITHER_RATE
    session = session_of_marks(
        heard.file, heard.seconds, strokes, heard.times_s, heard.time_std_s, heard.remarks
    )
    return replace(session, heard=heard)


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
