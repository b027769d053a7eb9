"""Readings as JSON with stable keys. A measured number is {"value", "low", "high"}, else null."""

import json
from collections.abc import Iterable
from math import isfinite
from typing import Any

from ...calc.interval import Interval, interval_95, reciprocal_interval_95
from ...calc.quantity import Quantity
from ...calc.ratios import slip_percent
from ...calc.rhythm import spread_interval_95
from ...vision.clip_reading import ClipReading, FlyerTurning, Rhythm, SoundTurning, WheelTurning
from ...vision.measured import NotMeasured, Outcome
from ...vision.photo_reading import (
    BandPlaneReading,
    PhotoReading,
    Point,
    ReferenceReading,
    WheelReading,
    WhirlReading,
)
from ...vision.profile_reading import ProfileReading, StepReading
from .not_measured import clip_gaps, photo_gaps, profile_gaps
from .rounding import DIGITS_IN_JSON, rounded
from .session import session_of

Json = dict[str, Any]

#: Pictures are measured to hundredths of a pixel at best.
PIXEL_DECIMALS = 2


def as_text(document: Json) -> str:
    """Write a document as JSON text; a NaN would be a fault of ours and is refused."""
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False)


def holds_a_measurement(node: object) -> bool:
    """Tell whether any measured number stands in a document; what the user stated does not count."""
    if isinstance(node, dict):
        return "value" in node or any(
            holds_a_measurement(child) for key, child in node.items() if key != "references"
        )
    return isinstance(node, list) and any(holds_a_measurement(child) for child in node)


def number(outcome: Outcome | Quantity) -> Json | None:
    """Give a measured number with its 95 % interval, or None where it was not measured."""
    return None if isinstance(outcome, NotMeasured) else interval_document(interval_95(outcome))


def interval_document(interval: Interval | None) -> Json | None:
    """Give an interval as JSON; None where there is none, or where an end of it is not finite."""
    if interval is None or not all(map(isfinite, (interval.value, interval.low, interval.high))):
        return None
    shown = rounded(interval, DIGITS_IN_JSON)
    return {"value": shown.value, "low": shown.low, "high": shown.high}


def _point(point_px: Point) -> list[float]:
    return [round(float(coordinate), PIXEL_DECIMALS) for coordinate in point_px]


def photo_document(reading: PhotoReading) -> Json:
    """Give what one picture told, under the keys of the command ``photo``."""
    return {
        "file": reading.file,
        "references": [_reference(reference) for reference in reading.references],
        "band_plane": _band_plane(reading.band_plane),
        "wheel": _wheel(reading.wheel),
        "whirls": [_whirl(whirl) for whirl in reading.whirls],
        "ratios": [
            {
                "whirl": whirl.label,
                "ratio": interval_document(reciprocal_interval_95(whirl.pitch_per_wheel_pitch)),
            }
            for whirl in reading.whirls
        ],
        "centre_distance_mm": number(reading.centre_distance_mm),
        "remarks": _remarks(
            [*reading.remarks, *([reading.advice] if reading.advice else [])], photo_gaps(reading)
        ),
    }


def _remarks(remarks: Iterable[str], gaps: Iterable[NotMeasured]) -> list[str]:
    return list(dict.fromkeys([*remarks, *map(str, gaps)]))


def _reference(reference: ReferenceReading) -> Json:
    shapes = {
        "corners_px": reference.corners_px,
        "ticks_px": reference.ticks_px,
        "circle_px": reference.circle_px,
    }
    shape = next((name for name in ("ticks_px", "circle_px") if shapes[name]), "corners_px")
    return {
        "kind": reference.kind,
        shape: [_point(point) for point in shapes[shape]],
        "offset_mm": number(reference.offset_mm),
    }


def _band_plane(plane: BandPlaneReading | NotMeasured) -> Json | None:
    if isinstance(plane, NotMeasured):
        return None
    return {"tilt_deg": number(plane.tilt_deg), "distance_mm": number(plane.distance_mm)}


