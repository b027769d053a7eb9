"""``whirlwise guide``: how to take a good picture and a good clip."""

from importlib import resources
from typing import Annotated

import typer

from .. import guide as pages
from ..trouble import WrongUsageError


def guide(
    name: Annotated[
        str | None, typer.Argument(help="photo or clip; left out, the guides are listed.", show_default=False)
    ] = None,
) -> None:
    """Show how to take a good picture (photo) or film a good clip (clip)."""
    found = {
        page.name.removesuffix(".md"): page
        for page in resources.files(pages).iterdir()
        if page.name.endswith(".md")
    }
    if name is None:
        typer.echo("\n".join(f"whirlwise guide {each}" for each in sorted(found)))
        return
    if name not in found:
        raise WrongUsageError(f"guide got '{name}' but expects one of {', '.join(sorted(found))}.")
    typer.echo(found[name].read_text(encoding="utf-8").rstrip())
