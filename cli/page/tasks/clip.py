"""Count one clip, with what the person knows and pointed at, and give what the page needs to play it."""

import time
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, cast

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat

from ....calc.interval import interval_95
from ....vision.clip import ClipSettings, measure_clip
from ....vision.clip_reading import ClipReading, FlyerTurning, WheelTurning
from ....vision.measured import NotMeasured
from ...given.numbers import plain_number
from ...given.points import point_px
from ...keep.kept import UNNAMED_WHIRL
from ...keep.numbers import clip_numbers
from ...show.causes import Side
from ...show.clip_words import clip_answer
from ..media import keep_reading
from ..worker import Json, Tell
from .first_picture import first_picture
from .keepable import reading_to_keep
from .named import in_the_persons_words
from .playing import make_playable
from .preview import write_preview
from .told import interval_told, told

#: So many points of a spectrum are drawn; of what lies between them the highest.
MOST_POINTS: Final = 600


@dataclass(frozen=True, slots=True)
class Given:
    """What the person knows of a clip."""

    settings: ClipSettings
    known_ratio: UFloat | None
    by_hand: bool
    side: Side | None


def run(order: Json, tell: Tell) -> Json:
    """Count the clip ``media.clip`` with what is ``given``, and keep the reading.

    ``given`` holds what was typed and pointed at, each as the command's option takes it: ``hub``, ``flyer``,
    ``captured_at``, ``ratio``, ``side``, and ``by_hand``.
    """
    medium, said = order["media"]["clip"], order.get("given", {})
    began_s = time.monotonic()
    with in_the_persons_words(medium):
        given = given_from(said)
        tell("looking at the picture", 0.0)
        file, folder = Path(medium["file"]), Path(medium["folder"])
        first = first_picture(file)
        write_preview(first, folder)
        tell("making it play", 0.0)
        make_playable(file, folder)
        reading = measure_clip(file, given.settings, tell)
    answer = clip_answer(reading, known_ratio=given.known_ratio, by_hand=given.by_hand, side=given.side)
    document = {
        "given": said,
        "size_px": [int(first.shape[1]), int(first.shape[0])],
        "seconds": round(time.monotonic() - began_s, 1),
        "answer": told(answer),
        "ratio": None
        if isinstance(reading.ratio, NotMeasured)
        else interval_told(interval_95(reading.ratio)),
        "drawn": drawn(reading),
        "course": course(reading),
        "spectrum": spectrum(reading.flyer),
        "kept": reading_to_keep(
            "clip", medium, clip_numbers(reading, UNNAMED_WHIRL, by_hand=given.by_hand), said
        ),
    }
    return {**document, "number": keep_reading(folder, document)}


def given_from(said: Json) -> Given:
    """Read what was given, each part as the command's option.

    Raises
    ------
    WrongUsageError
        If one of them cannot be meant.
    """

    def text(name: str) -> str | None:
        return str(said[name]) if said.get(name) else None

    hub, flyer, rate, ratio, side = map(text, ("hub", "flyer", "captured_at", "ratio", "side"))
    settings = ClipSettings(
        hub_px=None if hub is None else point_px(hub, "--hub"),
        flyer_px=None if flyer is None else point_px(flyer, "--flyer"),
        captured_at_per_s=None
        if rate is None
        else float(plain_number(rate, "--captured-at", example="240").n),
    )
    return Given(
        settings,
        None if ratio is None else plain_number(ratio, "--ratio", example="12.5"),
        bool(said.get("by_hand")),
        cast(Side, side) if side in ("orifice", "behind") else None,
    )


def drawn(reading: ClipReading) -> Json:
    """Give where wheel and flyer lie, in upright pixels of the first picture."""
    wheel = reading.wheel if isinstance(reading.wheel, WheelTurning) else None
    flyer = reading.flyer if isinstance(reading.flyer, FlyerTurning) else None
    return {
        "hub": wheel and _point(wheel.hub_px),
        "wheel": wheel and _points(wheel.outline_px),
        "flyer": flyer and _points(flyer.outline_px),
        "flyer_at": flyer and _point(flyer.flyer_px),
    }


def course(reading: ClipReading) -> Json | None:
    """Give the course in step with playing: times as the file has them, angles, and the cadence."""
    wheel = reading.wheel
    if not isinstance(wheel, WheelTurning):
        return None
    flyer = reading.flyer
    real_s = float(wheel.times_s[-1])
    return {
        "stored_per_real": reading.seconds / real_s if real_s > 0 else 1.0,
        "times_s": _numbers(wheel.times_s, 4),
        "wheel_rad": _numbers(wheel.angles_rad, 4),
        "flyer_rad": _numbers(flyer.phase_rad, 3) if isinstance(flyer, FlyerTurning) else None,
        "cadence": [_numbers(pair, 3) for pair in wheel.cadence_series],
        "mean": interval_told(interval_95(wheel.cadence_per_min)),
    }


def spectrum(flyer: FlyerTurning | NotMeasured) -> Json | None:
    """Give the order spectrum, its highest peak as 1, and what it leaves as ratios."""
    if isinstance(flyer, NotMeasured) or not len(flyer.orders):
        return None
    orders, power = _thinned(flyer.orders, flyer.power)
    top = float(power.max())
    return {
        "orders": _numbers(orders, 4),
        "power": _numbers(power / top if top > 0 else power, 4),
        "candidates": [interval_told(interval_95(each.order)) for each in flyer.candidates],
        "open": isinstance(flyer.ratio, NotMeasured),
    }


def _thinned(
    orders: NDArray[np.float64], power: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Of every stretch of a spectrum the highest point, so that no peak is lost."""
    places = [
        int(part[0] + np.argmax(power[part]))
        for part in np.array_split(np.arange(len(orders)), min(MOST_POINTS, len(orders)))
    ]
    return orders[places], power[places]


def _numbers(values: Iterable[Any], decimals: int) -> list[float]:
    return [round(float(each), decimals) for each in values]


def _points(points_px: Iterable[Any]) -> list[list[float]]:
    return [_point(each) for each in points_px]


def _point(point_px: Iterable[Any]) -> list[float]:
    return _numbers(point_px, 1)
