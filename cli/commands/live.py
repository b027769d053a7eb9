"""``whirlwise live``: cadence, turns and ratio while the wheel turns."""

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Final

import typer

from ...vision.clip import ClipSettings
from ...vision.live import AtOnce, LiveReading, LiveWheel, Reckoner
from ...vision.live_aside import Aside
from ...vision.open.capture import Snapshot, play_clip, watch_camera
from ..given.points import point_px
from ..show.live_words import BEGIN, live_answer, live_document, live_line
from .finish import finish
from .options import JSON

#: A line is printed about so often.
EVERY_S: Final = 1.0
#: How long the ratio is waited for when all pictures have come.
LAST_WAIT_S: Final = 120.0


def live(
    file: Annotated[
        Path | None,
        typer.Argument(
            help="A clip to play as if it were a camera; left out, the camera.", show_default=False
        ),
    ] = None,
    camera: Annotated[int, typer.Option(help="Which camera; 0 is the first.", min=0)] = 0,
    seconds: Annotated[
        float | None, typer.Option(help="Stop after so many seconds; left out, Ctrl-C stops.", min=1)
    ] = None,
    at_once: Annotated[
        bool, typer.Option("--at-once", help="Take a clip as fast as it can be read, not at its own pace.")
    ] = False,
    hub: Annotated[
        str | None, typer.Option(help="A click on the axle in the first picture: X,Y in pixels.")
    ] = None,
    flyer: Annotated[
        str | None, typer.Option(help="A click where the flyer turns, in the first picture: X,Y in pixels.")
    ] = None,
    as_json: JSON = False,
) -> None:
    """Watch the wheel through a camera and tell cadence, turns and ratio as you treadle; Ctrl-C ends it."""
    settings = ClipSettings(
        hub_px=None if hub is None else point_px(hub, "--hub"),
        flyer_px=None if flyer is None else point_px(flyer, "--flyer"),
    )
    reckoner: Reckoner = AtOnce() if file and at_once else Aside()
    wheel = LiveWheel(settings, reckoner)
    pictures = watch_camera(camera) if file is None else play_clip(file, at_once=at_once)
    if not as_json:
        typer.echo(BEGIN)
    reading = _watch(pictures, wheel, seconds, quiet=as_json)
    source = f"camera {camera}" if file is None else file.name
    finish(live_document(source, reading), live_answer(reading), as_json=as_json)


def _watch(
    pictures: Iterator[Snapshot], wheel: LiveWheel, seconds: float | None, *, quiet: bool
) -> LiveReading:
    """Look about every second until the pictures or the person's patience end."""
    told_s = 0.0
    try:
        for picture in pictures:
            wheel.add(picture)
            if picture.time_s - told_s >= EVERY_S:
                told_s = picture.time_s
                reading = wheel.look()
                if not quiet:
                    typer.echo(live_line(reading))
            if seconds is not None and picture.time_s >= seconds:
                break
        return wheel.finish(LAST_WAIT_S)
    except KeyboardInterrupt:
        return wheel.so_far()
