"""What a person at the wheel would tell the program about a clip, and what is asked of its answer.

A truth file NAME.json lies beside its clip and says: ``file``; ``video``, the true capture rate and whether
the file says it; ``per_frame``, angles of wheel and flyer, places and cadence.
"""

import zlib
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from tests.benchmarks.score_table import Answer

Json = Mapping[str, Any]
Floats = NDArray[np.float64]

#: How far from its mark a tap lands at the most, in px of a picture 640 px wide.
TAP_PX = 12.0
#: Below this share of the mean cadence a wheel nearly rests, and errors count against it.
NEARLY_AT_REST = 0.2


def words(truth: Json, clip: str, *, hints: bool) -> list[str]:
    """The command line, as somebody types it who knows the camera's setting and has a finger."""
    video = truth["video"]
    typed = ["clip", clip, "--json"]
    if video["time_stretch"] != 1 and not video.get("capture_fps_tag"):
        typed.append(f"--captured-at={video['capture_fps_nominal']:g}")
    if not hints:
        return typed
    rng = np.random.default_rng(zlib.crc32(truth["file"].encode()) + 1)
    reach = TAP_PX * video["upright_width"] / 640
    first = truth["per_frame"][0]
    for option, place in (("--hub", first["hub_px"]), ("--flyer", first["whirl_px"])):
        x, y = np.asarray(place) + rng.uniform(-reach, reach, 2) / np.sqrt(2)
        typed.append(f"{option}={x:.0f},{y:.0f}")
    return typed


def answers(truth: Json, told: Json) -> Iterator[Answer]:
    """Turns of the wheel, ratio and turns of the flyer, along their paths from first to last picture."""
    wheel, flyer = (
        float(np.abs(np.diff(_column(truth, name))).sum() / (2 * np.pi))
        for name in ("wheel_rad", "flyer_rad")
    )
    yield Answer("turns", wheel, _number(told, "wheel", "turns"))
    yield Answer("ratio", flyer / wheel, _number(told, "flyer", "ratio"))
    yield Answer("flyer turns", flyer, _number(told, "flyer", "turns"))


def cadence_off(truth: Json, told: Json) -> float | None:
    """Median error of the cadence over time, as a share of it; None where there is none."""
    series = (told.get("wheel") or {}).get("series")
    if not series:
        return None
    times, per_min = np.array(series, dtype=np.float64).T
    when = _column(truth, "capture_s")
    true = np.abs(np.interp(times, when - when[0], _column(truth, "cadence_per_min")))
    return float(np.median(np.abs(per_min - true) / np.maximum(true, NEARLY_AT_REST * true.mean())))


def _column(truth: Json, name: str) -> Floats:
    return np.array([picture[name] for picture in truth["per_frame"]], dtype=np.float64)


def _number(told: Json, *keys: str) -> tuple[float, float, float] | None:
    node: Any = told
    for key in keys:
        node = (node or {}).get(key)
    return None if node is None else tuple_of([node["value"], node["low"], node["high"]])


def tuple_of(numbers: Sequence[float]) -> tuple[float, float, float]:
    """Value, low and high."""
    value, low, high = map(float, numbers)
    return value, low, high
