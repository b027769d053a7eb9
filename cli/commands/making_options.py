"""Options that the commands for ratios, whirls and bands share."""

from pathlib import Path
from typing import Annotated, TypeAlias

import typer

KNOWN_WHEEL: TypeAlias = Annotated[
    Path | None,
    typer.Option(
        "--wheel",
        help="Take what is known of the wheel from its file; nothing is written.",
        show_default=False,
    ),
]
WHEEL_GROOVE: TypeAlias = Annotated[
    str | None,
    typer.Option(
        help="Diameter of the drive wheel where the band rests, such as 556mm or 21.9in; without a file.",
        show_default=False,
    ),
]
FROM_WHIRL: TypeAlias = Annotated[
    str | None,
    typer.Option(
        help="Or a whirl that is there, its ratio and the diameter of its groove, such as 12.6=41.5mm: that "
        "tells the wheel's size, mostly better than a tape.",
        show_default=False,
    ),
]
BAND: TypeAlias = Annotated[
    str | None, typer.Option(help="Thickness of the band, such as 2.5mm or 0.1in.", show_default=False)
]
SHAPE: TypeAlias = Annotated[
    str,
    typer.Option(help="The whirl's groove: u (band on the bottom), v60, v90; flat bottom v60,1mm."),
]
SLIP: TypeAlias = Annotated[
    str, typer.Option(help="Share of the speed that the slipping band takes, such as 1 or 1+-1, in percent.")
]
WISHED_RATIOS: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--wish",
        help="Ratios that you wish for, from low to high, such as 6-18; whirls that are missing are chosen "
        "for them.",
        show_default=False,
    ),
]
TYPED_RATIOS: TypeAlias = Annotated[
    list[str] | None,
    typer.Option(
        "--ratio",
        help="Drive ratio of a whirl, such as 12.5 or small=12.5, or of two stages, great=12x6; given once "
        "for each whirl.",
        show_default=False,
    ),
]
