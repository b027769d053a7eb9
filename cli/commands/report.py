"""``whirlwise report``: all that is known of one wheel, as one page to read, print and keep."""

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from ..given.making import cadence_per_min, ratio_range
from ..given.numbers import drafting_cm_per_min
from ..given.yarn import twist_use
from ..keep.known_wheel import known_of
from ..keep.store import read_wheel
from ..keep.telling import tell
from ..show.new_file import new_file
from ..show.report import ReportAsked, wheel_report
from ..show.report_page import report_page
from ..show.report_pictures import report_picture
from ..show.units import preferred, units_typed
from ..show.wheel_words import NO_READING
from ..trouble import ExitStatus
from .making_options import WISHED_RATIOS
from .options import DRAFTING, FIBRE, UNITS, USE


def report(
    file: Annotated[Path, typer.Argument(help="The wheel's file.", show_default=False)],
    to: Annotated[Path, typer.Option(help="The page to write, such as wheel.html.", show_default=False)],
    name: Annotated[
        str | None, typer.Option(help="What the wheel is called; left out, as its file.", show_default=False)
    ] = None,
    picture: Annotated[
        list[str] | None,
        typer.Option(
            help="A picture to show, such as a proof picture: seen.png, or 'From the left=seen.png' with "
            "words to stand below it. A smaller copy goes into the page, without the camera's notes. May be "
            "given more than once.",
            show_default=False,
        ),
    ] = None,
    cadence: Annotated[
        str | None,
        typer.Option(
            help="Turns of the wheel a minute, such as 65 or 65+-3; left out, that of the last session kept.",
            show_default=False,
        ),
    ] = None,
    drafting: DRAFTING = None,
    wish: WISHED_RATIOS = None,
    fibre: FIBRE = "wool",
    use: USE = "knitting",
    units: UNITS = None,
    force: Annotated[bool, typer.Option("--force", help="Let --to write over a page that is there.")] = False,
) -> None:
    """Write a page about one wheel: ratios, sizes, bands, yarns, readings, pictures, the next whirl."""
    place = new_file(to, option="--to", named="report", ending=".html", kind="HTML pages", force=force)
    kept = read_wheel(file)
    told = tell(file.name, kept)
    if not (kept.readings or kept.sessions):
        typer.echo(NO_READING)
        raise typer.Exit(ExitStatus.NOTHING_MEASURED)
    made = wheel_report(
        told,
        known_of(file.stem, kept, told),
        ReportAsked(
            name=" ".join(name.split()) if name else file.stem,
            day=date.today().isoformat(),
            use=twist_use(fibre, use),
            units=preferred(units, *units_typed(drafting)),
            cadence_per_min=cadence_per_min(cadence, "--cadence") if cadence else None,
            drafting_cm_per_min=drafting_cm_per_min(drafting, "--drafting") if drafting else None,
            wish=ratio_range(wish, "--wish") if wish else None,
            pictures=[report_picture(each, told) for each in picture or []],
        ),
    )
    place.write(report_page(made).encode())
    typer.echo("\n".join([f"Report: {to}", *made.hints]))
