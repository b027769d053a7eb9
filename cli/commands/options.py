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
ADD_TO: TypeAlias = Annotated[
    Path | None,
    typer.Option(
        help="Add the reading to this wheel's file, which is made if it isn't there; 'whirlwise wheel FILE' "
        "then tells what all readings say together.",
        show_default=False,
    ),
]
LABEL: TypeAlias = Annotated[
    str | None,
    typer.Option(
        help="Name of the whirl that carries the band, such as small, for a wheel with several.",
        show_default=False,
    ),
]
WHEEL_FILE: TypeAlias = Annotated[
    Path | None,
    typer.Option(
        "--wheel",
        help="Take the drive wheel's size from this wheel's file, for a picture without reference, say; "
        "nothing is written.",
        show_default=False,
    ),
]
INSTEAD_OF: TypeAlias = Annotated[
    str | None,
    typer.Option(
        help="Id of a reading in the wheel's file, such as photo-1, that shall count no more now; "
        "'whirlwise undo' brings it back.",
        show_default=False,
    ),
]
