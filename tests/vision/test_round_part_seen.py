"""A flange's rounded edge, seen at a slant, against the hull of its front and back circle by OpenCV."""

import cv2
import numpy as np
import pytest
from tests.vision.drawn_scenes import TRUTH, seen_by_opencv, unit

from whirlwise.vision.fit.round_part_seen import RoundPartSeen, edge_slant
from whirlwise.vision.fit.scene import Scene
from whirlwise.vision.geometry.camera import Points

WIDTH_MM, HEIGHT_MM, RADIUS_MM = 1.3, 6.0, 33.0


def rounded_edge_px() -> Points:
    """The outline of a thin disc about the spindle, its middle at a height."""
    turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    scene = Scene(TRUTH)
    circles = [
        seen_by_opencv(scene.spindle_at(z) + RADIUS_MM * unit(turn), z)
        for z in (HEIGHT_MM - 0.5 * WIDTH_MM, HEIGHT_MM + 0.5 * WIDTH_MM)
    ]
    hull = cv2.convexHull(np.concatenate(circles).astype(np.float32))
    return np.asarray(hull, dtype=float).reshape(-1, 2)


def misfits_px(width_mm: float) -> float:
    """How far the hull is from what is expected for an edge so wide, its mean radius being free."""
    scene = Scene(
        {
            **TRUTH,
            **{f"flange_{k}": 0.0 for k in ("shift_x", "shift_y", "oval_cos", "oval_sin")},
            "flange_radius": RADIUS_MM,
            "flange_height": HEIGHT_MM,
            "part_edge_width": width_mm,
        }
    )
    seen = RoundPartSeen(rounded_edge_px(), 1.0, "flange", edge_slant(scene, HEIGHT_MM))
    return float(np.std(seen.residuals(scene)))


def test_a_rounded_edge_looks_as_oval_as_its_width_makes_it() -> None:
    widths_mm = np.linspace(0.0, 3.0, 61)
    misfits = [misfits_px(width_mm) for width_mm in widths_mm]
    # |cos t| has harmonics beyond the second, so that some of the misfit stays.
    assert widths_mm[int(np.argmin(misfits))] == pytest.approx(WIDTH_MM, rel=0.15)
    assert min(misfits) < 0.4 * misfits[0]
