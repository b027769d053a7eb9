"""The slip between two clips of one wheel, in plain words and as JSON."""

import math
from dataclasses import dataclass
from typing import Final

from uncertainties import nominal_value

from ...calc.facts import DOUBLE_DRIVE_SLIP_PERCENT
from ...calc.interval import interval_95
from ...calc.parts import Drive
from ...calc.slip import SlipMeaning, Stretch, TurnPlace, slip_meaning
from ...calc.twist import TwistDirection, twist_direction
from ...vision.clip_reading import ClipReading
from ...vision.measured import NotMeasured, Outcome
from .answer import Answer, Row, between
from .as_json import Json, number
from .causes import CAUSES, Side
from .clip_words import twist_sentences
from .not_measured import clip_gaps
from .photo_words import BEFORE_TREADLING
from .rhythm_words import clock

MEANINGS: Final = {
    SlipMeaning.FASTER: "The flyer turned faster at work than by hand, so the two clips do not belong "
    "together: was the band on another whirl?",
    SlipMeaning.NONE: "That is too little to be told from none.",
    SlipMeaning.USUAL: "That is usual for a single band.",
    SlipMeaning.GRIPS: "The flyer's groove slips as little as one of a single band; so while yarn is held "
    "back it is the bobbin's that slips.",
    SlipMeaning.MUCH: "That is more than usual for a single band.",
    SlipMeaning.HELD_BACK: "That is usual in double drive while yarn is held back, and no fault.",
    SlipMeaning.LAG: "Where the bobbin leads, the band drives the bobbin and the flyer has no whirl: this is "
    "how far the flyer lagged behind, as its brake will have it, and not a slip of the band.",
}
DOUBLE_DRIVE: Final = (
    "In double drive flyer and bobbin turn together while yarn is held back, so one of the two grooves must "
    "slip by the whole difference of their ratios, {low:.0f} to {high:.0f} % as a rule (common practice, no "
    "source). Which of them slips depends on the load; it is how such a wheel works."
)
IF_DOUBLE: Final = (
    "If this is a double drive or the bobbin leads, say so: --drive double, --drive bobbin-led."
)
STEADY: Final = "The slip stayed within its doubt over the clip."
VARIES: Final = "The slip changed in the course of the clip: least {low}, most {high}."
EVEN_TURN: Final = "Within the turn of the wheel no change of the slip can be told."
TURN_VARIES: Final = (
    "Within the turn of the wheel the slip sways: least {low}, most {high}, when the place of the rim that "
    "stood at 12 o'clock in the first picture has come to {at}. A treadle pulls unevenly, and so may the "
    "band slip."
)
#: The least and the most of many places are picked because they are far apart, so they must be farther apart
#: than twice their interval to count: that happens by chance in one of a thousand even turns (reckoned by
#: draws of the four waves), and in one of four if once their interval were enough.
EXCESS_OF_EXTREMES: Final = 1.0
#: The least and the most of a few stretches count if their intervals, what moves both left out, lie apart.
EXCESS_OF_STRETCHES: Final = math.sqrt(2) - 1
BETTER: Final = "Longer clips narrow the interval: the doubt is a fraction of a turn over all turns."
HAND: Final = "By hand: "
WORK: Final = "At work: "


@dataclass(frozen=True, slots=True)
class SlipReading:
    """What two clips of one wheel tell: one turned by hand, one at work."""

    hand: ClipReading
    work: ClipReading
    slip_percent: Outcome
    course: tuple[Stretch, ...]
    drive: Drive
    side: Side | None
    turn: tuple[TurnPlace, ...] = ()


def slip_document(reading: SlipReading) -> Json:
    """Give the slip; the course as rows of seconds (from, to) and percent."""
    return {
        "hand": {"file": reading.hand.file, "ratio": number(reading.hand.ratio)},
        "work": {"file": reading.work.file, "ratio": number(reading.work.ratio)},
        "slip_percent": number(reading.slip_percent),
        "course": [
            {
                "from_s": round(each.from_s, 3),
                "to_s": round(each.to_s, 3),
                "slip_percent": number(each.slip_percent),
            }
            for each in reading.course
        ],
        "through_turn": [
            {"at_deg": each.at_deg, "slip_percent": number(each.slip_percent)} for each in reading.turn
        ],
        "twist": _twist(reading),
        "remarks": [*_meaning(reading), *_course_words(reading), *_turn_words(reading), *_gaps(reading)],
    }


