"""What follows from a wheel's ratios, a cadence and a drafting speed, for a screen that asks often."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Final

from uncertainties import nominal_value

from ....calc.ladder import CadenceRange, ladder_of
from ....calc.output import Project, Stop, levers, project_time
from ....calc.plying import balanced_ply_twist, singles_tex
from ....calc.quantity import Quantity
from ....calc.remedies import remedies, wanted_ratio
from ....calc.whirls import choose_whirl
from ....calc.yarn import twist_for_multiplier_per_cm
from ....calc.yarn_facts import TwistUse
from ...given.numbers import drafting_cm_per_min, plain_number
from ...given.ratios import ratios_given
from ...given.yarn import seconds, twist_use, yarn_count, yarn_length_m
from ...show.answer import Answer
from ...show.ladder_words import LadderTold, ladder_answer
from ...show.report_contents import Section
from ...show.report_ratios import ladder_drawing
from ...show.report_yarn import yarn_map, yarn_section
from ...show.time_words import time_answer
from ...show.units import Units, amount, count_amount, few_digits
from ...show.whirls_words import Wish, whirls_answer
from ...trouble import WrongUsageError
from ..plain import plain
from ..words import words
from ..worker import Json, Tell
from .contents import answer_told, section_told
from .named import in_the_persons_words

#: How often hooks are changed and fibre is joined, and how long that takes (common practice, no source).
HOOKS: Final = Stop("changing hooks", yarn_length_m("6+-4m", "").number, seconds("6+-4s", ""))
JOINS: Final = Stop("joining", yarn_length_m("12+-8m", "").number, seconds("10+-6s", ""))
#: More plies than any yarn has that is spun by hand.
MOST_PLIES: Final = 12
#: A comma right between two figures, as many write a decimal point; and a point, as others do.
COMMA: Final = re.compile(r"(\d+),(\d+)")
POINT: Final = re.compile(r"\d\.\d")
#: Units in which a length of yarn in a minute, a count and a length are typed.
TYPED_IN: Final[Mapping[Units, tuple[str, str, str]]] = {
    "metric": ("cm", "m/100g", "m"),
    "imperial": ("in", "yd/lb", "yd"),
}


@dataclass(frozen=True, slots=True)
class Asked:
    """What stands in the fields, read."""

    ratios: dict[str, Quantity]
    cadence_per_min: Quantity
    drafting_cm_per_min: Quantity
    tex: Quantity
    length_m: Quantity
    plies: int
    use: TwistUse
    units: Units

    @property
    def kept(self) -> dict[str, Quantity]:
        """What the choice of a whirl goes by."""
        return {
            "twist_per_cm_wished": self.wish.twist_per_cm,
            "cadence_per_min": self.cadence_per_min,
            "drafting_cm_per_min": self.drafting_cm_per_min,
        }

    @property
    def wish(self) -> Wish:
        """The twist that is usual for the singles of the yarn wished for."""
        tex = singles_tex(self.tex, self.plies)
        return Wish(twist_for_multiplier_per_cm(self.use.multiplier, tex), tex, self.plies, self.use)


def run(order: Json, tell: Tell) -> Json:
    """Reckon with what stands in the fields of ``given``, in ``units``; ``wheels[0]`` may tell the ratios.

    Unless ``drawn``, it is done without the drawings, which take longer than all else.
    """
    asked = _asked(order)
    part = partial(_part, asked=asked, drawn=bool(order.get("drawn", True)))
    whirl, hours = part(words()("reckon.whirl"), _whirl), part(words()("reckon.hours"), _hours)
    return {
        "sections": [
            part(words()("reckon.ladder"), _ladder),
            part(words()("reckon.map"), _map),
            whirl,
            hours,
        ],
        # What a phone shows beside the sliders: which whirl, and how long it takes.
        "brief": [_which(whirl["sentences"]), hours["sentences"][0]],
        "fields": {units: _fields(asked, units) for units in TYPED_IN},
    }


def _which(said: Sequence[str]) -> str:
    """Which whirl to take; what yarn it is for is said before, and what else would do after it."""
    return said[min(1, len(said) - 1)].partition(". ")[0].rstrip(".") + "."


def _asked(order: Json) -> Asked:
    given = {name: str(value).strip() for name, value in order.get("given", {}).items()}
    units: Units = "imperial" if order.get("units") == "imperial" else "metric"
    per_minute, count, length = TYPED_IN[units]
    fibre, _, use = (given.get("use") or "wool knitting").partition(" ")
    wheels = order.get("wheels") or []
    with in_the_persons_words(*wheels):
        typed = [] if wheels else _parted(given.get("ratios", ""))
        return Asked(
            ratios=ratios_given(typed, Path(wheels[0]["file"]) if wheels else None),
            cadence_per_min=plain_number(given.get("cadence", ""), "--cadence", example="60"),
            drafting_cm_per_min=drafting_cm_per_min(_in(per_minute, given.get("drafting", "")), "--drafting"),
            tex=yarn_count(_in(count, given.get("yarn", "")), "--yarn").tex,
            length_m=yarn_length_m(_in(length, given.get("length", "")), "--length").wished,
            plies=_plies(given.get("plies", "")),
            use=twist_use(fibre, use),
            units=units,
        )


def _parted(ratios: str) -> list[str]:
    """Part ratios that are typed in one row.

    Raises
    ------
    WrongUsageError
        If a comma may stand for a decimal point as well as between two ratios.
    """
    unclear = COMMA.search(ratios)
    if unclear and not POINT.search(ratios):
        whole, part = unclear.groups()
        raise WrongUsageError(words()("reckon.unclear_comma", whole=whole, part=part))
    return [each for each in ratios.replace(";", ",").split(",") if each.strip()]


def _plies(typed: str) -> int:
    if not (typed.isascii() and typed.isdecimal() and 1 <= int(typed) <= MOST_PLIES):
        raise WrongUsageError(words()("reckon.plies_whole", most=MOST_PLIES))
    return int(typed)


def _in(unit: str, typed: str) -> str:
    """Give a number its unit; what is no number stays as it was typed, so that it is told so."""
    return f"{typed}{unit}" if typed and (typed[-1].isdigit() or typed[-1] == ".") else typed


def _part(heading: str, part: Callable[[str, Asked, bool], Json], asked: Asked, drawn: bool) -> Json:
    """Give a part, or why it cannot be reckoned; the others stand all the same."""
    try:
        return part(heading, asked, drawn)
    except ValueError as problem:
        trouble = plain(str(problem))
        if not isinstance(problem, WrongUsageError):
            trouble = words()("reckon.cannot", why=trouble)
        return section_told(Section(heading, (trouble,)))


def _ladder(heading: str, asked: Asked, drawn: bool) -> Json:
    ladder = ladder_of(asked.ratios)
    cadence = float(nominal_value(asked.cadence_per_min))
    told = answer_told(heading, ladder_answer(LadderTold(ladder, CadenceRange(cadence, cadence))))
    if not drawn:
        return told
    return {**told, "drawing": section_told(Section("", drawing=ladder_drawing(ladder)))["drawing"]}


def _map(heading: str, asked: Asked, drawn: bool) -> Json:
    found = yarn_map(asked.ratios, asked.cadence_per_min, asked.drafting_cm_per_min, asked.use)
    return {**section_told(yarn_section(found, asked.units, drawn=drawn)), "heading": heading}


def _whirl(heading: str, asked: Asked, _: bool) -> Json:
    choice = choose_whirl(asked.ratios, **asked.kept)
    costs = remedies(choice.ranked, **asked.kept)
    answer = whirls_answer(choice, asked.wish, costs, wanted_ratio(**asked.kept), asked.units)
    return answer_told(heading, answer)


def _hours(heading: str, asked: Asked, _: bool) -> Json:
    drafted_m = asked.drafting_cm_per_min / 100
    project = Project(
        length_m=asked.length_m,
        plies=asked.plies,
        drafting_m_per_min=drafted_m,
        # With the same whirl and cadence, less twist lets the yarn run through faster by as much.
        plying_m_per_min=drafted_m / balanced_ply_twist(1.0),
        spinning_stops=(HOOKS, JOINS),
        plying_stops=(HOOKS,),
    )
    answer: Answer = time_answer(project, project_time(project), levers(project), asked.units, told=False)
    return answer_told(heading, answer)


def _fields(asked: Asked, units: Units) -> Json:
    """What was typed, in either units, so that a change of units changes nothing that is meant."""
    drafted = amount(asked.drafting_cm_per_min, "speed", units)[0].value
    long = amount(asked.length_m, "yarn", units)[0].value
    count = count_amount(asked.tex, units)[0].value
    return {"drafting": _typed(drafted), "length": _typed(long), "yarn": _typed(count)}


def _typed(number: float) -> str:
    """A number as a person would type it: zeros behind the point tell nothing."""
    digits = few_digits(number, 4)
    return digits.rstrip("0").rstrip(".") if "." in digits else digits
