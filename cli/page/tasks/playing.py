"""A copy of a clip that browsers play, where they don't play the clip itself."""

import os
from fractions import Fraction
from pathlib import Path
from typing import Final

import av
import av.error

from ..media import PLAYABLE

#: What every browser plays as it is.
PLAYED: Final = frozenset({"h264", "vp8", "vp9", "av1"})
#: Width of the copy; it is only looked at.
WIDTH_PX: Final = 960
#: A clock fine enough for the time stamps of any camera.
CLOCK: Final = Fraction(1, 90_000)


def make_playable(file: Path, folder: Path) -> None:
    """Make the copy, unless the clip plays as it is or the copy is there.

    Where it cannot be made, the page shows the first picture in its place.
    """
    if (folder / PLAYABLE).exists() or _plays(file):
        return
    making = folder / f"making-{os.getpid()}.mp4"
    try:
        _copy(file, making)
        making.replace(folder / PLAYABLE)
    except (av.error.FFmpegError, ValueError):
        making.unlink(missing_ok=True)


def _plays(file: Path) -> bool:
    with av.open(str(file.absolute()), metadata_errors="replace") as container:
        context = container.streams.video[0].codec_context
        return context is not None and context.name.removeprefix("lib") in PLAYED


def _copy(file: Path, making: Path) -> None:
    """Encode the pictures anew, at their own times."""
    with (
        av.open(str(file.absolute()), metadata_errors="replace") as source,
        av.open(str(making), "w") as copy,
    ):
        stream = source.streams.video[0]
        stream.thread_type = "AUTO"
        wide, high = stream.width, stream.height
        out = copy.add_stream("libx264", rate=30, options={"preset": "veryfast", "crf": "26"})
        out.width = min(wide, WIDTH_PX) // 2 * 2
        out.height = round(high * out.width / wide / 2) * 2
        out.pix_fmt = "yuv420p"
        out.time_base = CLOCK
        out.codec_context.time_base = CLOCK
        first: Fraction | None = None
        for frame in source.decode(stream):
            if frame.pts is None or frame.time_base is None:
                continue
            at_s = frame.pts * frame.time_base
            first = at_s if first is None else first
            small = frame.reformat(out.width, out.height, "yuv420p")
            small.pts, small.time_base = round((at_s - first) / CLOCK), CLOCK
            copy.mux(out.encode(small))
        copy.mux(out.encode())
