"""The commands, brought together in the order in which a spinner comes to need them."""

import logging
from importlib.metadata import version
from typing import Annotated, Final

import typer

from .commands.band import band
from .commands.bobbin import bobbin
from .commands.clip import clip
from .commands.collection import collection
from .commands.compare import compare
from .commands.export import export
from .commands.groove import groove
from .commands.guide import guide
from .commands.hand import hand
from .commands.ladder import ladder
from .commands.live import live
from .commands.map import map_
from .commands.page import page
from .commands.parts import parts
from .commands.photo import photo
from .commands.practice import practice
from .commands.profile import profile
from .commands.report import report
from .commands.rhythm import rhythm
from .commands.sample import sample
from .commands.sheet import sheet
from .commands.slip import slip
from .commands.steps import steps
from .commands.take_in import import_
from .commands.time import time
from .commands.tour import tour
from .commands.twist import twist
from .commands.undo import undo
from .commands.wheel import wheel
from .commands.whirls import whirls
from .commands.withdraw import withdraw
from .commands.yarn import yarn
from .sections import SectionedGroup

# What the picture library notes about a damaged file, the command says itself, in one sentence.
logging.getLogger("PIL").addHandler(logging.NullHandler())

#: The commands under the headings of ``whirlwise --help``.
SECTIONS: Final = {
    "In the browser": (page,),
    "Measuring": (photo, profile, clip, slip),
    "Treadling": (rhythm, live, practice),
    "The wheel's file": (wheel, hand, parts, withdraw, undo, report, export, import_, collection),
    "Reckoning ratios, whirls and bands": (ladder, steps, groove, band, compare),
    "Reckoning yarn": (yarn, twist, whirls, sample, bobbin, map_, time),
    "Guides, and a sheet to print": (guide, tour, sheet),
}

#: Plain text: no boxes, no colours, nothing that a screen reader stumbles over.
app = typer.Typer(
    cls=SectionedGroup, add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False
)


@app.callback(invoke_without_command=True)
def whirlwise(
    context: typer.Context,
    show_version: Annotated[bool, typer.Option("--version", help="Tell the version and stop.")] = False,
) -> None:
    """Measure a spinning wheel's ratios, sizes and speed from pictures and clips, and reckon what follows."""
    if show_version:
        typer.echo(f"whirlwise {version('whirlwise')}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


for section, commands in SECTIONS.items():
    for command in commands:
        # A trailing underscore keeps a name apart from Python's own.
        app.command(command.__name__.rstrip("_"), rich_help_panel=section)(command)
