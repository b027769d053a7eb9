"""How a measuring command ends: it prints the answer and says by its exit status whether there is one."""

import typer

from ..show.answer import Answer, text_of
from ..show.as_json import Json, as_text, holds_a_measurement
from ..show.new_file import NewFile
from ..trouble import ExitStatus


def finish(
    document: Json,
    answer: Answer,
    *,
    as_json: bool,
    proof: NewFile | None = None,
    added: str | None = None,
    plot: NewFile | None = None,
) -> None:
    """Print the document or the answer; exit status 3 where nothing was measured.

    What was ``added`` to a wheel's file stands below the answer, or among the document's remarks.
    """
    if as_json:
        remarks = [*document["remarks"], *([added] if added else [])]
        typer.echo(as_text({**document, "remarks": remarks}))
    else:
        typer.echo(text_of(answer))
    if proof and not as_json:
        typer.echo(f"\nProof picture: {proof.path}")
    if plot and not as_json:
        typer.echo(f"\nPlot: {plot.path}")
    if added and not as_json:
        typer.echo(f"\n{added}")
    if not holds_a_measurement(document):
        raise typer.Exit(ExitStatus.NOTHING_MEASURED)
