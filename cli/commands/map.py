"""``whirlwise map``: which yarns a wheel spins at one cadence."""

from typing import Annotated

import typer

from ...calc.spinnable import spinnable
from ..given.making import cadence_per_min
from ..given.numbers import drafting_cm_per_min
from ..given.ratios import ratios_given
from ..given.yarn import twist_use
from ..show.map_plot import map_plot
from ..show.map_words import YarnMap, map_answer, map_document
from ..show.plot_file import plot_file
from ..show.units import preferred, units_typed
from ..trouble import WrongUsageError
from .finish import finish
from .options import FIBRE, FILE_OF_RATIOS, FORCE_PLOT, JSON, PLOT, SLIP, UNITS, USE


def map_(
    cadence: Annotated[str, typer.Option(help="Turns of the wheel a minute, such as 65 or 65+-3.")],
    drafting: Annotated[str, typer.Option(help="Yarn that you make in a minute, such as 250+-40cm or 3yd.")],
    ratio: Annotated[
        list[str] | None,
        typer.Option(help="Drive ratio of a whirl, such as 12.5 or small=12.5; given once for each whirl."),
    ] = None,
    wheel: FILE_OF_RATIOS = None,
    fibre: FIBRE = "wool",
    use: USE = "knitting",
    plot: PLOT = None,
    force: FORCE_PLOT = False,
    slip: SLIP = None,
    units: UNITS = None,
    as_json: JSON = False,
) -> None:
    """Tell which singles each whirl spins at your cadence and drafting speed, and draw the map of them."""
    place = plot_file(plot, force=force)
    usual = twist_use(fibre, use)
    per_min, drafted = (
        cadence_per_min(cadence, "--cadence"),
        drafting_cm_per_min(drafting, "--drafting"),
    )
    try:
        whirls = spinnable(
            ratios_given(ratio or [], wheel, slip),
            cadence_per_min=per_min,
            drafting_cm_per_min=drafted,
            multiplier=usual.multiplier,
        )
    except ValueError as problem:
        if isinstance(problem, WrongUsageError):
            raise
        raise WrongUsageError(
            f"That makes no map: {problem}; measure cadence and drafting better."
        ) from problem
    found = YarnMap(per_min, drafted, usual, whirls)
    shown = preferred(units, *units_typed(drafting))
    if place:
        place.write(map_plot(found, shown))
    finish(map_document(found), map_answer(found, shown), as_json=as_json, plot=place)
