"""The command ``page`` by itself: it is there at once; the other commands load the picture libraries."""

from typing import Final

import typer

from .commands.page import page

app: Final = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)


@app.callback()
def whirlwise() -> None:
    """Measure a spinning wheel's ratios, sizes and speed from pictures and clips, and reckon what follows."""


app.command()(page)
