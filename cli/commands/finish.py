"""How a measuring command ends: it prints the answer and says by its exit status whether there is one."""

import typer

from ..show.answer import Answer, text_of
from ..show.as_json import Json, as_text, holds_a_measurement
from ..show.new_file import NewFile
from ..trouble import ExitStatus


def finish(document: Json, answer: Answer, *, as_json: bool, proof: NewFile | None = None) -> None:
    """Print the document or the answer; exit status 3 where nothing was measured."""
    typer.echo(as_text(document) if as_json else text_of(answer))
    if proof and not as_json:
        typer.echo(f"\nProof picture: {proof.path}")
    if not holds_a_measurement(document):
        raise typer.Exit(ExitStatus.NOTHING_MEASURED)
