"""Options that several commands share."""

from pathlib import Path
from typing import Annotated, Literal, TypeAlias

import typer

from ..show.causes import Side

JSON: TypeAlias = Annotated[
    bool, typer.Option("--json", help="Print JSON with stable keys instead of sentences.")
]
PROOF: TypeAlias = Annotated[
    Path | None,
    typer.Option(help="Write a proof picture (PNG) with what was found drawn in.", show_default=False),
]
UNITS: TypeAlias = Annotated[
    Literal["metric", "imperial"] | None,
    typer.Option(
        envvar="WHIRLWISE_UNITS",
        help="Units to show. Left out, those that you type; the environment variable keeps a preference.",
        show_default=False,
    ),
]
PLOT: TypeAlias = Annotated[
    Path | None, typer.Option(help="Write a plot of it to this file (PNG).", show_default=False)
]
FORCE_PLOT: TypeAlias = Annotated[
    bool, typer.Option("--force", help="Let --plot write over a file that is there.")
]
FILE_OF_RATIOS: TypeAlias = Annotated[
    Path | None,
    typer.Option(
        "--wheel", help="Take the ratios from this wheel's file; nothing is written.", show_default=False
    ),
]
DRAFTING: TypeAlias = Annotated[
    str | None,
    typer.Option(
        help="Yarn that you make in a minute, such as 250+-40cm or 3yd: with your cadence it tells which "
        "yarns are spun.",
        show_default=False,
    ),
]
PLIES: TypeAlias = Annotated[
    int, typer.Option(min=1, max=12, help="Plies of the finished yarn; 1 for singles.")
]
FIBRE: TypeAlias = Annotated[
    str, typer.Option(help="wool, cotton, 'long cotton' or 'short cotton', for the usual twist.")
]
USE: TypeAlias = Annotated[
    str,
    typer.Option(
        help="What the yarn is for: wool soft, knitting or weaving; cotton knitting, weft, semi-warp or warp."
    ),
]
SLIP: TypeAlias = Annotated[
    str | None,
    typer.Option(help="Slip of the band, such as 1+-1%, taken off ratios that you type.", show_default=False),
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
HEAD: TypeAlias = Annotated[
    str | None,
    typer.Option(
        help="Name of an accelerating head, such as quick: what is measured is its own wheel, and the whirl "
        "on the spindle that it turns, not the great wheel's.",
        show_default=False,
    ),
]
THROUGH: TypeAlias = Annotated[
    str | None,
    typer.Option(
        help="Name of an accelerating head through which the spindle turned: turns are those of the great "
        "wheel and of the spindle.",
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
SIDE: TypeAlias = Annotated[
    Side | None,
    typer.Option(
        help="From where the wheel was filmed: orifice (you look into it, as when you spin) or behind; it "
        "tells Z twist from S.",
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
