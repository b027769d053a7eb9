"""``whirlwise yarn``: what a yarn is in every count, and what it takes to spin it."""

from typing import Annotated

import typer

from ...calc.quantity import Quantity
from ...calc.wool import grade_named
from ...calc.yarn_facts import usual
from ...calc.yarn_plan import plan_yarn
from ..given.numbers import plain_number
from ..given.yarn import COUNT_EXPECTED, GivenCount, tex_of_wraps, twist_given, twist_use, yarn_count
from ..show.units import preferred, units_typed
from ..show.yarn_words import yarn_answer, yarn_document
from ..trouble import WrongUsageError
from .finish import finish
from .options import FIBRE, JSON, PLIES, UNITS, USE


def yarn(
    count: Annotated[
        str | None,
        typer.Argument(
            help="The finished yarn: 1400yd/lb, 300m/100g, 70tex, 8Ne, 14Nm, 12worsted, 3run or 28lea.",
            show_default=False,
        ),
    ] = None,
    wraps: Annotated[
        str | None,
        typer.Option(help="In place of its count: wraps on a ruler, such as 14/in.", show_default=False),
    ] = None,
    plies: PLIES = 1,
    fibre: FIBRE = "wool",
    use: USE = "knitting",
    twist: Annotated[
        str | None,
        typer.Option(
            help="Twist of the singles, such as 6/in; left out, what the use takes.", show_default=False
        ),
    ] = None,
    wool: Annotated[
        str | None,
        typer.Option(help="Fineness of the wool: 24 (micron), 24+-1 or a grade, 60s.", show_default=False),
    ] = None,
    units: UNITS = None,
    as_json: JSON = False,
) -> None:
    """Tell a yarn in every count, and the singles, twists and plies that make it."""
    given = _count(count, wraps)
    use_of_it = twist_use(fibre, use)
    typed_twist = None if twist is None else twist_given(twist, "--twist").number
    micron = None if wool is None else _micron(wool)
    plan = plan_yarn(given.tex, plies, use_of_it.multiplier, twist_per_cm=typed_twist, micron=micron)
    shown = preferred(units, given.unit, *units_typed(twist))
    usual_twist = use_of_it if twist is None else None
    finish(
        yarn_document(plan, usual_twist, micron),
        yarn_answer(plan, usual_twist, micron, shown),
        as_json=as_json,
    )


def _count(count: str | None, wraps: str | None) -> GivenCount:
    if count is not None and wraps is None:
        return yarn_count(count, "yarn")
    if count is None and wraps is not None:
        return tex_of_wraps(wraps, "--wraps")
    raise WrongUsageError(f"yarn expects {COUNT_EXPECTED}; or --wraps 14/in in its place.")


def _micron(text: str) -> Quantity:
    """Read a fineness in micron or as a grade, which is a range."""
    grade = grade_named(text) if text.strip().lower().endswith("s") else None
    if grade is not None:
        # The limits are told to a hundredth; half of that keeps the neighbours out.
        return usual(grade.low_micron + 0.005, grade.high_micron - 0.005)
    return plain_number(text, "--wool", example="24 (micron) or 60s")
