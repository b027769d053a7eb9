"""``whirlwise time``: how long a project takes, and what would save most."""

from typing import Annotated

import typer

from ...calc.output import Project, Stop, levers, project_time
from ...calc.plying import balanced_ply_twist
from ...calc.quantity import Quantity
from ...calc.twist import drafting_for_twist
from ..given.making import cadence_per_min
from ..given.numbers import drafting_cm_per_min
from ..given.ratios import one_ratio
from ..given.yarn import seconds, share, twist_given, yarn_length_m
from ..show.time_words import time_answer, time_document
from ..show.units import preferred, units_typed
from ..trouble import WrongUsageError
from .finish import finish
from .options import FILE_OF_RATIOS, JSON, PLIES, UNITS


def time(
    length: Annotated[str, typer.Option(help="Finished yarn, such as 1200yd or 1100m.")],
    plies: PLIES = 1,
    drafting: Annotated[
        str | None, typer.Option(help="Singles that you make in a minute, such as 2.5yd or 230+-30cm.")
    ] = None,
    plying: Annotated[
        str | None,
        typer.Option(help="Yarn that you ply in a minute; left out, at the wheel's pace while drafting."),
    ] = None,
    twist: Annotated[
        str | None,
        typer.Option(help="In place of --drafting, with --ratio and --cadence: twist of the singles, 6/in."),
    ] = None,
    ratio: Annotated[str | None, typer.Option(help="Drive ratio, such as 12.5.")] = None,
    cadence: Annotated[str | None, typer.Option(help="Turns of the wheel a minute, such as 65.")] = None,
    wheel: FILE_OF_RATIOS = None,
    whirl: Annotated[
        str | None, typer.Option(help="Name of the whirl in the wheel's file.", show_default=False)
    ] = None,
    hook_every: Annotated[str, typer.Option(help="Yarn between two changes of hook.")] = "6+-4m",
    hook_takes: Annotated[str, typer.Option(help="How long a change of hook takes.")] = "6+-4s",
    join_every: Annotated[str, typer.Option(help="Singles between two joins.")] = "12+-8m",
    join_takes: Annotated[str, typer.Option(help="How long a join takes.")] = "10+-6s",
    winding: Annotated[
        str, typer.Option(help="Share of the time in which yarn only runs on to the bobbin, such as 20%.")
    ] = "0%",
    rest: Annotated[
        str, typer.Option(help="Share of all the time in which you rest, such as 10+-5%.")
    ] = "0%",
    units: UNITS = None,
    as_json: JSON = False,
) -> None:
    """Tell how many hours so much yarn takes, what they go into, and what would save most."""
    finished = yarn_length_m(length, "--length")
    drafting_m, plying_m = _speeds(drafting, plying, twist, one_ratio(ratio, wheel, whirl), cadence)
    kept = 1 - share(winding, "--winding")
    hooks = Stop(
        "changing hooks",
        yarn_length_m(hook_every, "--hook-every").number,
        seconds(hook_takes, "--hook-takes"),
    )
    joins = Stop(
        "joining", yarn_length_m(join_every, "--join-every").number, seconds(join_takes, "--join-takes")
    )
    project = Project(
        length_m=finished.wished,
        plies=plies,
        drafting_m_per_min=drafting_m * kept,
        plying_m_per_min=plying_m,
        spinning_stops=(hooks, joins),
        plying_stops=(hooks,),
        rest_share=share(rest, "--rest"),
    )
    found, helps = project_time(project), levers(project)
    shown = preferred(units, *units_typed(length, drafting, twist))
    finish(
        time_document(project, found, helps),
        time_answer(project, found, helps, shown, told=plying is not None),
        as_json=as_json,
    )


def _speeds(
    drafting: str | None, plying: str | None, twist: str | None, ratio: Quantity | None, cadence: str | None
) -> tuple[Quantity, Quantity]:
    """Drafting and plying in m a minute, measured or reckoned from twist, ratio and cadence."""
    if drafting is not None and twist is None and ratio is None and cadence is None:
        singles_m = drafting_cm_per_min(drafting, "--drafting") / 100
    elif drafting is None and twist is not None and ratio is not None and cadence is not None:
        per_min = cadence_per_min(cadence, "--cadence")
        singles_m = drafting_for_twist(twist_given(twist, "--twist").wished, ratio, per_min) / 100
    else:
        raise WrongUsageError(
            "time expects either --drafting 2.5yd, or --twist, --ratio and --cadence from which it follows."
        )
    if plying is not None:
        return singles_m, drafting_cm_per_min(plying, "--plying") / 100
    # With the same whirl and cadence, less twist lets the yarn run through faster by as much.
    return singles_m, singles_m / balanced_ply_twist(1.0)
