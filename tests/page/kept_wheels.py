"""Wheels with readings laid beside pictures as workers leave them, so that nothing need be measured."""

import zlib
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from uncertainties import ufloat

from whirlwise.calc.wheel import Dimension
from whirlwise.cli.page.file_kinds import JPEG
from whirlwise.cli.page.media import Media, Medium, keep_reading
from whirlwise.cli.page.tasks import wheel as task
from whirlwise.cli.page.tasks.keepable import reading_to_keep
from whirlwise.cli.page.tasks.told import told
from whirlwise.cli.page.wheels import Wheel, Wheels
from whirlwise.cli.show.answer import Answer

Json = dict[str, Any]


def quiet(what: str, share: float) -> None: ...


def measured(folder: Path, ratio: float, name: str) -> Medium:
    """A picture with a reading of a ratio, known within 1 % (standard uncertainty)."""
    media = Media(folder)
    arrived = media.arriving()
    noise = np.random.default_rng(zlib.crc32(f"{name} {ratio}".encode()))
    arrived.write_bytes(cv2.imencode(".jpg", noise.integers(0, 256, (90, 120, 3), np.uint8))[1].tobytes())
    medium = media.keep(arrived, name, JPEG)
    numbers = {Dimension("ratio", "whirl"): ufloat(ratio, ratio / 100)}
    source = {"file": str(medium.original), "name": name}
    none: Json = {"hub": None, "rim": None, "whirls": [], "runs": [], "references": []}
    reading = {
        "given": {},
        "size_px": [120, 90],
        "seconds": 1.0,
        "answer": told(Answer((f"One turn of the wheel turns the flyer {ratio} times.",))),
        "ratios": [],
        "drawn": none,
        "kept": reading_to_keep("photo", source, numbers, {}),
    }
    keep_reading(medium.folder, reading)
    return medium


def order(wheel: Wheel, medium: Medium | None = None, **more: object) -> Json:
    """What a worker is told."""
    told = {"file": str(wheel.file), "folder": str(wheel.folder), "name": wheel.name, "media": []}
    media = {}
    if medium is not None:
        media["measured"] = {
            "id": medium.id,
            "file": str(medium.original),
            "folder": str(medium.folder),
            "name": medium.name,
            "kind": medium.kind,
        }
    return {"wheels": [told], "media": media, **more}


def add(folder: Path, wheel: Wheel, ratio: float, name: str, **named: str) -> Json:
    """Keep a measured picture with a wheel, ``named`` as the screen asks for it."""
    return task.add(order(wheel, measured(folder, ratio, name), of="reading", number=1, **named), quiet)


def kept_wheel(folder: Path, name: str, *ratios: float) -> Wheel:
    """A wheel with a reading of each ratio: ``photo-1``, ``photo-2`` and so on."""
    wheel = Wheels(folder).begin(name)
    for k, ratio in enumerate(ratios, 1):
        add(folder, wheel, ratio, f"{name} {k}.jpg")
    return wheel
