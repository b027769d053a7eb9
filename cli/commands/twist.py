"""``whirlwise twist``: of ratio, cadence, drafting speed and twist, work out the one that is left out."""

from typing import Annotated

import typer

from ...calc.twist import cadence_for_twist, drafting_for_twist, ratio_for_twist, twist_per_cm
from ..given.numbers import drafting_cm_per_min, plain_number, wished_twist_per_cm
from ..show.twist_words import TwistPlan, twist_answer, twist_document
from ..trouble import WrongUsageError
from .finish import finish
from .options import JSON


def twist(
    ratio: Annotated[str | None, typer.Option(help="Drive ratio, such as 12.5 or 12.5+-0.1.")] = None,
    cadence: Annotated[
        str | None, typer.Option(help="Turns of the wheel a minute, such as 60 or 60+-5.")
    ] = None,
    drafting: Annotated[
        str | None, typer.Option(help="Yarn made in a minute, such as 150cm, 1.5m or 150+-30cm.")
    ] = None,
    wish: Annotated[str | None, typer.Option(help="Twist that you wish for, such as 3/cm or 8/in.")] = None,
    as_json: JSON = False,
) -> None:
    """Work out twist, cadence, drafting speed or ratio from the other three."""
    if [ratio, cadence, drafting, wish].count(None) != 1:
        raise WrongUsageError(
            "twist expects three of --ratio, --cadence, --drafting and --wish; it works out the one left out."
        )
    plan = _plan(ratio, cadence, drafting, wish)
    finish(twist_document(plan), twist_answer(plan), as_json=as_json)


def _plan(ratio: str | None, cadence: str | None, drafting: str | None, wish: str | None) -> TwistPlan:
    turns = plain_number(ratio, "--ratio", example="12.5") if ratio is not None else None
    per_min = plain_number(cadence, "--cadence", example="60") if cadence is not None else None
    drafted = drafting_cm_per_min(drafting, "--drafting") if drafting is not None else None
    wished = wished_twist_per_cm(wish, "--wish") if wish is not None else None
    if wished is None:
        return TwistPlan("twist", turns, per_min, drafted, twist_per_cm(turns, per_min, drafted))
    if per_min is None:
        return TwistPlan("cadence", turns, cadence_for_twist(wished, turns, drafted), drafted, wished)
    if drafted is None:
        return TwistPlan("drafting", turns, per_min, drafting_for_twist(wished, turns, per_min), wished)
    return TwistPlan("ratio", ratio_for_twist(wished, per_min, drafted), per_min, drafted, wished)
