"""All that is known of one wheel, put together as a report."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from ...calc.comparing import Stretch
from ...calc.quantity import Quantity
from ...calc.yarn_facts import TwistUse
from ..keep.known_ratios import ratios_of, twisting
from ..keep.known_wheel import KnownWheel
from ..keep.telling import ToldWheel
from ..keep.told_session import session_of_kept
from .lengths import Lengths
from .report_bands import band_section
from .report_contents import Report, ReportPicture, Section
from .report_ratios import ladder_of_wheel, lead_sentences, next_section, ratio_section
from .report_readings import caution_section, reading_section, session_section
from .report_yarn import yarn_map, yarn_section
from .units import Units

NO_CADENCE: Final = (
    "What the wheel spins at your cadence is left out: give --cadence 65, or keep a session with 'whirlwise "
    "rhythm CLIP --add-to {file}'."
)
NO_DRAFTING: Final = (
    "Which yarns the wheel spins is left out: give --drafting 250cm, the yarn that you make in a minute."
)
NO_MAP: Final = "Which yarns the wheel spins is left out: {problem}."


@dataclass(frozen=True, slots=True)
class ReportAsked:
    """What a person wants to see of a wheel beside what its file knows.

    Attributes
    ----------
    name : str
        What the wheel is called.
    day : str
        The day on which the report is made.
    use : TwistUse
    units : Units
    cadence_per_min, drafting_cm_per_min : Quantity or None
        A cadence that is left out is that of the last session in the file.
    wish : (float, float) or None
        Range of ratios that is wished for.
    pictures : sequence of ReportPicture
    """

    name: str
    day: str
    use: TwistUse
    units: Units
    cadence_per_min: Quantity | None = None
    drafting_cm_per_min: Quantity | None = None
    wish: Stretch | None = None
    pictures: Sequence[ReportPicture] = ()


def wheel_report(told: ToldWheel, known: KnownWheel, asked: ReportAsked) -> Report:
    """Put a report together from what a wheel's file tells."""
    ladder, shown = ladder_of_wheel(known), Lengths("in" if asked.units == "imperial" else "mm")
    cadence = asked.cadence_per_min or _cadence_kept(told)
    yarn, hints = _yarn(told, cadence, asked)
    sections = (
        ratio_section(told, ladder, cadence, shown),
        *(Section("Pictures", pictures=tuple(asked.pictures)) for _ in asked.pictures[:1]),
        band_section(told, known, shown),
        next_section(known, ladder, asked.wish, shown),
        *yarn,
        reading_section(told, shown),
        *(session_section(told) for _ in told.sessions[:1]),
        caution_section(told),
    )
    origin = f"Made by Whirlwise on {asked.day} from the file {told.file}."
    title = f"{asked.name}: report of a spinning wheel"
    return Report(asked.name, lead_sentences(told), sections, origin, hints, title)


def _cadence_kept(told: ToldWheel) -> Quantity | None:
    """The cadence of the last session that tells one."""
    ordered = sorted(told.sessions, key=lambda kept: kept.taken, reverse=True)
    sessions = (session_of_kept(kept) for kept in ordered)
    return next((60 / session.usual_turn_s for session in sessions if session is not None), None)


def _yarn(
    told: ToldWheel, cadence: Quantity | None, asked: ReportAsked
) -> tuple[tuple[Section, ...], tuple[str, ...]]:
    """The section on yarn, or why there is none."""
    ratios = twisting(ratios_of(told), told)
    if not ratios:
        return (), ()
    if cadence is None:
        return (), (NO_CADENCE.format(file=told.file),)
    if asked.drafting_cm_per_min is None:
        return (), (NO_DRAFTING,)
    try:
        found = yarn_map(ratios, cadence, asked.drafting_cm_per_min, asked.use)
    except ValueError as problem:
        return (), (NO_MAP.format(problem=problem),)
    return (yarn_section(found, asked.units),), ()
