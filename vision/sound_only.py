"""One recording without pictures: how many times a minute something knocks, creaks or ticks.

Read :func:`measure_sound` from top to bottom: it is the recipe. A sound tells when something comes again, not
what it is. A treadle that knocks once a stroke gives the cadence; one that knocks at both ends of its way
gives twice as many. Where every other event is weak, both rates are named and none is chosen.

What this cannot do: tell several rhythms from each other. The strongest is taken.
"""

import pathlib
from dataclasses import dataclass, replace

from uncertainties import UFloat, ufloat

from .measured import NotMeasured, Outcome
from .open.sound import SoundBands, read_sound
from .turning.sound_alternation import every_other_weak, weak_between
from .turning.sound_events import Events, find_events
from .turning.sound_onsets import level_db, onset_strength

NOTHING_REGULAR = NotMeasured(
    "Nothing in this sound comes again and again evenly enough to be counted.",
    "Lay the phone close to the treadle, keep the room quiet, and record ten even strokes or more.",
)
BETWEEN = NotMeasured(
    "Between the knocks there are much fainter ones, so the sound leaves open which of two rates is meant: "
    "the loud ones alone, or all.",
    "Count the strokes of ten seconds by eye, and take the rate that fits.",
)
EVERY_OTHER = (
    "Every other knock is weaker than its neighbours. All were counted; if only the loud ones are strokes, "
    "the other rate, half of it, is the right one."
)
MAY_BE_DOUBLE = (
    "A sound tells how often something knocks, creaks or ticks, not what a stroke is: a treadle that knocks "
    "at both ends of its way is counted twice."
)


@dataclass(frozen=True, slots=True)
class SoundReading:
    """What a recording without pictures told.

    Attributes
    ----------
    seconds : float
        Length of the recording.
    events_per_min : Outcome
        All events of the row; not measured where much fainter ones stand between them.
    candidates : tuple of UFloat
        The rates that may be meant, a minute: one, two where it is open what counts, none where nothing was
        found.
    times_s : tuple of float
        When the events of the first candidate begin.
    time_std_s : float
        How well that is known (standard uncertainty).
    """

    file: str
    seconds: float
    events_per_min: Outcome
    candidates: tuple[UFloat, ...]
    times_s: tuple[float, ...]
    remarks: tuple[str, ...]
    time_std_s: float = 0.0


def measure_sound(path: pathlib.Path) -> SoundReading:
    """Count what comes again and again in the sound of a file.

    Parameters
    ----------
    path : pathlib.Path
        A sound file, or a clip, of which only the sound is used.

    Raises
    ------
    UnreadableFileError
        If the file cannot be decoded.
    """
    sound = read_sound(path)
    if isinstance(sound, NotMeasured):
        return SoundReading(path.name, 0.0, sound, (), (), ())
    return count_events(sound)


def count_events(sound: SoundBands) -> SoundReading:
    """Count what comes again and again in a sound that was read already."""
    onsets = onset_strength(sound)
    events = find_events(onsets)
    if events is None:
        return SoundReading(sound.file, sound.seconds, NOTHING_REGULAR, (), (), ())
    per_min = _per_min(events)
    times_s = tuple(float(sound.times_s[0] + t) for t in events.times_s)
    plain = SoundReading(
        sound.file, sound.seconds, per_min, (per_min,), times_s, (MAY_BE_DOUBLE,), events.std_s
    )
    if weak_between(onsets, events):
        return replace(plain, events_per_min=BETWEEN, candidates=(per_min, per_min * 2), remarks=())
    if every_other_weak(level_db(sound), events):
        return replace(plain, candidates=(per_min, per_min / 2), remarks=(EVERY_OTHER,))
    return plain


def _per_min(events: Events) -> UFloat:
    """Gaps over the time from the first event to the last."""
    gaps = len(events.times_s) - 1
    span_s = ufloat(events.gap_s * gaps, 2**0.5 * events.std_s)
    return 60 * gaps / span_s
