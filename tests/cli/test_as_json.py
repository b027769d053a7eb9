"""The JSON that scripts rely on: its keys, its numbers and its nulls."""

import json
from dataclasses import replace
from typing import Any

import pytest
from uncertainties import ufloat

from whirlwise.cli.show.as_json import as_text, clip_document, holds_a_measurement, number, photo_document
from whirlwise.vision.clip_reading import ClipReading, FlyerTurning, OrderPeak
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.photo_reading import PhotoReading

NUMBER = {"value": float, "low": float, "high": float}
POINT = [float]
PHOTO: dict[str, Any] = {
    "file": str,
    "references": [{"kind": str, "corners_px": [POINT], "offset_mm": NUMBER}],
    "band_plane": {"tilt_deg": NUMBER, "distance_mm": NUMBER},
    "wheel": {"hub_px": POINT, "outer_mm": NUMBER, "pitch_mm": NUMBER, "out_of_round_percent": NUMBER},
    "whirls": [
        {"label": str, "centre_px": POINT, "outer_mm": NUMBER, "groove_mm": NUMBER, "pitch_mm": NUMBER}
    ],
    "ratios": [{"whirl": str, "ratio": NUMBER}],
    "centre_distance_mm": NUMBER,
    "remarks": [str],
}
CLIP: dict[str, Any] = {
    "file": str,
    "seconds": float,
    "frames": int,
    "lost_frames": int,
    "frame_rate": {"capture": float, "source": str},
    "wheel": {"turns": NUMBER, "cadence_per_min": NUMBER, "direction": str, "series": [[float]]},
    "flyer": {"turns": NUMBER, "ratio": NUMBER, "speed_per_min": NUMBER, "candidates": [NUMBER]},
    "rhythm": {
        "turn_times_s": [float],
        "cv_percent": NUMBER,
        "drift_percent_per_min": NUMBER,
        "within_turn_percent": NUMBER,
        "slowest_at_deg": NUMBER,
        "pushes_a_turn": int,
        "pushes_unlike_percent": NUMBER,
        "independent_turns": float,
    },
    "sound": {"ratio": NUMBER},
    "ratio": NUMBER,
    "slip_percent": NUMBER,
    "remarks": [str],
}


def misfits(node: object, shape: Any, path: str = "") -> list[str]:
    """Name every place where a document departs from its shape; null is allowed for objects."""
    if isinstance(shape, dict):
        if node is None:
            return []
        if not isinstance(node, dict) or node.keys() != shape.keys():
            return [f"{path}: {node}"]
        return [m for key in shape for m in misfits(node[key], shape[key], f"{path}.{key}")]
    if isinstance(shape, list):
        if not isinstance(node, list):
            return [f"{path}: {node}"]
        return [m for i, child in enumerate(node) for m in misfits(child, shape[0], f"{path}[{i}]")]
    right = isinstance(node, (int, float) if shape is float else shape) and not isinstance(node, bool)
    return [] if right else [f"{path}: {node!r}"]


def parsed(document: dict[str, Any]) -> Any:
    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} is not JSON")

    return json.loads(as_text(document), parse_constant=refuse)


def test_photo(photo_reading: PhotoReading) -> None:
    document = parsed(photo_document(photo_reading))
    assert misfits(document, PHOTO) == []
    ratio = document["ratios"][0]["ratio"]
    # The reciprocal of the share 51.44/555.17, whose standard uncertainty is 0.4 %.
    assert ratio["value"] == pytest.approx(10.7926, abs=1e-3)
    assert ratio["low"] == pytest.approx(10.7926 / (1 + 1.96 * 0.004), abs=2e-3)
    assert ratio["high"] == pytest.approx(10.7926 / (1 - 1.96 * 0.004), abs=2e-3)
    assert document["whirls"][0]["groove_mm"] is None
    assert document["remarks"] == [
        "The focal length comes from the file.",
        "The groove's bottom lies under the band. Take the band off for one picture.",
    ]
    assert holds_a_measurement(document)


def test_photo_without_a_wheel(nothing_in_photo: PhotoReading) -> None:
    document = parsed(photo_document(nothing_in_photo))
    assert misfits(document, PHOTO) == []
    assert document["wheel"] is document["band_plane"] is document["centre_distance_mm"] is None
    assert document["ratios"] == []
    assert document["remarks"] == ["No wheel was found in this picture. Click on the axle: --hub X,Y."]
    assert not holds_a_measurement(document)


def test_a_reference_alone_is_no_measurement(
    photo_reading: PhotoReading, nothing_in_photo: PhotoReading
) -> None:
    document = parsed(photo_document(replace(nothing_in_photo, references=photo_reading.references)))
    assert document["references"][0]["offset_mm"]["value"] == 12
    assert not holds_a_measurement(document)


def test_a_ratio_without_upper_bound_is_null(photo_reading: PhotoReading) -> None:
    vague = replace(photo_reading.whirls[0], pitch_per_wheel_pitch=ufloat(0.09, 0.06))
    document = parsed(photo_document(replace(photo_reading, whirls=(vague,))))
    assert document["ratios"] == [{"whirl": "whirl", "ratio": None}]
    assert any("no upper bound" in remark for remark in document["remarks"])


def test_clip(clip_reading: ClipReading) -> None:
    document = parsed(clip_document(clip_reading, known_ratio=None))
    assert misfits(document, CLIP) == []
    assert document["wheel"]["turns"] == {"value": 9.55650, "low": 9.55552, "high": 9.55748}
    assert document["ratio"] == document["flyer"]["ratio"]
    assert document["sound"]["ratio"]["value"] == 12.6681
    assert document["slip_percent"] is None
    assert document["remarks"] == []


def test_clip_against_a_known_ratio(clip_reading: ClipReading) -> None:
    document = parsed(clip_document(clip_reading, known_ratio=ufloat(12.8, 0.01)))
    assert document["slip_percent"]["value"] == pytest.approx(100 * (1 - 12.6674 / 12.8), abs=0.001)
    assert misfits(document, CLIP) == []


def test_clip_with_two_candidates(clip_reading: ClipReading) -> None:
    assert isinstance(clip_reading.flyer, FlyerTurning)
    torn = NotMeasured("Two ratios remain.", "Put a strip of tape on one arm.")
    flyer = replace(
        clip_reading.flyer,
        turns=torn,
        ratio=torn,
        speed_per_min=torn,
        candidates=(OrderPeak(ufloat(12.6, 0.01), 9.0), OrderPeak(ufloat(6.3, 0.01), 8.0)),
    )
    document = parsed(clip_document(replace(clip_reading, flyer=flyer, ratio=torn), known_ratio=12.8))
    assert misfits(document, CLIP) == []
    assert document["flyer"]["ratio"] is document["ratio"] is document["slip_percent"] is None
    assert [each["value"] for each in document["flyer"]["candidates"]] == [12.6, 6.3]
    assert document["remarks"] == ["Two ratios remain. Put a strip of tape on one arm."]


def test_clip_in_which_nothing_turns(nothing_in_clip: ClipReading) -> None:
    document = parsed(clip_document(nothing_in_clip, known_ratio=12.5))
    assert misfits(document, CLIP) == []
    assert document["wheel"] is document["flyer"] is document["rhythm"] is document["ratio"] is None
    assert not holds_a_measurement(document)


def test_what_is_not_finite_is_not_printed() -> None:
    assert number(ufloat(1.0, float("inf"))) is None
    assert number(ufloat(float("nan"), 1.0)) is None
