"""``whirlwise compare``: several wheels side by side, and which suits the ratios wished for."""

from pathlib import Path
from typing import Annotated

import typer

from ...calc.comparing import Stretch, WheelCompared, compared
from ...calc.comparing_yarns import Hands, yarn_wish, yarns_compared
from ...calc.ladder import CadenceRange
from ...calc.quantity import Quantity
from ..given.making import cadence_range, ratio_range, wheel_typed
from ..given.numbers import drafting_cm_per_min
from ..given.yarn import twist_use, yarn_count
from ..keep.known_wheel import known_wheel
from ..show.compare_words import ComparisonTold, compare_answer, compare_document
from ..show.compare_yarn_words import YarnsTold
from ..show.plot_file import plot_file
from ..show.units import preferred, units_typed
from ..trouble import WrongUsageError
from .finish import finish
from .making_options import WISHED_RATIOS
from .options import DRAFTING, FIBRE, FORCE_PLOT, JSON, PLOT, UNITS, USE

#: A cadence that many keep, and what they change it by in comfort (common practice, no source).
USUAL_CADENCE = "54-66"


def compare(
    files: Annotated[
        list[Path] | None, typer.Argument(help="Wheels' files, made with --add-to.", show_default=False)
    ] = None,
    also: Annotated[
        list[str] | None,
        typer.Option(
            help="A wheel without a file, such as maple=6,9,12.5: its name and its ratios. May be given more "
            "than once.",
            show_default=False,
        ),
    ] = None,
    cadence: Annotated[
        str,
        typer.Option(help="Turns of the wheel a minute that you keep in comfort, such as 55-70 or 62+-8."),
    ] = USUAL_CADENCE,
    wish: WISHED_RATIOS = None,
    drafting: DRAFTING = None,
    yarn: Annotated[
        list[str] | None,
        typer.Option(
            help="Singles that you wish to spin so, such as 5000yd/lb. May be given more than once.",
            show_default=False,
        ),
    ] = None,
    fibre: FIBRE = "wool",
    use: USE = "knitting",
    units: UNITS = None,
    plot: PLOT = None,
    force: FORCE_PLOT = False,
    as_json: JSON = False,
) -> None:
    """Set wheels side by side: their ratios and yarns, what they lack, which whirl would close the gap."""
    place = plot_file(plot, force=force)
    wheels = _wheels(files or [], also or [])
    feet = cadence_range(cadence, "--cadence")
    wished = ratio_range(wish, "--wish") if wish else None
    yarns = _yarns(wheels, feet, drafting, yarn or [], fibre, use)
    shown = preferred(units, *units_typed(drafting, *(yarn or [])))
    told = ComparisonTold(compared(wheels, cadence=feet, wish=wished), feet, wished, yarns, shown)
    if place:
        place.write(_plot(told.wheels, wished))
    finish(compare_document(told), compare_answer(told), as_json=as_json, plot=place)


def _wheels(files: list[Path], also: list[str]) -> dict[str, dict[str, Quantity]]:
    wheels: dict[str, dict[str, Quantity]] = {}
    known = [known_wheel(path) for path in files]
    for name, ratios in [
        *((each.name, each.ratios) for each in known),
        *(wheel_typed(t, "--also") for t in also),
    ]:
        if name in wheels:
            raise WrongUsageError(f"compare got two wheels named {name}; give each a name of its own.")
        if not ratios:
            raise WrongUsageError(
                f"compare got {name}, of which no ratio is known; add a picture with its band on first."
            )
        wheels[name] = ratios
    if not wheels:
        raise WrongUsageError("compare expects wheels' files, or wheels typed as --also maple=6,9,12.5.")
    return wheels


def _yarns(
    wheels: dict[str, dict[str, Quantity]],
    feet: CadenceRange,
    drafting: str | None,
    wished: list[str],
    fibre: str,
    use: str,
) -> YarnsTold | None:
    usual = twist_use(fibre, use)
    if drafting is None:
        if wished:
            raise WrongUsageError(
                "--yarn asks which wheel spins it, which hangs on how fast you draft: give --drafting 250cm."
            )
        return None
    hands = Hands(feet, drafting_cm_per_min(drafting, "--drafting"), usual.multiplier)
    wishes = [yarn_wish(text, yarn_count(text, "--yarn").tex, hands) for text in wished]
    return YarnsTold(yarns_compared(wheels, wishes, hands), hands, usual)


def _plot(wheels: tuple[WheelCompared, ...], wish: Stretch | None) -> bytes:
    # Imported here because the plotting library takes longer to load than all else together.
    from ..show.ladder_plot import LadderShown, ladder_plot

    return ladder_plot([LadderShown(each.name, each.ladder, each.add_ons) for each in wheels], wish)
