"""What is true of a drawn room, and what a person with a rule and a caliper would say of it.

The truth file has the form that ``tests/benchmarks/photo_questions.py`` reads. Lengths that a person types
are off by as much as the command takes them to be: half a 95 % interval is 2 mm of an offset,
0.2 mm of a band.
"""

import json
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from tests.vision.drawn_pictures import Bgr, Points, exif_segment, write_jpeg
from tests.vision.drawn_rooms import Room, room
from tests.vision.drawn_scenes import unit
from tests.vision.drawn_solids import Axis, flat

#: Half-widths of 95 % intervals, and what makes standard deviations of them.
OFFSET_MM, BAND_MM, NORMAL_95 = 2.0, 0.2, 1.96


def write_room(folder: Path, seed: int) -> Path:
    """Draw the room of a seed, write its picture and its truth, and return the picture's path."""
    drawn = room(seed)
    path = folder / f"room_{seed:04d}.jpg"
    return write_drawn(path, drawn, drawn.photograph())


def write_drawn(path: Path, drawn: Room, picture: Bgr) -> Path:
    """Write a picture as a phone does, and its truth beside it."""
    path.with_suffix(".json").write_text(json.dumps(truth_of(drawn, path.name), indent=1), encoding="utf-8")
    return write_jpeg(path, picture, exif_segment(1, drawn.focal_35mm))


def truth_of(drawn: Room, name: str) -> dict[str, Any]:
    """The truth file's content."""
    rng = np.random.default_rng([drawn.seed, 1])
    return {
        "file": name,
        "kind": "wheel",
        "image": {"upright_width": drawn.size[0], "upright_height": drawn.size[1]},
        "geometry": _geometry(drawn, rng.normal(0, BAND_MM / NORMAL_95)),
        "camera": dict(drawn.camera),
        "image_truth": _in_the_picture(drawn),
        "references": [_reference(drawn, rng.normal(0, OFFSET_MM / NORMAL_95))] if drawn.reference else [],
    }


def _geometry(drawn: Room, misread_mm: float) -> dict[str, Any]:
    wheel, loops = drawn.wheel, drawn.loops
    whirl = {"pitch_diameter_mm": 2 * loops[0].pitch}
    geometry = {
        "drive": "double" if len(loops) == 2 else "single",
        "drive_wheel": {"outer_diameter_mm": 2 * wheel.rim, "pitch_diameter_mm": 2 * wheel.pitch},
        "whirl": {"steps": [whirl], "active_step": 0},
        "ratio_pitch": wheel.pitch / loops[0].pitch,
        "centre_distance_mm": float(np.hypot(*drawn.head.axis.foot)),
        "cord_diameter_mm": wheel.cord + misread_mm,
        "true_cord_diameter_mm": wheel.cord,
    }
    return geometry | ({"bobbin_pitch_diameter_mm": 2 * loops[1].pitch} if len(loops) == 2 else {})


def _in_the_picture(drawn: Room) -> dict[str, Any]:
    head, wheel = drawn.head, drawn.wheel
    around = unit(np.linspace(0, 2 * np.pi, 60, endpoint=False))
    rim = drawn.pixels(flat(wheel.rim * around, 0.0))
    front = drawn.pixels(flat((wheel.rim - wheel.bevel) * around, wheel.front))
    edge = drawn.pixels(head.axis.at(0.0, (drawn.loops[0].pitch + head.flange) * around))
    runs = [drawn.pixels(np.array(drawn.loops[0].run(side))) for side in (1, -1)]
    return {
        "hub_centre_px": _axis_px(drawn, Axis()),
        "whirl_centre_px": _axis_px(drawn, head.axis),
        "rim_outer_band_plane": {"points": rim.tolist(), "ellipse": _ellipse(rim)},
        "rim_outer_front_edge": {"points": front.tolist(), "ellipse": _ellipse(front)},
        "whirl_outer_active_step": {"points": edge.tolist(), "ellipse": _ellipse(edge)},
        "runs_px": [run.tolist() for run in runs],
    }


def _axis_px(drawn: Room, axis: Axis) -> list[float]:
    return [float(c) for c in drawn.pixels(axis.at(0.0, np.zeros((1, 2))))[0]]


def _ellipse(points_px: Points) -> dict[str, float]:
    (x, y), sizes, angle = cv2.fitEllipse(points_px.astype(np.float32))
    return {"cx": x, "cy": y, "a": max(sizes) / 2, "b": min(sizes) / 2, "angle_deg": angle}


def _reference(drawn: Room, misread_mm: float) -> dict[str, Any]:
    thing = drawn.reference
    assert thing is not None
    wide, high = thing.size
    names = {"card": "id1_card", "a4": "a4_sheet", "marker": "aruco"}
    sizes = {"side_mm": thing.side} if thing.kind == "marker" else {"width_mm": wide, "height_mm": high}
    return {
        "type": names[thing.kind],
        "size": sizes,
        # As it is read off a rule; what is true stands beside it.
        "plane_offset_mm": thing.height + misread_mm,
        "true_plane_offset_mm": thing.height,
        "corners_px": drawn.pixels(thing.corners()).tolist(),
        "corners_world_mm": thing.corners().tolist(),
    }
