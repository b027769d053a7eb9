"""Markers drawn in a known perspective: their corners to a fraction of a pixel."""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_pictures import Bgr, Grey, Points, averaged, light_of, photographed, picture_of
from uncertainties import UFloat, ufloat

from whirlwise.vision.errors import WrongHintError
from whirlwise.vision.geometry.camera import Camera
from whirlwise.vision.geometry.plane import BandPlane
from whirlwise.vision.references import REFERENCE_KINDS, FoundReference, ReferenceRequest, Surroundings

SIZE = (320, 260)
#: Corners of a square sheet in perspective, clockwise from the marker's own first corner.
SQUARE_ON = np.array([[110.3, 80.6], [200.3, 80.6], [200.3, 170.6], [110.3, 170.6]])
TILTED = np.array([[104.2, 84.7], [188.9, 70.3], [201.4, 168.8], [112.6, 159.1]])
TURNED = np.array([[190.6, 66.9], [214.2, 157.3], [121.8, 178.4], [100.7, 92.2]])

#: The wheel has no say in how a marker is found.
ANYWHERE = Surroundings(
    BandPlane.from_tilt(Camera(400.0, (160.0, 130.0)), (0.0, 0.0), (0.0, 0.0), 1500.0), 280.0
)


def drawn(corners_px: Points, number: int = 7, size: int = 4) -> Grey:
    """Light from a marker of OpenCV's dictionaries with ``size`` x ``size`` fields, on paper before wood."""
    name = {4: cv2.aruco.DICT_4X4_50, 6: cv2.aruco.DICT_6X6_50}[size]
    fields = cv2.aruco.generateImageMarker(cv2.aruco.getPredefinedDictionary(name), number, size + 2) > 128
    unit = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], np.float32)
    to_unit = np.linalg.inv(cv2.getPerspectiveTransform(unit, corners_px.astype(np.float32)).astype(float))

    def value_at(places: Points) -> NDArray[np.float64]:
        homogeneous = np.column_stack([places, np.ones(len(places))]) @ to_unit.T
        x, y = (homogeneous[:, :2] / homogeneous[:, 2:]).T
        on_marker = (x >= 0) & (x < 1) & (y >= 0) & (y < 1)
        on_paper = (x > -0.2) & (x < 1.2) & (y > -0.2) & (y < 1.2)
        column, row = (np.clip(np.floor(v * (size + 2)), 0, size + 1).astype(int) for v in (x, y))
        grey = np.select([on_marker, on_paper], [np.where(fields[row, column], 210.0, 40.0), 210.0], 120.0)
        return light_of(grey)

    return averaged(SIZE, value_at)


def found_in(bgr: Bgr, length_mm: UFloat | None = None) -> list[FoundReference]:
    request = ReferenceRequest("marker", ufloat(60, 0.25) if length_mm is None else length_mm)
    found = REFERENCE_KINDS["marker"].find(picture_of(bgr), ANYWHERE, request)
    return [reference for reference in found if isinstance(reference, FoundReference)]


@pytest.mark.parametrize("corners_px", [SQUARE_ON, TILTED, TURNED], ids=["square on", "tilted", "turned"])
@pytest.mark.parametrize("number", [0, 7, 23])
def test_corners_of_a_drawn_marker(corners_px: Points, number: int) -> None:
    (found,) = found_in(photographed(drawn(corners_px, number), blur_px=0.7))
    # In the marker's own order. A lens blurs light, so only there edges lie in the middle of their blur.
    off_px = np.linalg.norm(found.corners_px - corners_px, axis=1)
    assert off_px.max() < 0.12
    assert off_px.max() < found.deviation_px


@pytest.mark.parametrize("corners_px", [SQUARE_ON, TILTED, TURNED], ids=["square on", "tilted", "turned"])
@pytest.mark.parametrize("brighter", [1.5, 2.5, 4.0])
def test_white_that_the_camera_clips_does_not_make_the_black_narrower(
    corners_px: Points, brighter: float
) -> None:
    """A clipped pixel at an edge looks as white as the paper, so all that is white seems to grow."""
    (found,) = found_in(photographed(brighter * drawn(corners_px), blur_px=0.9))
    off_px = np.linalg.norm(found.corners_px - corners_px, axis=1)
    assert off_px.max() < 0.2


