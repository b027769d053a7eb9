"""Coins: their sizes from the law, round outlines as they are drawn, which round thing is taken for one."""

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from tests.vision.drawn_pictures import Bgr, Points, picture_of
from tests.vision.drawn_rules import GROUND, Stand
from uncertainties import ufloat

from whirlwise.vision.errors import WrongHintError
from whirlwise.vision.find.round_outline import round_outline
from whirlwise.vision.geometry.camera import Camera
from whirlwise.vision.geometry.plane import BandPlane
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.references import FoundReference, ReferenceRequest, Surroundings
from whirlwise.vision.references.coin import NO_COIN, SEVERAL, find_coin
from whirlwise.vision.references.coins import coin_diameter_mm
from whirlwise.vision.references.search import look_for

#: A phone before a wheel of 280 mm radius, of which only what lies on it is drawn; 1 px / mm.
TILT_RAD = np.radians(14.0)
STAND = Stand((640, 640), focal_px=1300.0, distance_mm=1000.0, tilt_rad=TILT_RAD)
RIM_RADIUS_MM = 280.0
COIN_MM = 24.26


def plane_of(tilt_rad: float) -> Surroundings:
    """What the rim would tell: the plane, in units in which its radius is known."""
    camera = Camera(STAND.focal_px, ((STAND.size[0] - 1) / 2, (STAND.size[1] - 1) / 2))
    return Surroundings(
        BandPlane.from_tilt(camera, (0.0, -tilt_rad), (0.0, 0.0), STAND.distance_mm), RIM_RADIUS_MM
    )


def drawn(*discs: tuple[float, float, float]) -> Bgr:
    """Discs (x, y, diameter) in mm, a rim's width darker ground."""

    def grey_at(points_mm: Points) -> Points:
        grey = np.full(len(points_mm), GROUND)
        for x, y, diameter in discs:
            away = np.hypot(points_mm[:, 0] - x, points_mm[:, 1] - y)
            grey = np.where(away < diameter / 2, 190.0, grey)
            grey = np.where(np.abs(away - 0.35 * diameter) < 0.5, 150.0, grey)
        return grey

    return STAND.drawn(grey_at, noise=3.0)


def found_in(bgr: Bgr, at: tuple[float, float] | None = None) -> FoundReference | NotMeasured:
    request = ReferenceRequest("coin", ufloat(COIN_MM, 0.05), () if at is None else (at,))
    (found,) = find_coin(picture_of(bgr), plane_of(TILT_RAD), request)
    return found


@pytest.mark.parametrize(
    ("name", "diameter_mm"),
    [
        # Council Regulation (EU) No 729/2014, annex I.
        *(("EUR-2", 25.75), ("EUR-1", 23.25), ("EUR-0.50", 24.25), ("eur-0.2", 22.25), ("EUR-0.1", 19.75)),
        *(("EUR-0.05", 21.25), ("EUR-0.02", 18.75), ("EUR-0.01", 16.25)),
        # United States Mint, coin specifications, in mm; from memory.
        *(("USD-0.25", 24.26), ("USD-0.01", 19.05), ("USD-0.05", 21.21), ("USD-0.10", 17.91)),
        *(("USD-0.5", 30.61), ("USD-1", 26.49)),
    ],
)
def test_sizes_of_coins(name: str, diameter_mm: float) -> None:
    known = coin_diameter_mm(name)
    assert known is not None
    assert known.nominal_value == pytest.approx(diameter_mm, abs=0.01)


@pytest.mark.parametrize("name", ["EUR-3", "XXX-1", "24.26mm", "EUR", "EUR-two", ""])
def test_what_is_no_coin(name: str) -> None:
    assert coin_diameter_mm(name) is None


def test_outlines_of_discs_have_the_ratio_of_their_sizes() -> None:
    picture = picture_of(drawn((-60.0, 20.0, 40.0), (-10.0, 20.0, 25.0)))
    seen = []
    for x in (-60.0, -10.0):
        middle = STAND.pixels_from_plane(np.array([[x + 2.0, 21.0]]))[0]
        outline = round_outline(picture.lab, middle, (10.0, 40.0))
        assert outline is not None
        assert outline.arc > 0.95
        seen.append(outline.diameter_px)
    ratio = seen[0] / seen[1]
    # The nearer one looks larger by its share of the distance: the picture's left is nearer.
    scale = (STAND.distance_mm - 10.0 * np.sin(TILT_RAD)) / (STAND.distance_mm - 60.0 * np.sin(TILT_RAD))
    assert ratio.nominal_value == pytest.approx(1.6 * scale, rel=0.01)
    assert abs(ratio.nominal_value - 1.6 * scale) < 2 * ratio.std_dev


def test_nothing_round_has_no_outline() -> None:
    picture = picture_of(drawn())
    assert round_outline(picture.lab, np.array([320.0, 320.0]), (10.0, 40.0)) is None


def test_a_coin_on_the_rim_is_found_and_as_large_as_it_is() -> None:
    found = found_in(drawn((-180.0, 100.0, COIN_MM)))
    assert isinstance(found, FoundReference)
    ends_mm = STAND.plane_from_pixels(found.corners_px)
    size_mm = float(np.linalg.norm(ends_mm[1] - ends_mm[0]))
    assert size_mm == pytest.approx(COIN_MM, rel=0.015)
    assert abs(size_mm - COIN_MM) < 2 * found.size_doubt * COIN_MM
    assert np.allclose(ends_mm.mean(axis=0), [-180.0, 100.0], atol=0.5)


def test_two_discs_of_different_size_leave_it_open_until_one_is_pointed_at() -> None:
    bgr = drawn((-180.0, 100.0, COIN_MM), (150.0, -120.0, 32.0))
    assert found_in(bgr) is SEVERAL
    x, y = STAND.pixels_from_plane(np.array([[-178.0, 101.0]]))[0]
    found = found_in(bgr, (float(x), float(y)))
    assert isinstance(found, FoundReference)
    assert np.linalg.norm(found.corners_px.mean(axis=0) - [x, y]) < 5.0


def test_the_hub_is_no_coin() -> None:
    assert found_in(drawn((10.0, 0.0, COIN_MM))) is NO_COIN


def test_pointing_outside_the_picture_is_told() -> None:
    with pytest.raises(WrongHintError, match="outside the picture"):
        found_in(drawn(), (900.0, 10.0))


def test_a_reason_counts_only_if_nothing_was_found_anywhere() -> None:
    picture = picture_of(drawn((-180.0, 100.0, COIN_MM)))
    request = ReferenceRequest("coin", ufloat(COIN_MM, 0.05))
    with ThreadPoolExecutor(1) as worker:
        both = look_for(picture, [plane_of(TILT_RAD), plane_of(np.radians(-40.0))], [request], worker)
        blank = look_for(picture_of(drawn()), [plane_of(TILT_RAD)], [request], worker)
    assert both.found
    assert both.missing == ()
    assert blank.found == ()
    assert blank.missing == (NO_COIN,)