def _wheel(wheel: WheelReading | NotMeasured) -> Json | None:
    if isinstance(wheel, NotMeasured):
        return None
    return {
        "hub_px": _point(wheel.hub_px),
        "outer_mm": number(wheel.outer_mm),
        "pitch_mm": number(wheel.pitch_mm),
        "out_of_round_percent": number(wheel.out_of_round_percent),
    }


def _whirl(whirl: WhirlReading) -> Json:
    return {
        "label": whirl.label,
        "centre_px": _point(whirl.centre_px),
        "outer_mm": number(whirl.outer_mm),
        "groove_mm": number(whirl.groove_mm),
        "pitch_mm": number(whirl.pitch_mm),
    }


def profile_document(reading: ProfileReading) -> Json:
    """Give what one side-on picture told, under the keys of the command ``profile``."""
    return {
        "file": reading.file,
        "references": [_reference(reference) for reference in reading.references],
        "steps": [_step(step) for step in reading.steps],
        "remarks": _remarks(reading.remarks, profile_gaps(reading)),
    }


def _step(step: StepReading) -> Json:
    return {
        "label": step.label,
        "outer_mm": number(step.outer_mm),
        "groove_mm": number(step.groove_mm),
        "pitch_mm": number(step.pitch_mm),
    }


def clip_document(reading: ClipReading, known_ratio: Quantity | None) -> Json:
    """Give what one clip told, under the keys of the command ``clip``.

    ``sound.ratio`` is the sound's alone, ``ratio`` that of pictures and sound together.
    """
    ratio = reading.ratio
    slips = known_ratio is not None and not isinstance(ratio, NotMeasured)
    return {
        "file": reading.file,
        "seconds": round(reading.seconds, 6),
        "frames": reading.frames,
        "lost_frames": reading.lost_frames,
        "frame_rate": {
            "capture": round(reading.frame_rate.capture_per_s, 6),
            "source": reading.frame_rate.source,
        },
        "wheel": _turning(reading.wheel),
        "flyer": _flyer(reading.flyer),
        "rhythm": rhythm_document(reading.rhythm),
        "sound": _sound(reading.sound),
        "ratio": number(ratio),
        "slip_percent": number(slip_percent(ratio, known_ratio)) if slips else None,
        "remarks": _remarks(reading.remarks, clip_gaps(reading)),
    }


def _turning(wheel: WheelTurning | NotMeasured) -> Json | None:
    if isinstance(wheel, NotMeasured):
        return None
    return {
        "turns": number(wheel.turns),
        "cadence_per_min": number(wheel.cadence_per_min),
        "direction": wheel.direction,
        "series": [[round(t_s, 4), round(per_min, 3)] for t_s, per_min in wheel.cadence_series.tolist()],
    }


def _flyer(flyer: FlyerTurning | NotMeasured) -> Json | None:
    if isinstance(flyer, NotMeasured):
        return None
    return {
        "turns": number(flyer.turns),
        "ratio": number(flyer.ratio),
        "speed_per_min": number(flyer.speed_per_min),
        "candidates": [number(candidate.order) for candidate in flyer.candidates],
    }


def _sound(sound: SoundTurning | NotMeasured) -> Json | None:
    if isinstance(sound, NotMeasured):
        return None
    return {"ratio": number(sound.ratio)}


def rhythm_document(rhythm: Rhythm | NotMeasured) -> Json | None:
    """Give a rhythm under its keys, which the commands ``clip`` and ``rhythm`` share."""
    if isinstance(rhythm, NotMeasured):
        return None
    return {
        "turn_times_s": [round(t_s, 4) for t_s in rhythm.turn_times_s],
        "cv_percent": interval_document(spread_interval_95(session_of("", rhythm))),
        "drift_percent_per_min": number(rhythm.drift_percent_per_min),
        "within_turn_percent": number(rhythm.within_turn_percent),
        "slowest_at_deg": number(rhythm.slowest_at_deg),
        "pushes_a_turn": None if isinstance(rhythm.pushes, NotMeasured) else rhythm.pushes,
        "pushes_unlike_percent": number(rhythm.pushes_unlike_percent),
        "independent_turns": round(rhythm.freedom + 1, 1),
    }
