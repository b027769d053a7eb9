"""``whirlwise whirls``: which of several whirls suits a wished twist, or a wished yarn."""

from typing import Annotated

import typer

from ...calc.plying import singles_tex
from ...calc.quantity import Quantity
from ...calc.remedies import pace, remedies, wanted_ratio
from ...calc.whirls import choose_whirl
from ...calc.yarn import twist_for_multiplier_per_cm
from ..given.making import cadence_per_min
from ..given.numbers import drafting_cm_per_min, wished_twist_per_cm
from ..given.ratios import ratios_given
from ..given.yarn import twist_use, yarn_count
from ..show.units import preferred, units_typed
from ..show.whirls_words import (
    Wish,
    paces_answer,
    paces_document,
    whirls_answer,
    whirls_document,
)
from ..trouble import WrongUsageError
from .finish import finish
from .options import FIBRE, FILE_OF_RATIOS, JSON, PLIES, SLIP, UNITS, USE


def whirls(
    cadence: Annotated[
        str, typer.Option(help="Turns of the wheel a minute that you keep, such as 60 or 60+-5.")
    ],
    ratio: Annotated[
        list[str] | None,
        typer.Option(help="Drive ratio of a whirl, such as 12.5 or small=12.5; given once for each whirl."),
    ] = None,
    wheel: FILE_OF_RATIOS = None,
    drafting: Annotated[
        str | None,
        typer.Option(help="Yarn that you make in a minute, such as 150cm or 1.5m; left out, it is told."),
    ] = None,
    wish: Annotated[str | None, typer.Option(help="Twist that you wish for, such as 3/cm or 8/in.")] = None,
    yarn: Annotated[
        str | None, typer.Option(help="In place of --wish: the finished yarn, such as 1400yd/lb.")
    ] = None,
    plies: PLIES = 1,
    fibre: FIBRE = "wool",
    use: USE = "knitting",
    slip: SLIP = None,
    units: UNITS = None,
    as_json: JSON = False,
) -> None:
    """Choose the whirl that suits a wished twist or yarn, and tell what the others would cost."""
    ratios = ratios_given(ratio or [], wheel, slip)
    wished = _wish(wish, yarn, plies, fibre, use)
    per_min = cadence_per_min(cadence, "--cadence")
    shown = preferred(units, *units_typed(drafting, wish, yarn))
    if drafting is None:
        paces = [
            pace(label, each, twist_per_cm=wished.twist_per_cm, cadence_per_min=per_min)
            for label, each in ratios.items()
        ]
        finish(paces_document(wished, paces), paces_answer(wished, paces, shown), as_json=as_json)
        return
    kept: dict[str, Quantity] = {
        "twist_per_cm_wished": wished.twist_per_cm,
        "cadence_per_min": per_min,
        "drafting_cm_per_min": drafting_cm_per_min(drafting, "--drafting"),
    }
    choice = choose_whirl(ratios, **kept)
    costs = remedies(choice.ranked, **kept)
    wanted = wanted_ratio(**kept)
    finish(
        whirls_document(choice, wished, costs, wanted),
        whirls_answer(choice, wished, costs, wanted, shown),
        as_json=as_json,
    )


def _wish(wish: str | None, yarn: str | None, plies: int, fibre: str, use: str) -> Wish:
    if (wish is None) == (yarn is None):
        raise WrongUsageError("whirls expects either --wish 3/cm, or --yarn 1400yd/lb for a usual twist.")
    if wish is not None:
        return Wish(wished_twist_per_cm(wish, "--wish"))
    usual = twist_use(fibre, use)
    singles = singles_tex(yarn_count(yarn or "", "--yarn").tex, plies)
    return Wish(twist_for_multiplier_per_cm(usual.multiplier, singles), singles, plies, usual)
