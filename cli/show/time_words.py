"""Hours for a project, in plain words and as JSON."""

from collections.abc import Sequence
from typing import Final

from uncertainties import nominal_value

from ...calc.interval import interval_95
from ...calc.output import Lever, Project, ProjectTime
from ...calc.quantity import Quantity
from .answer import Answer, between
from .as_json import Json, number
from .table import table
from .units import Units, amount, plus_minus, said

STOPS: Final = (
    "How often hooks are changed and fibre is joined, and how long that takes, is a guess that covers many "
    "hands unless you give your own: --hook-every, --hook-takes, --join-every, --join-takes."
)
PLYING_GUESSED: Final = (
    "Plying is taken to go at the same cadence and whirl with 60 to 70 % of the singles' twist; give "
    "--plying to tell your own pace."
)
NOT_IN_IT: Final = "Carding, winding skeins and washing are not in it."
LEVER: Final = (
    "What helps most is told by making each thing better by one percent, one at a time; ten percent save "
    "about ten times as much."
)
REST: Final = "Stop before hands, back or knees hurt; the yarn can wait."


def time_document(project: Project, time: ProjectTime, levers: Sequence[Lever]) -> Json:
    """Give the hours under stable keys."""
    return {
        "plies": project.plies,
        "length_m": number(project.length_m),
        "singles_m": number(time.singles_m),
        "hours": {
            "spinning": number(time.spinning_h),
            "spinning_stops": number(time.spinning_stops_h),
            "plying": number(time.plying_h),
            "plying_stops": number(time.plying_stops_h),
            "rest": number(time.rest_h),
            "total": number(time.total_h),
        },
        "singles_m_per_hour": number(time.singles_m_per_h),
        "finished_m_per_hour": number(time.finished_m_per_h),
        "levers": [{"what": lever.name, "saved_hours": number(lever.saved_h)} for lever in levers],
        "remarks": [STOPS, NOT_IN_IT],
    }


def time_answer(
    project: Project, time: ProjectTime, levers: Sequence[Lever], units: Units, *, told: bool
) -> Answer:
    """Put the hours into words; ``told`` says whether the pace of plying was."""
    length, unit = amount(project.length_m, "yarn", units)
    ply = "singles" if project.plies == 1 else f"{project.plies}-ply"
    best = levers[0]
    saved = float(nominal_value(best.saved_h))
    return Answer(
        says=(
            f"{length.value:.0f} {unit} of {ply} take {between(interval_95(time.total_h), 'hours')}.",
            _pace_sentence(project, time, units),
            f"Most would help: {best.name}. One percent of it saves {_span(saved)}.",
        ),
        tables=(_hours_table(project, time), _lever_table(levers)),
        trust=(LEVER, NOT_IN_IT, *(() if told or project.plies == 1 else (PLYING_GUESSED,))),
        better=(STOPS,),
        mind=(REST,),
    )


def _pace_sentence(project: Project, time: ProjectTime, units: Units) -> str:
    finished = f"That is {said(time.finished_m_per_h, 'pace', units)} of finished yarn for each hour of work"
    if project.plies == 1:
        return f"{finished}."
    return f"{finished}, and {said(time.singles_m_per_h, 'pace', units)} of singles while spinning."


def _hours_table(project: Project, time: ProjectTime) -> str:
    parts: list[tuple[str, Quantity]] = [
        ("spinning the singles", time.spinning_h),
        ("hooks and joins meanwhile", time.spinning_stops_h),
    ]
    if project.plies > 1:
        parts += [("plying", time.plying_h), ("hooks meanwhile", time.plying_stops_h)]
    if interval_95(time.rest_h).high > 0:
        parts.append(("rest", time.rest_h))
    parts.append(("together", time.total_h))
    whole = float(nominal_value(time.total_h))
    rows = [
        [name, plus_minus(interval_95(hours)), f"{100 * float(nominal_value(hours)) / whole:.0f} %"]
        for name, hours in parts
    ]
    return table(["what takes time", "hours", "share"], rows)


def _lever_table(levers: Sequence[Lever]) -> str:
    rows = [[lever.name, _span(float(nominal_value(lever.saved_h)))] for lever in levers]
    return table(["one percent of", "saves"], rows)


def _span(hours: float) -> str:
    """A short time as people say it."""
    minutes = 60 * hours
    return f"{minutes:.0f} min" if minutes >= 2 else f"{60 * minutes:.0f} s"
