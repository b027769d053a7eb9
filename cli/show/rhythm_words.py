"""What sessions at the wheel told of the treadling, in plain words and as JSON."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from ...calc.interval import Interval, interval_95
from ...calc.rhythm import NEAR_WISH, AgainstWish, Change, Session, spread_interval_95
from ...vision.measured import NotMeasured
from ...vision.session import SessionReading
from ...vision.turning.rhythm import Rhythm
from .answer import Answer, Row, between
from .as_json import Json, interval_document, number, rhythm_document
from .rounding import texts
from .session import session_of
from .sound_words import sound_document

CARE: Final = (
    "Stand up and walk a little every half hour or so, and change what your feet do (common practice, no "
    "medical advice).",
    "If a knee, a hip or your back hurts, stop, and ask a doctor or physiotherapist: this program knows "
    "nothing of joints.",
)
MIND: Final = (*CARE, "Keep fingers, hair and sleeves away from a flyer that turns.")
BY_THE_WHEEL: Final = (
    "Turns are told by the wheel's angle in every picture, so each is timed from one place of the wheel to "
    "the same place again."
)
BY_EAR: Final = (
    "{start}Turns are told by when each knock begins. A treadle that knocks at both ends of its way is "
    "counted twice: then the cadence is half of this, and every turn is two of these."
)
TOGETHER: Final = (
    "Turns hang together (a foot that tires is slow for many turns), so they count as fewer than they are; "
    "the intervals and comparisons reckon with that."
)
TWO_PUSHES: Final = (
    "Two pushes a turn are seen as two places where the wheel gains speed. With two treadles each foot gives "
    "one; with one treadle it is the way up and the way down. Which foot is which the picture doesn't tell."
)
LONGER: Final = "Film two or three minutes of each session; a calmer foot shows in many turns only."
ORDER: Final = "Name the sessions in the order in which they were, the earliest first."


@dataclass(frozen=True, slots=True)
class Treadling:
    """All that a command tells: readings in the order given, and what was reckoned from them."""

    readings: tuple[SessionReading, ...]
    changes: tuple[Change, ...] = ()
    wishes: tuple[AgainstWish | None, ...] = ()

    def wish_of(self, place: int) -> AgainstWish | None:
        """What was reckoned for the reading in a place."""
        return self.wishes[place] if self.wishes else None


def rhythm_rows(rhythm: Rhythm) -> list[Row]:
    """Rows for the list below an answer."""
    rows = [Row("turn to turn, spread", spread_interval_95(session_of("", rhythm)), "%")]
    if not isinstance(rhythm.within_turn_percent, NotMeasured):
        rows.append(Row("within a turn, swing", interval_95(rhythm.within_turn_percent), "%"))
    return rows


def treadling_document(told: Treadling) -> Json:
    """Give sessions under the keys of the command ``rhythm``."""
    heard = told.readings[0].heard if len(told.readings) == 1 else None
    return {
        **(sound_document(heard) if heard else {}),
        "sessions": [
            session_document(reading, told.wish_of(place)) for place, reading in enumerate(told.readings)
        ],
        "changes": [_change_document(change) for change in told.changes],
        "remarks": list(_remarks(told)),
    }


def session_document(reading: SessionReading, wish: AgainstWish | None = None) -> Json:
    """Give one session under its keys."""
    return {
        "file": reading.file,
        "cadence_per_min": number(reading.cadence_per_min),
        "rhythm": rhythm_document(reading.rhythm),
        "against_wish": wish
        and {
            "wished_per_min": wish.wished_per_min,
            "faster_percent": interval_document(wish.faster_percent),
            "turns_near": wish.near,
            "turns": wish.turns,
        },
    }


def _change_document(change: Change) -> Json:
    return {
        "before": change.before,
        "after": change.after,
        "spread_ratio": interval_document(change.spread_ratio),
        "chance_percent": round(100 * change.p_value, 2),
        "verdict": change.verdict,
        "turns_needed": change.turns_needed,
        "smoother_percent": interval_document(change.smoother_percent),
    }


def treadling_answer(told: Treadling) -> Answer:
    """Put sessions into words."""
    one = told.readings[0] if len(told.readings) == 1 else None
    rhythms = [r.rhythm for r in told.readings if isinstance(r.rhythm, Rhythm)]
    sentences = [_session_sentences(r, named=one is None) for r in told.readings]
    wishes = [w for place in range(len(told.readings)) for w in _wish_sentences(told, place)]
    return Answer(
        says=(*(s for each in sentences for s in each), *wishes, *map(change_sentence, told.changes)),
        rows=_rows(one) if one else (),
        trust=(
            *(
                (BY_THE_WHEEL,)
                if any(isinstance(r.rhythm, Rhythm) and not r.heard for r in told.readings)
                else ()
            ),
            *(
                BY_EAR.format(start="" if one else f"{r.file}: ")
                for r in told.readings
                if isinstance(r.rhythm, Rhythm) and r.heard
            ),
            *(_turns_sentence(r, named=one is None) for r in told.readings if isinstance(r.rhythm, Rhythm)),
            *((TOGETHER,) if rhythms else ()),
            *((TWO_PUSHES,) if any(r.pushes == 2 for r in rhythms) else ()),
        ),
        better=(
            *_remarks(told),
            *((LONGER,) if rhythms else ()),
            *((ORDER,) if told.changes and one is None else ()),
        ),
        mind=MIND,
    )


def _session_sentences(reading: SessionReading, *, named: bool) -> tuple[str, ...]:
    start = f"{reading.file}: " if named else ""
    if isinstance(reading.cadence_per_min, NotMeasured):
        return (f"{start}{_nothing(reading)}",)
    cadence = f"{start}{_cadence(reading, alone=not named)}"
    rhythm = reading.rhythm
    if isinstance(rhythm, NotMeasured):
        return (f"{cadence}.",)
    spread = between(spread_interval_95(session_of("", rhythm)), "%")
    first = f"{cadence}; the time of a turn differs from turn to turn by {spread}."
    return (first, *_drift_sentences(rhythm), *_within_sentences(rhythm))


def _cadence(reading: SessionReading, *, alone: bool) -> str:
    assert not isinstance(reading.cadence_per_min, NotMeasured)
    per_min = between(interval_95(reading.cadence_per_min))
    # A sentence that stands alone begins with a word; what is only heard may be anything that goes round.
    if alone and not reading.heard:
        return f"The wheel turned {per_min} times a minute"
    return f"{per_min} turns a minute"


def _nothing(reading: SessionReading) -> str:
    """Say what is known where no cadence is."""
    if reading.heard is None:
        return "no turning wheel could be followed."
    rates = [between(interval_95(rate)) for rate in reading.heard.candidates]
    if not rates:
        return "no rate could be told from this sound."
    return f"something is heard again and again, {' or '.join(rates)} times a minute."


def _drift_sentences(rhythm: Rhythm) -> tuple[str, ...]:
    drift = interval_95(rhythm.drift_percent_per_min)
    if drift.low <= 0 <= drift.high:
        return ()
    way = "faster" if drift.value > 0 else "slower"
    return (f"Over the session it grew {way}, by {_unsigned(drift)} a minute.",)


def _within_sentences(rhythm: Rhythm) -> tuple[str, ...]:
    if isinstance(rhythm.within_turn_percent, NotMeasured):
        return ()
    swing = texts(interval_95(rhythm.within_turn_percent))[0]
    sentence = f"Within the turn the speed swings by {swing} % to either side"
    if not isinstance(rhythm.slowest_at_deg, NotMeasured):
        sentence += (
            "; it is slowest when the place of the rim that stood at 12 o'clock in the first picture has "
            f"come to {clock(float(rhythm.slowest_at_deg.n))}"
        )
    return (sentence + ".", *_push_sentences(rhythm))


def _push_sentences(rhythm: Rhythm) -> tuple[str, ...]:
    unlike = rhythm.pushes_unlike_percent
    if rhythm.pushes != 2 or isinstance(unlike, NotMeasured):
        return ()
    between_them = interval_95(unlike)
    if between_them.low <= 0:
        return ("It is pushed twice a turn; the pushes are too alike to be told apart.",)
    return (
        "It is pushed twice a turn, not alike: the stronger push gives "
        f"{50 + between_them.value / 2:.0f} % of the speed that both give.",
    )


def clock(anticlockwise_deg: float) -> str:
    """Where a point that stood at 12 o'clock is, after a turn anticlockwise, to half an hour.

    Examples
    --------
    >>> clock(90), clock(195)
    ("9 o'clock", 'half past 5')
    """
    halves = round((-anticlockwise_deg % 360) / 15) % 24
    hour = (halves // 2 - 1) % 12 + 1
    return f"half past {hour}" if halves % 2 else f"{hour} o'clock"


def _wish_sentences(told: Treadling, place: int) -> tuple[str, ...]:
    wish = told.wish_of(place)
    if wish is None:
        return ()
    start = f"{told.readings[place].file}: " if len(told.readings) > 1 else ""
    near = (
        f"{wish.near} of {wish.turns} turns lay within {100 * NEAR_WISH:.0f} % of the "
        f"{wish.wished_per_min:g} a minute that you wished for"
    )
    if wish.faster is None:
        return (f"{start}{near}; so few turns don't tell whether you usually treadle faster or slower.",)
    way = "faster" if wish.faster else "slower"
    return (f"{start}{near}; on the whole you were {way}, by {_unsigned(wish.faster_percent)}.",)


def change_sentence(change: Change) -> str:
    """Say whether a session was calmer than an earlier one."""
    verdict = "whether it was calmer can't be told" if change.verdict == "open" else change.verdict
    said = (
        f"{change.after} against {change.before}: {verdict}; its spread is {between(change.spread_ratio)} "
        f"times the other's (chance alone does that in {_percent(change.p_value)} of such pairs)."
    )
    if change.turns_needed:
        said += f" About {change.turns_needed} turns in each would show a difference of this size."
    if change.smoother is not None:
        said += f" Within the turn it ran {'more' if change.smoother else 'less'} evenly."
    return said


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %" if share >= 0.01 else "less than 1 %"


def _unsigned(interval: Interval) -> str:
    """Write an interval that lies on one side of zero without its sign."""
    if interval.value < 0:
        interval = Interval(-interval.value, -interval.high, -interval.low)
    return between(interval, "%")


def _turns_sentence(reading: SessionReading, *, named: bool) -> str:
    assert isinstance(reading.rhythm, Rhythm)
    turns, start = len(reading.rhythm.turn_times_s), f"{reading.file}: " if named else ""
    return (
        f"{start}{turns} whole turns in {reading.seconds:.0f} s, which say as much of your habit as about "
        f"{reading.rhythm.freedom + 1:.0f} that do not hang together."
    )


def _rows(reading: SessionReading) -> tuple[Row, ...]:
    rows = []
    if not isinstance(reading.cadence_per_min, NotMeasured):
        rows.append(Row("cadence, a minute", interval_95(reading.cadence_per_min)))
    if isinstance(reading.rhythm, NotMeasured):
        return tuple(rows)
    rhythm = reading.rhythm
    rows += rhythm_rows(rhythm)
    rows.append(Row("drift, a minute", interval_95(rhythm.drift_percent_per_min), "%"))
    if not isinstance(rhythm.pushes_unlike_percent, NotMeasured):
        rows.append(Row("two pushes, unlike by", interval_95(rhythm.pushes_unlike_percent), "%"))
    return tuple(rows)


def _remarks(told: Treadling) -> tuple[str, ...]:
    """What could not be measured, and what stands in the way, each once."""
    named = len(told.readings) > 1
    found: list[str] = []
    for reading in told.readings:
        start = f"{reading.file}: " if named else ""
        gaps: list[object] = [reading.cadence_per_min, reading.rhythm]
        if isinstance(reading.rhythm, Rhythm):
            gaps += [reading.rhythm.within_turn_percent, reading.rhythm.slowest_at_deg]
        missing = dict.fromkeys(str(gap) for gap in gaps if isinstance(gap, NotMeasured))
        found += [f"{start}{sentence}" for sentence in (*reading.remarks, *missing)]
    return tuple(found)


def sessions_with_rhythm(readings: Sequence[SessionReading]) -> list[Session]:
    """Give the sessions that can be compared."""
    return [session_of(r.file, r.rhythm) for r in readings if isinstance(r.rhythm, Rhythm)]
