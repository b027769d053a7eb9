"""What is told while the wheel turns, and at the end."""

from typing import Final

from ...calc.interval import interval_95
from ...vision.live import LiveReading
from ...vision.measured import NotMeasured, Outcome
from .answer import Answer, Row, between
from .as_json import Json, number
from .rhythm_words import MIND
from .rounding import texts

BEGIN: Final = "Watching; Ctrl-C ends it. Show the whole wheel, squarely, and keep the camera still.\n"
STILL: Final = (
    "A clip of ten seconds or more, filmed and measured afterwards, tells all of this more sharply: "
    "whirlwise clip CLIP"
)


def live_line(reading: LiveReading) -> str:
    """Give one line of at most 80 letters.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> turns, mean, ratio = ufloat(11.6, 0.01), ufloat(58, 0.1), ufloat(9, 0.1)
    >>> print(live_line(LiveReading(12.0, ufloat(58.3, 0.05), turns, mean, ratio)))
       12 s   58.30 a minute (58.20 to 58.40)   11.6 turns   ratio 9.00
    """
    start = f"{reading.time_s:5.0f} s   "
    if isinstance(reading.cadence_per_min, NotMeasured):
        return start + reading.cadence_per_min.reason
    # One digit of doubt is enough for a glance.
    value, low, high = texts(interval_95(reading.cadence_per_min), digits=1)
    cadence = f"{value} a minute ({low} to {high})"
    ratio = (
        "" if isinstance(reading.ratio, NotMeasured) else f"   ratio {texts(interval_95(reading.ratio))[0]}"
    )
    return f"{start}{cadence}   {float(reading.turns.n):.1f} turns{ratio}"


def live_document(source: str, reading: LiveReading) -> Json:
    """Give the end under stable keys."""
    nothing = isinstance(reading.mean_per_min, NotMeasured)
    return {
        "file": source,
        "seconds": round(reading.time_s, 3),
        "wheel": None
        if nothing
        else {"turns": number(reading.turns), "cadence_per_min": number(reading.mean_per_min)},
        "ratio": number(reading.ratio),
        "remarks": [str(each) for each in _missing(reading)],
    }


def live_answer(reading: LiveReading) -> Answer:
    """Put the end into words."""
    if isinstance(reading.mean_per_min, NotMeasured):
        return Answer(
            says=("No turning wheel was seen.",), better=(str(reading.mean_per_min), STILL), mind=MIND
        )
    mean = between(interval_95(reading.mean_per_min))
    says = [f"In {reading.time_s:.0f} s the wheel turned {reading.turns.n:.1f} times, {mean} a minute."]
    if not isinstance(reading.ratio, NotMeasured):
        says.append(f"One turn of it turns the flyer {between(interval_95(reading.ratio))} times.")
    return Answer(
        says=tuple(says),
        rows=(
            Row("turns of the wheel", interval_95(reading.turns)),
            Row("cadence, a minute", interval_95(reading.mean_per_min)),
        ),
        better=(*(str(each) for each in _missing(reading)), STILL),
        mind=MIND,
    )


def _missing(reading: LiveReading) -> list[NotMeasured]:
    outcomes: tuple[Outcome, ...] = (reading.mean_per_min, reading.ratio)
    return [each for each in outcomes if isinstance(each, NotMeasured)]
