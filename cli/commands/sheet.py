"""``whirlwise sheet``: our reference sheet for a printer, in true size."""

from pathlib import Path
from typing import Annotated, Final

import typer

from ...vision.references.sheet_layout import SHEETS
from ..show.new_file import new_file
from ..trouble import WrongUsageError

LAYOUTS: Final = {layout.paper: layout for layout in SHEETS}
PRINT_IT: Final = (
    "Print it at 100 % (actual size), without fitting it to the page. Then lay a bank card into the\n"
    "frame, or measure the line: 200 mm from tick to tick. If yours is 199.5 mm, say\n"
    "--reference sheet=199.5mm. Take the sheet off before the wheel turns."
)


def sheet(
    file: Annotated[
        Path | None,
        typer.Argument(
            help="The page to write; reference-sheet-a4.pdf (or -letter) if left out.", show_default=False
        ),
    ] = None,
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
) -> None:
    """Write a page to print: a large reference for pictures, in true size, with a way to check it."""
    if paper.lower() not in LAYOUTS:
        raise WrongUsageError.of_option("--paper", paper, "a4 or letter")
    layout = LAYOUTS[paper.lower()]
    place = new_file(
        file or Path(f"reference-sheet-{layout.paper}.pdf"),
        option="sheet",
        named="reference sheet",
        ending=".pdf",
        kind="PDF pages",
        force=force,
    )
    # Imported here because the plotting library takes longer to load than all else together.
    from ..show.sheet_pdf import sheet_pdf

    place.write(sheet_pdf(layout))
    typer.echo(f"Reference sheet: {place.path}\n\n{PRINT_IT}")
