"""A report's sections on where the numbers come from: readings, how they agree, sittings, and cautions."""

from typing import Final

from ...calc.interval import interval_95
from ...calc.rhythm import changes, spread_interval_95
from ..keep.entries import KeptReading, KeptSession
from ..keep.telling import ToldWheel
from ..keep.told_session import session_of_kept
from .dimensions import amount_of, name_of
from .lengths import Lengths
from .photo_words import BEFORE_TREADLING, PHOTO_AND_SLIP
from .quarrels import quarrels
from .ratio_table import MM
from .report_contents import ReportTable, Section
from .rhythm_words import CARE, change_sentence
from .rounding import texts
from .wheel_words import agreement, gaps, name_sentences

INTERVALS: Final = (
    "Every number comes with the interval in which it lies with 95 % certainty; where nothing was measured, "
    "nothing is said."
)
ONE_READING: Final = "There is one reading only, so nothing can be held against it."
STILL: Final = "Change hooks, bobbins and bands only while the wheel stands still."
LOCAL: Final = "Where a teacher, a workshop or local rules say otherwise, follow them."


def reading_section(told: ToldWheel, shown: Lengths = MM) -> Section:
    """List all readings with their origin, say how well they agree, and name what contradicts what."""
    rows = tuple(
        (kept.id, f"{kept.title}, {kept.taken[:10]} ({kept.taken_from})", _numbers(kept, shown))
        for kept in told.used
    )
    headings = ("reading", "from", "what it tells by itself, with 95 % certainty")
    alone = (ONE_READING,) if len(told.used) == 1 else ()
    return Section(
        "Readings",
        (*agreement(told), *alone),
        tables=(ReportTable("What was measured, and from what", headings, rows, words=(1, 2)),)
        if rows
        else (),
        points=(*quarrels(told, shown), *name_sentences(told)),
    )


def _numbers(kept: KeptReading, shown: Lengths) -> str:
    """What one reading tells, each number with its interval."""
    said = []
    for dimension in kept.reading.values:
        interval, unit = amount_of(dimension, kept.reading.interval_95(dimension), shown)
        value, low, high = texts(interval)
        said.append(f"{name_of(dimension)} {f'{value} {unit}'.rstrip()} ({low} to {high})")
    return "; ".join(said)


def session_section(told: ToldWheel) -> Section:
    """List the sittings at the wheel, and whether a later one was calmer."""
    ordered = sorted(told.sessions, key=lambda kept: kept.taken)
    found = [session for kept in ordered if (session := session_of_kept(kept)) is not None]
    headings = ("session", "file", "date", "turns", "turns a minute", "spread from turn to turn, %")
    return Section(
        "Treadling",
        tuple(map(change_sentence, changes(found))) if len(found) > 1 else (),
        tables=(
            ReportTable("Sittings at the wheel", headings, tuple(map(_session_row, ordered)), words=(1, 2)),
        ),
        points=CARE,
    )


def _session_row(kept: KeptSession) -> tuple[str, ...]:
    start = (kept.id, kept.file, kept.taken[:10])
    session = session_of_kept(kept)
    if session is None:
        return (*start, "", "not measured", "not measured")
    value, low, high = texts(spread_interval_95(session))
    cadence, slowest, fastest = texts(interval_95(60 / session.usual_turn_s))
    return (
        *start,
        str(len(session.turn_times_s)),
        f"{cadence} ({slowest} to {fastest})",
        f"{value} ({low} to {high})",
    )


def caution_section(told: ToldWheel) -> Section:
    """Tell what is not known, how the numbers are meant, and what to mind."""
    return Section(
        "Remarks and cautions",
        points=(INTERVALS, *gaps(told), PHOTO_AND_SLIP, *BEFORE_TREADLING, STILL, LOCAL),
    )