def slip_answer(reading: SlipReading) -> Answer:
    """Put the slip into words."""
    if isinstance(reading.slip_percent, NotMeasured):
        says: tuple[str, ...] = ("The slip could not be measured from these two clips.",)
    else:
        slip = between(interval_95(reading.slip_percent), "%")
        says = (f"At work the flyer falls behind by {slip}.", *_meaning(reading)[:1])
    return Answer(
        says=says,
        rows=_rows(reading),
        trust=(
            *_meaning(reading)[1:],
            *_course_words(reading),
            *_turn_words(reading),
            *twist_sentences(reading.work, reading.side),
        ),
        better=(*_gaps(reading), *(() if isinstance(reading.slip_percent, NotMeasured) else (BETTER,))),
        mind=BEFORE_TREADLING,
    )


def _twist(reading: SlipReading) -> TwistDirection | None:
    """Z or S, where it is known from which side the wheel was filmed."""
    wheel = reading.work.wheel
    if reading.side is None or isinstance(wheel, NotMeasured) or wheel.direction == "both":
        return None
    return twist_direction(wheel.direction, seen_from_orifice=reading.side == "orifice")


def _rows(reading: SlipReading) -> tuple[Row, ...]:
    ratios = [
        Row(name, interval_95(clip.ratio))
        for name, clip in (("ratio by hand", reading.hand), ("ratio at work", reading.work))
        if not isinstance(clip.ratio, NotMeasured)
    ]
    course = [
        Row(f"slip, {each.from_s:.1f} to {each.to_s:.1f} s", interval_95(each.slip_percent), "%")
        for each in reading.course
    ]
    return (*ratios, *course)


def _meaning(reading: SlipReading) -> tuple[str, ...]:
    if isinstance(reading.slip_percent, NotMeasured):
        return ()
    meaning = slip_meaning(interval_95(reading.slip_percent), reading.drive)
    said = [MEANINGS[meaning]]
    if meaning is SlipMeaning.MUCH:
        said.append(CAUSES)
        if reading.drive == "flyer-led":
            said.append(IF_DOUBLE)
    if reading.drive == "double":
        low, high = DOUBLE_DRIVE_SLIP_PERCENT
        said.append(DOUBLE_DRIVE.format(low=low, high=high))
    return tuple(said)


def _course_words(reading: SlipReading) -> tuple[str, ...]:
    if not reading.course:
        return ()
    least, most = (f(reading.course, key=lambda part: nominal_value(part.slip_percent)) for f in (min, max))
    change = interval_95(most.slip_percent - least.slip_percent)
    if change.low <= EXCESS_OF_STRETCHES * change.half_width:
        return (STEADY,)
    low, high = (between(interval_95(part.slip_percent), "%") for part in (least, most))
    return (VARIES.format(low=low, high=high),)


def _turn_words(reading: SlipReading) -> tuple[str, ...]:
    if not reading.turn:
        return ()
    least, most = (f(reading.turn, key=lambda place: nominal_value(place.slip_percent)) for f in (min, max))
    sway = interval_95(most.slip_percent - least.slip_percent)
    if sway.low <= EXCESS_OF_EXTREMES * sway.half_width:
        return (EVEN_TURN,)
    low, high = (between(interval_95(place.slip_percent), "%") for place in (least, most))
    return (TURN_VARIES.format(low=low, high=high, at=clock(most.at_deg)),)


def _gaps(reading: SlipReading) -> tuple[str, ...]:
    """Reasons why a ratio is missing, each with the clip that it belongs to."""
    found = []
    for name, clip in ((HAND, reading.hand), (WORK, reading.work)):
        if isinstance(clip.ratio, NotMeasured):
            found += [name + str(gap) for gap in dict.fromkeys([clip.ratio, *clip_gaps(clip)][:1])]
    return tuple(found)
