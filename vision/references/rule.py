"""A rule or a steel tape: its ticks, found and numbered, without reading a digit."""

import numpy as np

from ..find.tick_rows import find_tick_rows
from ..find.ticks import Ticks, measure_ticks
from ..measured import NotMeasured
from ..open.picture import Picture
from .found import FoundReference, ReferenceKind, ReferenceRequest, Surroundings, TicksSeen
from .rule_pattern import Division, division_of

#: Rows of a wave that are looked at more closely, the longest ones.
ROWS = 12
#: Fewer ticks, or ticks that lie further off their places (in pitches), are not believed.
LEAST_TICKS, MOST_SCATTER, LEAST_FOUND = 21, 0.12, 0.7
#: A division of a rule or steel tape is off by so much over its length (common practice, no source; the
#: European rule for material measures of length of class II, 2014/32/EU annex X, allows 0.5 mm up to 1 m).
RULE_DOUBT_MM = 0.1
#: How far a tick's place is off at the least: grain and blur.
TICK_DEVIATION_PX = 0.3

UNCLEAR = NotMeasured(
    "A row of even ticks was found, but which of them are longer does not tell whether they are millimetres "
    "or parts of an inch.",
    "Lay down a rule whose 5 and 10 mm (or 1/2, 1/4 and 1/8 in) ticks are plainly longer, near enough that "
    "every tick shows, or name two marks on it with --reference points=X1,Y1,X2,Y2,100mm.",
)
NO_TICKS = NotMeasured(
    "No rule was found: nowhere stands a long row of even ticks.",
    "Every tick must show: lay the rule flat and in good light, and step nearer or zoom in; or name two "
    "marks on it with --reference points=X1,Y1,X2,Y2,100mm.",
)


def find_rule(
    picture: Picture, surroundings: Surroundings, request: ReferenceRequest
) -> list[FoundReference | NotMeasured]:
    """Rules whose division their ticks tell, the one with most ticks first; or why there is none."""
    del surroundings, request  # The ticks alone tell where they are, however the plane may lie.
    light = np.ascontiguousarray(picture.lab[..., 0])
    rows: list[Ticks] = []
    for guess in find_tick_rows(picture.bgr)[:ROWS]:
        if any(ticks.holds(guess.middle_px) for ticks in rows):
            continue
        measured = measure_ticks(light, guess)
        if measured is not None and _even(measured):
            rows.append(measured)
    rows.sort(key=lambda ticks: -len(ticks.number))
    divided = [(ticks, division) for ticks in rows if (division := division_of(ticks)) is not None]
    if divided:
        return [_as_found(ticks, division) for ticks, division in divided]
    return [UNCLEAR if rows else NO_TICKS]


def _even(ticks: Ticks) -> bool:
    return (
        len(ticks.number) >= LEAST_TICKS
        and ticks.scatter_px < MOST_SCATTER * ticks.pitch_px
        and ticks.found_share >= LEAST_FOUND
    )


def _as_found(ticks: Ticks, division: Division) -> FoundReference:
    at_mm = (ticks.number - ticks.number[0]) * division.step_mm
    length_mm = float(at_mm[-1])
    return FoundReference(
        "rule",
        ticks.points_px[[0, -1]],
        length_mm,
        0.0,
        RULE_DOUBT_MM / length_mm,
        max(TICK_DEVIATION_PX, ticks.scatter_px),
        ticks=TicksSeen(ticks.points_px, at_mm, ticks.ends_px),
    )


RULE = ReferenceKind("rule", find_rule, needs_plane=False)
