"""``whirlwise twist``: of ratio, cadence, drafting speed and twist, work out the one that is left out.

Or without a clock: of ratio, draw, treadles for the draw and twist.
"""

from typing import Annotated

import typer

from ...calc.draws import (
    drafting_of_draws_cm_per_min,
    draw_for_treadles_cm,
    ratio_for_draw,
    treadles_for_draw,
    twist_of_draw_per_cm,
)
from ...calc.quantity import Quantity
from ...calc.twist import cadence_for_twist, drafting_for_twist, ratio_for_twist, twist_per_cm
from ..given.making import cadence_per_min
from ..given.numbers import drafting_cm_per_min, plain_number, wished_twist_per_cm
from ..given.ratios import one_ratio
from ..given.yarn import short_length_cm
from ..show.twist_words import DrawPlan, TwistPlan, draw_answer, draw_document, twist_answer, twist_document
from ..show.units import preferred, units_typed
from ..trouble import WrongUsageError
from .finish import finish
from .options import FILE_OF_RATIOS, JSON, SLIP, UNITS


def twist(
    ratio: Annotated[str | None, typer.Option(help="Drive ratio, such as 12.5 or 12.5+-0.1.")] = None,
    cadence: Annotated[
        str | None, typer.Option(help="Turns of the wheel a minute, such as 60 or 60+-5.")
    ] = None,
    drafting: Annotated[
        str | None, typer.Option(help="Yarn made in a minute, such as 150cm, 1.5m or 150+-30cm.")
    ] = None,
    wish: Annotated[str | None, typer.Option(help="Twist that you wish for, such as 3/cm or 8/in.")] = None,
    draw: Annotated[
        str | None, typer.Option(help="Without a clock: length of a draw, such as 60cm or 24in.")
    ] = None,
    treadles: Annotated[
        str | None, typer.Option(help="Without a clock: turns of the wheel for a draw, such as 12.")
    ] = None,
    wheel: FILE_OF_RATIOS = None,
    whirl: Annotated[
        str | None, typer.Option(help="Name of the whirl in the wheel's file.", show_default=False)
    ] = None,
    slip: SLIP = None,
    units: UNITS = None,
    as_json: JSON = False,
) -> None:
    """Work out twist, cadence, drafting speed or ratio from the other three.

    Or without a clock: twist, treadles for a draw, length of a draw or ratio from the other three.
    """
    turns = one_ratio(ratio, wheel, whirl, slip)
    wished = wished_twist_per_cm(wish, "--wish") if wish is not None else None
    per_min = cadence_per_min(cadence, "--cadence") if cadence is not None else None
    shown = preferred(units, *units_typed(drafting, wish, draw))
    if draw is not None or treadles is not None:
        if drafting is not None:
            raise WrongUsageError(
                "--drafting goes by the clock, --draw and --treadles by counting; give one or the other."
            )
        counted = _by_counting(turns, draw, treadles, wished, per_min)
        finish(draw_document(counted), draw_answer(counted, shown), as_json=as_json)
        return
    drafted = drafting_cm_per_min(drafting, "--drafting") if drafting is not None else None
    plan = _by_the_clock(turns, per_min, drafted, wished)
    finish(twist_document(plan), twist_answer(plan, shown), as_json=as_json)


def _by_the_clock(
    ratio: Quantity | None, cadence: Quantity | None, drafted: Quantity | None, wished: Quantity | None
) -> TwistPlan:
    # Every number that is typed lies above zero, so one that is there counts as true.
    match ratio, cadence, drafted, wished:
        case ratio, cadence, drafted, None if ratio and cadence and drafted:
            return TwistPlan("twist", ratio, cadence, drafted, twist_per_cm(ratio, cadence, drafted))
        case ratio, None, drafted, wished if ratio and drafted and wished:
            return TwistPlan("cadence", ratio, cadence_for_twist(wished, ratio, drafted), drafted, wished)
        case ratio, cadence, None, wished if ratio and cadence and wished:
            return TwistPlan("drafting", ratio, cadence, drafting_for_twist(wished, ratio, cadence), wished)
        case None, cadence, drafted, wished if cadence and drafted and wished:
            return TwistPlan("ratio", ratio_for_twist(wished, cadence, drafted), cadence, drafted, wished)
    raise WrongUsageError(
        "twist expects three of --ratio, --cadence, --drafting and --wish; it works out the one left out."
    )


def _by_counting(
    ratio: Quantity | None,
    draw: str | None,
    treadles: str | None,
    wished: Quantity | None,
    cadence: Quantity | None,
) -> DrawPlan:
    draw_cm = None if draw is None else short_length_cm(draw, "--draw", example="60cm or 24in").number
    count = None if treadles is None else plain_number(treadles, "--treadles", example="12")
    match ratio, draw_cm, count, wished:
        case ratio, draw_cm, count, None if ratio and draw_cm and count:
            plan = DrawPlan("twist", ratio, draw_cm, count, twist_of_draw_per_cm(ratio, count, draw_cm))
        case ratio, draw_cm, None, wished if ratio and draw_cm and wished:
            count = treadles_for_draw(wished, ratio, draw_cm)
            plan = DrawPlan("treadles", ratio, draw_cm, count, wished)
        case ratio, None, count, wished if ratio and count and wished:
            plan = DrawPlan("draw", ratio, draw_for_treadles_cm(wished, ratio, count), count, wished)
        case None, draw_cm, count, wished if draw_cm and count and wished:
            plan = DrawPlan("ratio", ratio_for_draw(wished, count, draw_cm), draw_cm, count, wished)
        case _:
            raise WrongUsageError(
                "twist expects three of --ratio, --draw, --treadles and --wish; it works out the one left "
                "out. --cadence may be added to tell how fast that goes."
            )
    if cadence is None:
        return plan
    return plan.at(cadence, drafting_of_draws_cm_per_min(plan.draw_cm, plan.treadles, cadence))
