"""The slip of the band, from a clip turned by hand and one at work."""

from collections.abc import Callable
from pathlib import Path
from typing import Final, cast

from ....calc.interval import interval_95
from ....calc.parts import Drive
from ....vision.clip import measure_clip
from ....vision.clip_reading import ClipReading
from ....vision.measured import NotMeasured
from ...commands.slip import slip_reading
from ...show.slip_words import slip_answer
from ..worker import Json, Tell
from .clip import given_from
from .named import in_the_persons_words
from .told import interval_told, told

DRIVES: Final = ("flyer-led", "bobbin-led", "double")


def run(order: Json, tell: Tell) -> Json:
    """Count both clips, ``media.hand`` and ``media.work``, and reckon the slip."""
    drive, given = order.get("drive"), given_from(order.get("given", {}))
    by_hand = _measured(order["media"]["hand"], lambda what, share: tell(what, share / 2))
    at_work = _measured(order["media"]["work"], lambda what, share: tell(what, 0.5 + share / 2))
    led = cast(Drive, drive) if drive in DRIVES else "flyer-led"
    reading = slip_reading(by_hand, at_work, led, given.side)
    slip = reading.slip_percent
    return {
        "answer": told(slip_answer(reading)),
        "slip_percent": None if isinstance(slip, NotMeasured) else interval_told(interval_95(slip)),
    }


def _measured(medium: dict[str, str], tell: Callable[[str, float], None]) -> ClipReading:
    with in_the_persons_words(medium):
        return measure_clip(Path(medium["file"]), tell=tell)
