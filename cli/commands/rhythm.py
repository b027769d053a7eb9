"""``whirlwise rhythm``: how steadily the wheel was treadled, in one session or several."""

from pathlib import Path
from typing import Annotated

import typer

from ...calc.rhythm import against_wish, changes
from ...vision.clip import ClipSettings
from ...vision.measured import NotMeasured
from ...vision.session import SessionReading, measure_session
from ..given.numbers import plain_number
from ..given.points import point_px
from ..show.new_file import NewFile
from ..show.proof_file import proof_file
from ..show.rhythm_words import Treadling, sessions_with_rhythm, treadling_answer, treadling_document
from ..show.session import session_of
from .finish import finish
from .options import FORCE, JSON


def rhythm(
    files: Annotated[
        list[Path],
        typer.Argument(help="Clips of your treadling, the earliest session first.", show_default=False),
    ],
    wished: Annotated[
        str | None, typer.Option(help="Turns of the wheel a minute that you wish to keep, such as 60.")
    ] = None,
    captured_at: Annotated[
        str | None,
        typer.Option(
            help="Pictures a second at which slow motion was taken, such as 240, where the file is silent."
        ),
    ] = None,
    hub: Annotated[
        str | None, typer.Option(help="A click on the axle in the first picture: X,Y in pixels.")
    ] = None,
    as_json: JSON = False,
    proof: Annotated[
        Path | None,
        typer.Option(help="Write a drawing (PNG) of all sessions.", show_default=False),
    ] = None,
    force: FORCE = False,
) -> None:
    """Tell how steadily you treadle: cadence, spread, stalls, and whether you grow calmer."""
    wish = None if wished is None else float(plain_number(wished, "--wished", example="60").n)
    settings = ClipSettings(
        hub_px=None if hub is None else point_px(hub, "--hub"),
        captured_at_per_s=None
        if captured_at is None
        else float(plain_number(captured_at, "--captured-at", example="240").n),
    )
    place = _place(proof, files, force=force)
    readings = tuple(measure_session(file, settings) for file in files)
    told = _told(readings, wish)
    if place:
        # Imported here because the plotting library takes longer to load than all else together.
        from ..show.proof_rhythm import proof_of_rhythm

        place.write(proof_of_rhythm(readings, wish))
    finish(treadling_document(told), treadling_answer(told), as_json=as_json, proof=place)


def _place(proof: Path | None, files: list[Path], *, force: bool) -> NewFile | None:
    """Where the drawing goes: over none of the clips."""
    places = [proof_file(proof, source=file, force=force) for file in files]
    return places[0]


def _told(readings: tuple[SessionReading, ...], wished_per_min: float | None) -> Treadling:
    wishes = tuple(
        None
        if wished_per_min is None or isinstance(reading.rhythm, NotMeasured)
        else against_wish(session_of(reading.file, reading.rhythm), wished_per_min)
        for reading in readings
    )
    sessions = sessions_with_rhythm(readings)
    return Treadling(readings, changes(sessions) if len(sessions) > 1 else (), wishes)
