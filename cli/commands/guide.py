"""``whirlwise guide``: how to take a good picture and a good clip, and which command answers what."""

from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Annotated

import typer

from .. import guide as pages
from ..show.guide_page import drawings_named, guide_page
from ..show.new_file import new_file
from ..trouble import WrongUsageError


def guide(
    name: Annotated[
        str | None,
        typer.Argument(help="photo, clip or questions; left out, the guides are listed.", show_default=False),
    ] = None,
    page: Annotated[
        Path | None,
        typer.Option(
            help="Write the guide with its drawings as one page for the browser (HTML).", show_default=False
        ),
    ] = None,
    force: Annotated[
        bool, typer.Option("--force", help="Let --page write over a file that is there.")
    ] = False,
) -> None:
    """Show how to take a picture (photo), film a clip (clip), and which command answers what (questions)."""
    folder = resources.files(pages)
    found = {file.name.removesuffix(".md"): file for file in folder.iterdir() if file.name.endswith(".md")}
    if name is None:
        if page is not None:
            raise WrongUsageError(
                f"guide --page expects the name of a guide too: {', '.join(sorted(found))}."
            )
        typer.echo("\n".join(f"whirlwise guide {each}" for each in sorted(found)))
        return
    if name not in found:
        raise WrongUsageError(f"guide got '{name}' but expects one of {', '.join(sorted(found))}.")
    text = found[name].read_text(encoding="utf-8").rstrip()
    if page is not None:
        _write(page, text, folder, force=force)
        return
    typer.echo(text)
    if drawings_named(text):
        typer.echo(f"\nThe drawings lie in {folder}")
        typer.echo(f"and all in one page: whirlwise guide {name} --page {name}.html")


def _write(page: Path, text: str, folder: Traversable, *, force: bool) -> None:
    place = new_file(page, option="--page", named="page", ending=".html", kind="HTML pages", force=force)
    place.write(guide_page(text, lambda file: folder.joinpath(file).read_text(encoding="utf-8")).encode())
    typer.echo(f"Page: {place.path}")
