"""``whirlwise bobbin``: how twist and pull change from the empty to the full bobbin."""

from typing import Annotated

import typer

from ...calc.bobbin import AsItPulls, Bobbin, ByTheDraw, Continuous, Manner, filling
from ...calc.drive_sizes import effects
from ...calc.quantity import Quantity
from ...calc.winding import BobbinLed, DoubleDrive, Drive
from ..given.drive import drive_given
from ..given.numbers import DISTANCE_HALF_WIDTH_MM, length_mm, plain_number
from ..given.yarn import short_length_cm
from ..show.bobbin_plot import bobbin_plot
from ..show.bobbin_words import Filled, bobbin_answer, bobbin_document
from ..show.plot_file import plot_file
from ..show.units import preferred, units_typed
from ..trouble import WrongUsageError
from .finish import finish
from .options import FILE_OF_RATIOS, FORCE_PLOT, JSON, PLOT, UNITS

#: Shares of the yarn at which the table looks, and many for the plot.
IN_TABLE = (0.0, 0.25, 0.5, 0.75, 1.0)
IN_PLOT = tuple(step / 60 for step in range(61))


def bobbin(
    empty: Annotated[str, typer.Option(help="Diameter of the bare bobbin, such as 25mm.")],
    full: Annotated[str, typer.Option(help="Diameter when it is full, such as 80mm.")],
    flyer_ratio: Annotated[
        str | None, typer.Option(help="Ratio of the flyer's whirl; alone, the wheel is flyer-led.")
    ] = None,
    bobbin_ratio: Annotated[
        str | None,
        typer.Option(help="Ratio of the bobbin's whirl; alone, bobbin-led; with the flyer's, double drive."),
    ] = None,
    rim: Annotated[
        str | None,
        typer.Option(help="In place of ratios: diameter of the wheel where the band rests, 560mm."),
    ] = None,
    flyer_groove: Annotated[
        str | None, typer.Option(help="Diameter of the flyer's groove, such as 45mm.")
    ] = None,
    bobbin_groove: Annotated[
        str | None, typer.Option(help="Diameter of the bobbin's groove, such as 35mm.")
    ] = None,
    band: Annotated[str | None, typer.Option(help="Thickness of the band, such as 2mm.")] = None,
    wheel: FILE_OF_RATIOS = None,
    drafted: Annotated[
        str | None, typer.Option(help="Yarn drafted and wound on during one turn of the wheel, such as 5cm.")
    ] = None,
    draw: Annotated[
        str | None, typer.Option(help="Or by the draw: length drawn out before it is let in, such as 60cm.")
    ] = None,
    treadles: Annotated[
        str | None, typer.Option(help="Turns of the wheel counted for each draw, such as 12.")
    ] = None,
    plot: PLOT = None,
    force: FORCE_PLOT = False,
    units: UNITS = None,
    as_json: JSON = False,
) -> None:
    """Tell how twist and pull change while the bobbin fills, and what band and slip do to them.

    Without --drafted or --draw the yarn goes in as fast as a double drive pulls it.
    """
    place = plot_file(plot, force=force)
    given = drive_given(
        flyer_ratio=flyer_ratio,
        bobbin_ratio=bobbin_ratio,
        rim=rim,
        flyer_groove=flyer_groove,
        bobbin_groove=bobbin_groove,
        band=band,
        wheel_file=wheel,
    )
    manner = _manner(given.drive, drafted, draw, treadles)
    try:
        spool = Bobbin(_diameter(empty, "--empty"), _diameter(full, "--full"))
        points = filling(given.drive, manner, spool, IN_TABLE)
        curve = filling(given.drive, manner, spool, IN_PLOT) if place else ()
        changes = effects(given.sizes, manner, spool.empty_mm) if given.sizes else ()
    except ValueError as problem:
        if isinstance(problem, WrongUsageError):
            raise
        raise WrongUsageError(f"That cannot be spun: {problem}.") from problem
    found = Filled(given.drive, manner, spool, points, changes)
    shown = preferred(units, *units_typed(drafted, draw, empty))
    if place:
        place.write(bobbin_plot(found, curve, shown))
    finish(bobbin_document(found), bobbin_answer(found, shown), as_json=as_json, plot=place)


def _manner(drive: Drive, drafted: str | None, draw: str | None, treadles: str | None) -> Manner:
    if drafted is not None and draw is None and treadles is None:
        return Continuous(short_length_cm(drafted, "--drafted", example="5cm or 2in").number)
    if drafted is None and draw is not None and treadles is not None:
        return ByTheDraw(
            short_length_cm(draw, "--draw", example="60cm or 24in").number,
            plain_number(treadles, "--treadles", example="12"),
        )
    if drafted is None and draw is None and treadles is None and isinstance(drive, DoubleDrive):
        return AsItPulls()
    led = "bobbin-led" if isinstance(drive, BobbinLed) else "flyer-led"
    alone = "" if isinstance(drive, DoubleDrive) else f" A {led} wheel does not set the twist by itself."
    raise WrongUsageError(f"bobbin expects either --drafted 5cm, or --draw 60cm with --treadles 12.{alone}")


def _diameter(text: str, option: str) -> Quantity:
    return length_mm(text, option, half_width_mm=DISTANCE_HALF_WIDTH_MM, example="25mm")
