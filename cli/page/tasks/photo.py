"""Measure one picture, with what the person knows and pointed at."""

import time
from collections import OrderedDict
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import cv2

from ....vision.measured import NotMeasured
from ....vision.photo import PhotoSettings, measure_photo, opened
from ....vision.photo_reading import PhotoReading, Point, ReferenceReading
from ....vision.remembered import Remembered
from ...commands.photo import photo_settings
from ...keep.numbers import photo_numbers
from ...show.photo_words import photo_answer, ratio_interval
from ..media import keep_reading
from ..worker import Json, Tell
from .keepable import reading_to_keep
from .named import in_the_persons_words
from .preview import write_preview
from .told import interval_told, told

#: What was found in so many pictures stays with the worker, some 80 MB each.
REMEMBERED = 2
#: What the command takes as options.
OPTIONS = ("reference", "offset", "band", "groove", "hub", "whirl", "rim", "band_at")
#: How much of the work is done when a step is begun, as the steps of a measurement are named.
STEPS = ("rim", "rim fits", "references", "choice", "band", "runs", "fit")
SHARES = dict(zip(STEPS, (0.2, 0.3, 0.35, 0.5, 0.5, 0.6, 0.7), strict=True))


class Measuring:
    """Measures pictures one after the other, and remembers of the last ones what was found in them."""

    def __init__(self) -> None:
        self._remembered: OrderedDict[str, Remembered] = OrderedDict()

    def __call__(self, order: Json, tell: Tell) -> Json:
        """Do one job, see :func:`run`."""
        file = order["media"]["picture"]["file"]
        remembered = self._remembered.pop(file, None) or Remembered()
        self._remembered[file] = remembered
        while len(self._remembered) > REMEMBERED:
            self._remembered.popitem(last=False)
        threads = cv2.getNumThreads()
        # What is measured side by side keeps the cores busy; OpenCV's own threads would wait for each other.
        cv2.setNumThreads(1)
        try:
            return run(order, tell, remembered)
        finally:
            cv2.setNumThreads(threads)


def run(order: Json, tell: Tell, remembered: Remembered | None = None) -> Json:
    """Measure the picture ``media.picture`` with what is ``given``, and keep the reading.

    ``given`` holds what was typed and pointed at, each as the command's option takes it: ``reference`` (a
    list), ``offset``, ``band``, ``groove``, ``hub``, ``whirl``, ``rim`` and ``band_at`` (lists). What else
    it holds is for the screen, and comes back to it with the reading.
    """
    medium, given = order["media"]["picture"], order.get("given", {})
    options = {name: value for name, value in given.items() if name in OPTIONS}
    remembered = remembered or Remembered()
    # Between steps it is also seen whether anybody still wants to know.
    remembered.before_step = lambda step: tell("measuring the picture", SHARES.get(step, 0.1))
    began_s = time.monotonic()
    with in_the_persons_words(medium):
        settings = _settings(given)
        tell("looking at the picture", 0.0)
        file, folder = Path(medium["file"]), Path(medium["folder"])
        seen = opened(file, remembered)
        write_preview(seen.picture.bgr, folder, (seen.size.width_px, seen.size.height_px))
        tell("measuring the picture", 0.1)
        reading = measure_photo(file, settings, remembered)
    document = {
        "given": given,
        "size_px": [seen.size.width_px, seen.size.height_px],
        "seconds": round(time.monotonic() - began_s, 1),
        "answer": told(photo_answer(reading)),
        "ratios": [
            {"label": whirl.label, "ratio": interval_told(ratio_interval(whirl))} for whirl in reading.whirls
        ],
        "drawn": drawn(reading),
        "kept": reading_to_keep("photo", medium, photo_numbers(reading), options),
    }
    return {**document, "number": keep_reading(folder, document)}


def _settings(given: Json) -> PhotoSettings:
    """Read what was given, each part as the command's option."""

    def text(name: str) -> str | None:
        value = given.get(name)
        return str(value) if value else None

    hub, whirl = text("hub"), text("whirl")
    reference, rim, band_at = (
        [str(each) for each in given.get(name) or []] for name in ("reference", "rim", "band_at")
    )
    whirls = [whirl] if whirl is not None else None
    return photo_settings(reference, text("offset"), text("band"), text("groove"), hub, whirls, rim, band_at)


def drawn(reading: PhotoReading) -> Json:
    """Give what was found as lines to draw onto the picture, in upright pixels."""
    wheel = None if isinstance(reading.wheel, NotMeasured) else reading.wheel
    return {
        "hub": wheel and _point(wheel.hub_px),
        "rim": wheel and _points(wheel.evidence.outline_px),
        "whirls": [
            {
                "label": whirl.label,
                "centre": _point(whirl.centre_px),
                "outline": _points(whirl.outline_px),
            }
            for whirl in reading.whirls
        ],
        "runs": [_points(run.ends_px) for run in reading.band_runs],
        "references": [_reference(each) for each in reading.references],
    }


def _reference(reference: ReferenceReading) -> Json:
    return {
        "kind": reference.kind,
        "corners": _points(reference.corners_px),
        "outline": _points(reference.circle_px or reference.corners_px),
        "ticks": _points(reference.ticks_px),
    }


def _points(points_px: Iterable[Any]) -> list[list[float]]:
    return [_point(each) for each in points_px]


def _point(point_px: Point) -> list[float]:
    return [round(float(coordinate), 1) for coordinate in point_px]
