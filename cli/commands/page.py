"""``whirlwise page``: measure by looking and tapping, in the browser, on a phone too."""

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from ..page.translating.folder import Language


def page(
    phone: Annotated[
        bool,
        typer.Option("--phone", help="Let a phone in the same home network in, by a code to scan."),
    ] = False,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Only tell the address; open no browser.")
    ] = False,
    folder: Annotated[
        Path | None,
        typer.Option(
            help="Where pictures, clips and what was measured are kept; the environment variable "
            "WHIRLWISE_FOLDER tells it too. Left out, where your system keeps such things.",
            show_default=False,
        ),
    ] = None,
    words: Annotated[
        Path | None,
        typer.Option(
            help="A folder with the page's words in another language; DEVELOPERS.md tells how one is made.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Open a page in the browser on which everything works by looking and tapping; Ctrl-C closes it."""
    # Imported here because no other command needs a server.
    from ..page.opening_words import say_opened
    from ..page.serving import serve, usual_folder
    from ..page.words import words as english

    place = folder or usual_folder()
    language = _language_in(words) if words else None
    # The server passes Ctrl-C on once it has ended.
    with contextlib.suppress(KeyboardInterrupt):
        serve(place, phone=phone, browser=not no_browser, say=say_opened, language=language)
    said = language.words if language else english()
    typer.echo(said("serving.closed", folder=place))


def _language_in(folder: Path) -> "Language":
    # Imported here because in English nothing of it is needed.
    from ..page.translating.folder import language_in

    return language_in(folder)
