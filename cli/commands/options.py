"""Options that several commands share."""

from pathlib import Path
from typing import Annotated, TypeAlias

import typer

JSON: TypeAlias = Annotated[
    bool, typer.Option("--json", help="Print JSON with stable keys instead of sentences.")
]
PROOF: TypeAlias = Annotated[
    Path | None,
    typer.Option(help="Write a proof picture (PNG) with what was found drawn in.", show_default=False),
]
FORCE: TypeAlias = Annotated[
    bool, typer.Option("--force", help="Let --proof write over a file that is there.")
]
