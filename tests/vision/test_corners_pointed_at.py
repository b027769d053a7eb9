"""A card at whose corners somebody points: drawn in perspective, alone, among bricks, and without an edge."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from tests.vision.drawn_pictures import Bgr, Points, exif_segment, picture_of, write_jpeg
from tests.vision.drawn_rules import GROUND, Stand
from tests.vision.drawn_scenes import card_px
from tests.vision.drawn_wheels import FOCAL_35MM, WHEEL, wheel_with_card
from uncertainties import UFloat, ufloat

from whirlwise.vision.geometry.camera import Camera
from whirlwise.vision.geometry.plane import BandPlane
from whirlwise.vision.measured import HALF_WIDTH_95, NotMeasured
from whirlwise.vision.photo import PhotoSettings, measure_photo
from whirlwise.vision.photo_reading import WheelReading
from whirlwise.vision.references import REFERENCE_KINDS, FoundReference, ReferenceRequest, Surroundings
from whirlwise.vision.references.rectangle import SIDE_DEVIATION_PX, TAP_DEVIATION_PX

TILT_RAD = np.radians(14.0)
STAND = Stand((640, 640), focal_px=1300.0, distance_mm=1000.0, tilt_rad=TILT_RAD, turn_rad=0.3)
#: ISO/IEC 7810, ID-1: 85.60 x 53.98 mm, corners rounded by 3.18 mm.
CARD_MM, ROUNDED_MM = np.array([85.60, 53.98]), 3.18
MIDDLE_MM = np.array([-150.0, 90.0])
CORNERS_MM = MIDDLE_MM + 0.5 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * CARD_MM
FACE = 190.0


def surroundings() -> Surroundings:
    camera = Camera(STAND.focal_px, ((STAND.size[0] - 1) / 2, (STAND.size[1] - 1) / 2))
    plane = BandPlane.from_tilt(camera, (0.0, -TILT_RAD), (0.0, 0.0), STAND.distance_mm)
    return Surroundings(plane, 280.0)


def in_card(points_mm: Points) -> Points:
    """Depth in mm within the card's outline, outside negative."""
    over = np.abs(points_mm - MIDDLE_MM) - CARD_MM / 2 + ROUNDED_MM
    inside = np.minimum(over.max(axis=1), 0) + np.linalg.norm(np.maximum(over, 0), axis=1)
    return np.asarray(ROUNDED_MM - inside)


def card_alone(points_mm: Points) -> Points:
    return np.where(in_card(points_mm) > 0, FACE, GROUND)


def card_among_bricks(points_mm: Points) -> Points:
    """Bricks of the card's own size behind it, light joints between them."""
    row = np.floor(points_mm[:, 1] / CARD_MM[1])
    along = points_mm[:, 0] + 0.5 * CARD_MM[0] * np.mod(row, 2)
    joint = (np.mod(points_mm[:, 1], CARD_MM[1]) < 4) | (np.mod(along, CARD_MM[0]) < 4)
    return np.where(in_card(points_mm) > 0, FACE - 40, np.where(joint, FACE, GROUND))


def nothing(points_mm: Points) -> Points:
    return np.full(len(points_mm), GROUND)


def corners_px() -> Points:
    """Where the sides cross, clockwise as seen; the stand turns what lies in its plane."""
    cosine, sine = np.cos(STAND.turn_rad), np.sin(STAND.turn_rad)
    return STAND.pixels_from_plane(CORNERS_MM @ np.array([[cosine, sine], [-sine, cosine]]))


def taps(seed: int) -> Points:
    """Taps about the corners, by a finger, in whatever order."""
    rng = np.random.default_rng(seed)
    return rng.permutation(corners_px() + rng.normal(0, TAP_DEVIATION_PX, (4, 2)))


def found_in(bgr: Bgr, taps_px: Points) -> FoundReference | NotMeasured:
    request = ReferenceRequest("card", points_px=tuple((float(x), float(y)) for x, y in taps_px))
    (found,) = REFERENCE_KINDS["card"].find(picture_of(bgr), surroundings(), request)
    return found


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("ground", [card_alone, card_among_bricks])
def test_sides_are_found_near_the_taps(ground: Callable[[Points], Points], seed: int) -> None:
    found = found_in(STAND.drawn(ground, noise=3.0, seed=seed), taps(seed))
    assert isinstance(found, FoundReference)
    assert found.certain
    assert found.deviation_px == SIDE_DEVIATION_PX
    # The first side is a long one, and the corners go round clockwise as the true ones do.
    turned = [np.roll(corners_px(), k, axis=0) for k in (0, 2)]
    assert min(np.linalg.norm(found.corners_px - true, axis=1).max() for true in turned) < 1.0


@pytest.mark.parametrize("seed", range(3))
def test_without_an_edge_the_taps_stand_with_a_fingers_doubt(seed: int) -> None:
    tapped = taps(seed)
    found = found_in(STAND.drawn(nothing, noise=3.0), tapped)
    assert isinstance(found, FoundReference)
    assert found.deviation_px == TAP_DEVIATION_PX
    assert {tuple(corner) for corner in found.corners_px} == {tuple(tap) for tap in tapped}
    # A rounded corner is seen (1 - sqrt 1/2) of its radius inside either side, at both ends of each.
    assert found.size_doubt == pytest.approx(2 * 0.293 * ROUNDED_MM / CARD_MM.mean(), rel=0.02)


def test_corners_of_something_else_are_told() -> None:
    square = corners_px().mean(axis=0) + 40.0 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    found = found_in(STAND.drawn(card_alone), square)
    assert isinstance(found, NotMeasured)
    assert found.reason.startswith("The four corners that you pointed at are not those of the card")


def test_without_taps_it_is_looked_for_as_ever() -> None:
    found = REFERENCE_KINDS["card"].find(
        picture_of(STAND.drawn(card_alone)), surroundings(), ReferenceRequest("card")
    )
    assert found
    assert all(isinstance(each, FoundReference) and not each.certain for each in found)


def test_a_wheel_is_as_large_by_corners_pointed_at_as_it_is(tmp_path: Path) -> None:
    true_px = card_px(WHEEL)
    taps_px = true_px + np.random.default_rng(5).normal(0, TAP_DEVIATION_PX, (4, 2))
    request = ReferenceRequest("card", points_px=tuple((float(x), float(y)) for x, y in taps_px))
    path = write_jpeg(tmp_path / "wheel.jpg", wheel_with_card(), exif_segment(1, FOCAL_35MM))
    offset_mm = ufloat(WHEEL["card_height"], 1.0)
    reading = measure_photo(path, PhotoSettings(references=(request,), offset_mm=offset_mm))
    assert [each.kind for each in reading.references] == ["card"]
    seen_px = np.array(reading.references[0].corners_px)
    assert max(np.linalg.norm(true_px - corner, axis=1).min() for corner in seen_px) < 1.0
    assert isinstance(reading.wheel, WheelReading)
    outer_mm = reading.wheel.outer_mm
    assert isinstance(outer_mm, UFloat)
    assert abs(outer_mm.nominal_value - 2 * WHEEL["rim_radius"]) < HALF_WIDTH_95 * outer_mm.std_dev
    assert outer_mm.std_dev < 0.015 * outer_mm.nominal_value
