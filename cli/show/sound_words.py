"""What a recording without pictures told, in plain words and as JSON."""

from typing import Final

from ...calc.interval import interval_95
from ...vision.measured import NotMeasured
from ...vision.sound_only import SoundReading
from .answer import Answer, Row, between
from .as_json import Json, number

MIND: Final = ("Keep phone and cable out of the treadle's way.",)
CANNOT: Final = "A sound alone tells a rate, not the drive ratio: for that film the wheel and its flyer."


def sound_document(reading: SoundReading) -> Json:
    """Give what a sound told, under the keys for a sound file alone."""
    missing = reading.events_per_min
    return {
        "file": reading.file,
        "events_per_min": number(reading.events_per_min),
        "candidates": [number(candidate) for candidate in reading.candidates],
        "remarks": [*reading.remarks, *([str(missing)] if isinstance(missing, NotMeasured) else [])],
    }


def sound_answer(reading: SoundReading) -> Answer:
    """Put a reading of a sound into words."""
    rate = reading.events_per_min
    rates = [between(interval_95(candidate)) for candidate in reading.candidates]
    if isinstance(rate, NotMeasured):
        either = f"Something is heard again and again, {' or '.join(rates)} times a minute."
        says = (either if rates else "No rate could be told from this sound.",)
        better: tuple[str, ...] = (str(rate),)
    else:
        says = (f"Something knocks, creaks or ticks {rates[0]} times a minute.",)
        better = (CANNOT,)
    others = tuple(
        Row("or, a minute", interval_95(other)) for other in reading.candidates[1:] if len(rates) > 1
    )
    heard = (f"{len(reading.times_s)} in a row were heard in {reading.seconds:.1f} s.",) if rates else ()
    return Answer(says=says, rows=others, trust=(*heard, *reading.remarks), better=better, mind=MIND)
