"""What the terminal says when the page is open."""

import io

import segno
import typer

from .serving import Opened
from .words import Words


def say_opened(opened: Opened, words: Words) -> None:
    """Print the addresses, the code to scan, and how to close the page."""
    lines = [words("serving.open", address=opened.here)]
    if opened.phone is not None:
        drawing = io.StringIO()
        segno.make(opened.phone, error="l", micro=False).terminal(drawing, compact=True, border=2)
        lines += [words("serving.phone", address=opened.phone), drawing.getvalue().rstrip("\n")]
    lines.append(words("serving.close", folder=opened.folder))
    typer.echo("\n".join(lines))
