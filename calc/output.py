"""Time: hours for so much finished yarn, what takes them, and what would save most.

Every metre of yarn costs its drafting, 1 / speed, and its share of each stop: changing hooks, joining,
winding on. A spinner who rests for a share of the time needs 1 / (1 - share) as long.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from .interval import interval_95
from .plying import singles_length
from .quantity import Quantity
from .yarn_facts import PLIED_LENGTH_SHARE

#: What is tried on each of the things that take time.
IMPROVED_BY: Final = 0.01


@dataclass(frozen=True, slots=True)
class Stop:
    """Something that interrupts: every so many metres it takes so many seconds."""

    name: str
    every_m: Quantity
    takes_s: Quantity

    @property
    def s_per_m(self) -> Quantity:
        """Seconds that it adds to each metre."""
        return self.takes_s / self.every_m


@dataclass(frozen=True, slots=True)
class Project:
    """What is to be spun, and how fast it goes.

    Attributes
    ----------
    length_m : Quantity
        Finished yarn.
    plies : int
        One for singles.
    drafting_m_per_min, plying_m_per_min : Quantity
        Yarn made in a minute while nothing stops it.
    spinning_stops, plying_stops : sequence of Stop
    rest_share : Quantity
        Share of all the time in which nothing is made, 0 to 1.
    length_share : Quantity
        Length of the plied yarn over that of its singles.
    """

    length_m: Quantity
    plies: int
    drafting_m_per_min: Quantity
    plying_m_per_min: Quantity
    spinning_stops: Sequence[Stop] = ()
    plying_stops: Sequence[Stop] = ()
    rest_share: Quantity = 0.0
    length_share: Quantity = PLIED_LENGTH_SHARE


@dataclass(frozen=True, slots=True)
class ProjectTime:
    """Hours for a project.

    Attributes
    ----------
    singles_m : Quantity
        All singles together.
    spinning_h, spinning_stops_h, plying_h, plying_stops_h, rest_h, total_h : Quantity
        The first five add up to the last.
    singles_m_per_h : Quantity
        Singles made in an hour of spinning, stops and rests included.
    finished_m_per_h : Quantity
        Finished yarn for each hour of all the work.
    """

    singles_m: Quantity
    spinning_h: Quantity
    spinning_stops_h: Quantity
    plying_h: Quantity
    plying_stops_h: Quantity
    rest_h: Quantity
    total_h: Quantity
    singles_m_per_h: Quantity
    finished_m_per_h: Quantity


@dataclass(frozen=True, slots=True)
class Lever:
    """One thing made better by one percent, and the hours that this saves."""

    name: str
    saved_h: Quantity


def project_time(project: Project) -> ProjectTime:
    """Reckon the hours of a project.

    Examples
    --------
    >>> time = project_time(Project(600.0, 2, 2.0, 4.0, length_share=1.0))
    >>> time.spinning_h, time.plying_h, time.total_h
    (10.0, 2.5, 12.5)
    """
    singles_m = singles_length(project.length_m, project.plies, project.length_share)
    plied_m = project.length_m if project.plies > 1 else 0.0
    spinning_h = singles_m / project.drafting_m_per_min / 60
    spinning_stops_h = singles_m * _stops_s_per_m(project.spinning_stops) / 3600
    plying_h = plied_m / project.plying_m_per_min / 60
    plying_stops_h = plied_m * _stops_s_per_m(project.plying_stops) / 3600
    at_work_h = spinning_h + spinning_stops_h + plying_h + plying_stops_h
    total_h = at_work_h / (1 - project.rest_share)
    return ProjectTime(
        singles_m=singles_m,
        spinning_h=spinning_h,
        spinning_stops_h=spinning_stops_h,
        plying_h=plying_h,
        plying_stops_h=plying_stops_h,
        rest_h=total_h * project.rest_share,
        total_h=total_h,
        singles_m_per_h=singles_m / (spinning_h + spinning_stops_h) * (1 - project.rest_share),
        finished_m_per_h=project.length_m / total_h,
    )


def _stops_s_per_m(stops: Sequence[Stop]) -> Quantity:
    total: Quantity = 0.0
    for stop in stops:
        total = total + stop.s_per_m
    return total


def levers(project: Project) -> tuple[Lever, ...]:
    """Make each thing better by one percent, one at a time; give what saves most hours first."""
    better = {"drafting faster": replace(project, drafting_m_per_min=_more(project.drafting_m_per_min))}
    if project.plies > 1:
        better["plying faster"] = replace(project, plying_m_per_min=_more(project.plying_m_per_min))
    for place, stop in enumerate(project.spinning_stops):
        stops = _quicker(project.spinning_stops, place)
        better[f"{stop.name} in less time, spinning"] = replace(project, spinning_stops=stops)
    for place, stop in enumerate(project.plying_stops if project.plies > 1 else ()):
        stops = _quicker(project.plying_stops, place)
        better[f"{stop.name} in less time, plying"] = replace(project, plying_stops=stops)
    if interval_95(project.rest_share).high > 0:
        better["resting less"] = replace(project, rest_share=project.rest_share * (1 - IMPROVED_BY))
    now_h = project_time(project).total_h
    found = [Lever(name, now_h - project_time(each).total_h) for name, each in better.items()]
    return tuple(sorted(found, key=lambda lever: -interval_95(lever.saved_h).value))


def _more(speed: Quantity) -> Quantity:
    return speed * (1 + IMPROVED_BY)


def _quicker(stops: Sequence[Stop], place: int) -> tuple[Stop, ...]:
    """All stops, one of them a percent shorter."""
    return tuple(
        replace(stop, takes_s=stop.takes_s * (1 - IMPROVED_BY)) if at == place else stop
        for at, stop in enumerate(stops)
    )
