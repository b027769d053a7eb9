"""The walls under a card's sides and a coin's edge, seen aslant, against things projected by OpenCV.

ISO/IEC 7810, ID-1: 0.76 mm thick. A euro: 23.25 mm across and 2.33 mm thick (from memory).
"""

from collections.abc import Mapping

import numpy as np
import pytest
from tests.vision.drawn_scenes import CARD_MM, TRUTH, card_mm, card_px, seen_by_opencv, unit
from uncertainties import ufloat

from whirlwise.vision.fit.coin_seen import CoinSeen
from whirlwise.vision.fit.rectangle_seen import side_names
from whirlwise.vision.fit.reference_terms import reference_unknowns
from whirlwise.vision.fit.scene import Scene
from whirlwise.vision.fit.unknowns import Unknown
from whirlwise.vision.references import FoundReference

THICK_MM = 0.76
COIN_MM, COIN_THICK_MM = 23.25, 2.33


def sides(thickness_mm: float, truth: Mapping[str, float] = TRUTH) -> dict[str, Unknown]:
    """What is known of where the sides' edges are seen, by name."""
    sides_px = tuple(np.zeros((0, 2)) for _ in range(4))
    card = FoundReference(
        "card", card_px(truth), *CARD_MM, 0.001, 0.6, sides_px=sides_px, thickness_mm=thickness_mm
    )
    unknowns = reference_unknowns("card", card, Scene(truth).plane, ufloat(truth["card_height"], 1.0))
    return {unknown.name: unknown for unknown in unknowns if unknown.name in side_names("card")}


def foot_outside_mm(k: int) -> float:
    """How far outside a side, in the card's own plane, the foot of the wall under it is seen."""
    height_mm = TRUTH["card_height"]
    corners = card_mm()
    start, end = corners[k], corners[(k + 1) % 4]
    foot_px = seen_by_opencv(0.5 * (start + end)[None], height_mm - THICK_MM)
    foot_mm = Scene(TRUTH).plane.plane_from_pixels(foot_px, height_mm)[0]
    along = (end - start) / np.linalg.norm(end - start)
    return float((foot_mm - start) @ [-along[1], along[0]])


@pytest.mark.parametrize("k", range(4))
def test_the_edge_lies_between_the_side_and_the_foot_of_its_wall(k: int) -> None:
    known = sides(THICK_MM)[side_names("card")[k]]
    assert known.prior is not None
    mean_mm, deviation_mm = known.prior
    foot_mm = max(foot_outside_mm(k), 0.0)
    assert mean_mm == pytest.approx(0.5 * foot_mm, abs=0.01)
    # Either end of the wall is well within what is allowed.
    assert 2 * deviation_mm > max(mean_mm, foot_mm - mean_mm)


def test_some_walls_are_seen_and_some_are_not() -> None:
    feet_mm = [foot_outside_mm(k) for k in range(4)]
    assert max(feet_mm) > 0.1
    assert min(feet_mm) < -0.1


def test_a_flat_sheet_has_no_walls() -> None:
    assert all(known.prior is not None and known.prior[0] == 0.0 for known in sides(0.0).values())


@pytest.mark.parametrize("down", [0.0, 0.4, 1.0])
def test_a_coins_edge_that_is_found_down_its_wall_is_explained(down: float) -> None:
    """On the side that faces the camera a share of the way down the wall, elsewhere on the face's edge."""
    middle_mm, height_mm, depth_mm = np.array([-90.0, 60.0]), 5.0, down * COIN_THICK_MM
    turn = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    edge_mm = middle_mm + 0.5 * COIN_MM * unit(turn)
    foot_mm = Scene(TRUTH).plane.camera_foot_mm
    faces_camera = np.sum(unit(turn) * (foot_mm - edge_mm), axis=1) > 0
    seen_px = seen_by_opencv(edge_mm, np.where(faces_camera, height_mm - depth_mm, height_mm))
    coin = CoinSeen.of_edge(seen_px, COIN_MM, 0.5, "coin")
    of_coin = {"coin_x": -90.0, "coin_y": 60.0, "coin_height": height_mm, "coin_size": 1.0}
    explained, flat = (
        coin.residuals(Scene({**TRUTH, **of_coin, "coin_wall": wall_mm})) for wall_mm in (depth_mm, 0.0)
    )
    # In hundredths of a pixel: beside the coin's own edge its wall is not quite a parallel.
    assert np.abs(0.5 * explained).max() < 0.05
    assert np.abs(0.5 * flat).max() == pytest.approx(0.0, abs=1e-6) or np.abs(0.5 * flat).max() > 0.2