def test_refitted_corners_are_better_than_the_detectors() -> None:
    bgr = photographed(drawn(TILTED), blur_px=0.7, noise=3.0, seed=4)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    corners, _, _ = cv2.aruco.ArucoDetector(dictionary).detectMarkers(cv2.cvtColor(bgr, cv2.COLOR_BGR2GRAY))
    detected = np.asarray(corners[0], dtype=float).reshape(4, 2)
    (found,) = found_in(bgr)
    ours, theirs = (np.linalg.norm(c - TILTED, axis=1).max() for c in (found.corners_px, detected))
    assert ours < 0.25
    assert ours < theirs


def test_corners_with_noise_scatter_less_than_they_claim() -> None:
    clean = drawn(TILTED)
    corners = []
    for seed in range(12):
        (found,) = found_in(photographed(clean, blur_px=0.7, noise=8.0, seed=seed))
        corners.append(found.corners_px)
    assert np.std(corners, axis=0).max() < 0.1
    assert np.abs(np.array(corners) - TILTED).max() < 3 * found.deviation_px


def test_a_marker_has_the_side_that_was_named() -> None:
    (found,) = found_in(photographed(drawn(TILTED), blur_px=0.7), ufloat(80, 0.4))
    assert (found.kind, found.width_mm, found.height_mm) == ("marker", 80.0, 80.0)
    assert found.size_doubt == pytest.approx(0.005)


def test_two_markers_are_both_found() -> None:
    first, second = 0.45 * SQUARE_ON + [0, 20], 0.45 * TURNED + [140, 60]
    both = np.where(np.arange(SIZE[0]) < 145, drawn(first, 3), drawn(second, 11))
    found = sorted(
        found_in(photographed(both, blur_px=0.5)), key=lambda marker: float(marker.corners_px[0, 0])
    )
    assert len(found) == 2
    for marker, corners_px in zip(found, (first, second), strict=True):
        assert np.linalg.norm(marker.corners_px - corners_px, axis=1).max() < 0.3


def test_without_its_side_a_marker_is_no_reference() -> None:
    picture = picture_of(photographed(drawn(TILTED)))
    with pytest.raises(WrongHintError) as error:
        REFERENCE_KINDS["marker"].find(picture, ANYWHERE, ReferenceRequest("marker"))
    assert str(error.value) == ("A marker needs the length of its side: give it as marker=60mm, for example.")


@pytest.mark.parametrize("seed", range(4))
def test_noise_is_no_marker(seed: int) -> None:
    rng = np.random.default_rng(seed)
    assert found_in(rng.integers(0, 256, (260, 320, 3)).astype(np.uint8)) == []
    # Coarse noise has dark squares in it.
    coarse = rng.integers(0, 2, (13, 16)).astype(float).repeat(20, axis=0).repeat(20, axis=1) * 255
    assert found_in(photographed(coarse, blur_px=0.7)) == []


def test_a_marker_of_another_kind_is_none() -> None:
    assert found_in(photographed(drawn(SQUARE_ON, number=4, size=6), blur_px=0.7)) == []


@pytest.mark.parametrize("corners_px", [SQUARE_ON, TILTED, TURNED], ids=["square on", "tilted", "turned"])
@pytest.mark.parametrize("radius_px", [8, 10])
def test_something_before_a_corner_does_not_move_it(corners_px: Points, radius_px: int) -> None:
    """A spoke's end before one corner: the detector cuts it off, the sides go on to where it is."""
    bgr = photographed(drawn(corners_px), blur_px=0.7)
    x, y = corners_px[3] + 0.03 * (corners_px.mean(axis=0) - corners_px[3])
    cv2.circle(bgr, (int(x), int(y)), radius_px, (120, 150, 175), -1, cv2.LINE_AA)
    (found,) = found_in(bgr)
    off_px = np.linalg.norm(found.corners_px - corners_px, axis=1)
    assert off_px.max() < found.deviation_px
