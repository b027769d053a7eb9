"""``whirlwise rhythm``: how steadily the wheel was treadled, in one session or several."""

from pathlib import Path
from typing import Annotated

import typer

from ...calc.rhythm import Session, against_wish, changes
from ...vision.clip import ClipSettings
from ...vision.measured import NotMeasured
from ...vision.session import SessionReading, measure_session
from ...vision.turning.rhythm import Rhythm
from ..given.numbers import plain_number
from ..given.points import point_px
from ..keep.adding import wheel_to_add_to
from ..keep.facts import sha256_of
from ..keep.store import read_wheel
from ..keep.told_session import session_of_kept, told_of
from ..show.new_file import NewFile
from ..show.progress import Progress
from ..show.proof_file import proof_file
from ..show.rhythm_words import (
    Treadling,
    session_document,
    sessions_with_rhythm,
    treadling_answer,
    treadling_document,
)
from ..show.session import session_of
from .finish import finish
from .options import FORCE, JSON


def rhythm(
    context: typer.Context,
    files: Annotated[
        list[Path],
        typer.Argument(help="Clips of your treadling, or sounds; the earliest first.", show_default=False),
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
    wheel: Annotated[
        Path | None,
        typer.Option(
            help="Compare with the session that was kept last in this wheel's file; nothing is written.",
            show_default=False,
        ),
    ] = None,
    add_to: Annotated[
        Path | None,
        typer.Option(
            help="Compare with the session kept last in this wheel's file, and add these to it.",
            show_default=False,
        ),
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
    kept = wheel_to_add_to(add_to)
    earlier = _kept_last(wheel or add_to, files, must_be=wheel is not None)
    readings = _measured(files, settings)
    told = _told(readings, wish, earlier)
    if place:
        # Imported here because the plotting library takes longer to load than all else together.
        from ..show.proof_rhythm import proof_of_rhythm

        place.write(proof_of_rhythm(readings, wish))
    added = [
        kept.add_session(file, told_of(session_document(reading)), context.params)
        for file, reading in zip(files, readings, strict=True)
        if kept and isinstance(reading.rhythm, Rhythm)
    ]
    finish(
        treadling_document(told),
        treadling_answer(told),
        as_json=as_json,
        proof=place,
        added="\n".join(added) or None,
    )


def _measured(files: list[Path], settings: ClipSettings) -> tuple[SessionReading, ...]:
    """Measure all files; of several it is shown which one it is."""
    found = []
    with Progress() as progress:
        for number, file in enumerate(files, 1):
            which = f"{number} of {len(files)}, " if len(files) > 1 else ""

            def tell(what: str, share: float, which: str = which) -> None:
                progress.tell(which + what, share)

            found.append(measure_session(file, settings, tell))
    return tuple(found)


def _place(proof: Path | None, files: list[Path], *, force: bool) -> NewFile | None:
    """Where the drawing goes: over none of the clips."""
    places = [proof_file(proof, source=file, force=force) for file in files]
    return places[0]


def _kept_last(path: Path | None, files: list[Path], *, must_be: bool) -> Session | None:
    """The last session in a wheel's file, those of these clips left out."""
    if path is None or not (must_be or path.exists()):
        return None
    these = {sha256_of(file) for file in files if file.is_file()}
    others = [each for each in read_wheel(path).sessions if each.sha256 not in these]
    sessions = [session for each in others if (session := session_of_kept(each)) is not None]
    return sessions[-1] if sessions else None


def _told(
    readings: tuple[SessionReading, ...], wished_per_min: float | None, earlier: Session | None
) -> Treadling:
    wishes = tuple(
        None
        if wished_per_min is None or isinstance(reading.rhythm, NotMeasured)
        else against_wish(session_of(reading.file, reading.rhythm), wished_per_min)
        for reading in readings
    )
    sessions = [*([earlier] if earlier else []), *sessions_with_rhythm(readings)]
    return Treadling(readings, changes(sessions) if len(sessions) > 1 else (), wishes)
