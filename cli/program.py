"""The commands, brought together."""

import logging
from importlib.metadata import version
from typing import Annotated

import typer

from .commands.clip import clip
from .commands.collection import collection
from .commands.export import export
from .commands.guide import guide
from .commands.hand import hand
from .commands.parts import parts
from .commands.photo import photo
from .commands.profile import profile
from .commands.sheet import sheet
from .commands.take_in import take_in
from .commands.tour import tour
from .commands.twist import twist
from .commands.undo import undo
from .commands.wheel import wheel
from .commands.whirls import whirls
from .commands.withdraw import withdraw

# What the picture library notes about a damaged file, the command says itself, in one sentence.
logging.getLogger("PIL").addHandler(logging.NullHandler())

#: Plain text: no boxes, no colours, nothing that a screen reader stumbles over.
app = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)


@app.callback(invoke_without_command=True)
def whirlwise(
    context: typer.Context,
    show_version: Annotated[bool, typer.Option("--version", help="Tell the version and stop.")] = False,
) -> None:
    """Measure a spinning wheel's drive ratio, true speed and cadence from a picture and a clip."""
    if show_version:
        typer.echo(f"whirlwise {version('whirlwise')}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


for command in (
    photo,
    profile,
    clip,
    hand,
    wheel,
    parts,
    withdraw,
    undo,
    export,
    collection,
    twist,
    whirls,
    sheet,
    tour,
    guide,
):
    app.command()(command)
# 'import' is a word of the language and can name no function.
app.command("import")(take_in)
