"""``whirlwise practice``: clicks to treadle by."""

from fractions import Fraction
from pathlib import Path
from typing import Annotated, Final

import typer

from ..given.numbers import plain_number
from ..show.answer import Answer, text_of
from ..show.click_track import click_track, onsets
from ..show.new_file import new_file
from ..show.rhythm_words import CARE
from ..trouble import WrongUsageError

#: Cadences that feet can keep, and lengths that fit into the memory of a small computer.
SLOWEST_PER_MIN, FASTEST_PER_MIN = 10, 200
SHORTEST_MIN, LONGEST_MIN = Fraction(1, 10), 30
HOW: Final = (
    "Begin with what is easy, five minutes at a time. The click is for the moment at which you begin to "
    "push. Film a minute of it: 'whirlwise rhythm CLIP --wished {cadence}' tells how near you came."
)


def practice(
    cadence: Annotated[
        str, typer.Option(help="Turns of the wheel a minute to treadle by, such as 60.", show_default=False)
    ],
    to: Annotated[Path, typer.Option(help="The sound file to write (WAV).", show_default=False)],
    minutes: Annotated[str, typer.Option(help="How long, such as 5.")] = "5",
    accent: Annotated[
        int, typer.Option(help="Each so many-th click is louder and deeper; 0 for none.", min=0, max=64)
    ] = 4,
    clicks: Annotated[
        int, typer.Option(help="Clicks for each turn: 1, or 2 for a wheel with two treadles.", min=1, max=2)
    ] = 1,
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
) -> None:
    """Write clicks to treadle by, at a cadence of your choice, as a sound file."""
    per_min = _within(cadence, "--cadence", "60", SLOWEST_PER_MIN, FASTEST_PER_MIN)
    seconds = 60 * _within(minutes, "--minutes", "5", SHORTEST_MIN, LONGEST_MIN)
    place = new_file(to, option="--to", named="sound file", ending=".wav", kind="WAV sound", force=force)
    begins = onsets(per_min, seconds, clicks)
    place.write(click_track(begins, seconds, accent))
    accents = f" One in {accent} is louder and deeper." if accent else ""
    typer.echo(f"Clicks: {place.path}\n")
    says = (
        f"{len(begins)} in {float(seconds / 60):g} minutes, {clicks} for each of {float(per_min):g} turns a "
        f"minute.{accents}",
        HOW.format(cadence=f"{float(per_min):g}"),
    )
    typer.echo(text_of(Answer(says=says, mind=CARE)))


def _within(text: str, option: str, example: str, low: Fraction | int, high: int) -> Fraction:
    """Read a number between two ends, exactly as it was typed."""
    number = Fraction(str(plain_number(text, option, example=example).n))
    if not low <= number <= high:
        raise WrongUsageError.of_option(
            option, text, f"a number from {float(low):g} to {high}, such as {example}"
        )
    return number
