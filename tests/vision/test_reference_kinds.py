"""Things of known size against the standards that lay it down; two clicked points."""

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_pictures import Points, as_bgr, averaged, picture_of
from uncertainties import ufloat

from whirlwise.vision.errors import WrongHintError
from whirlwise.vision.geometry.camera import Camera
from whirlwise.vision.geometry.plane import BandPlane
from whirlwise.vision.references import (
    AUTOMATIC_KINDS,
    REFERENCE_KINDS,
    FoundReference,
    ReferenceRequest,
    Surroundings,
)
from whirlwise.vision.references.rectangle import A4_SHEET, A5_SHEET, CARD_SHEET, LETTER_SHEET, StandardSheet
from whirlwise.vision.references.search import look_for

PICTURE = picture_of(np.zeros((300, 400, 3), np.uint8))
ANYWHERE = Surroundings(
    BandPlane.from_tilt(Camera(480.0, (200.0, 150.0)), (0.0, 0.0), (0.0, 0.0), 1500.0), 280.0
)


@pytest.mark.parametrize(
    ("sheet", "long_mm", "short_mm", "tolerances_mm"),
    [
        # ISO/IEC 7810, ID-1; an unused card is 85.47 to 85.72 by 53.92 to 54.03 mm (limits from memory).
        (CARD_SHEET, 85.60, 53.98, (0.125, 0.055)),
        # ISO 216: A4 and A5; sides up to 600 mm within 2 mm, up to 150 mm within 1.5 mm (read second-hand).
        (A4_SHEET, 297.0, 210.0, (2.0, 2.0)),
        (A5_SHEET, 210.0, 148.0, (2.0, 1.5)),
        # ANSI/ASME Y14.1: 8.5 x 11 in of 25.4 mm; the tolerance of ISO 216 is taken.
        (LETTER_SHEET, 11 * 25.4, 8.5 * 25.4, (2.0, 2.0)),
    ],
    ids=lambda value: value.name if isinstance(value, StandardSheet) else "",
)
def test_standard_sizes(
    sheet: StandardSheet, long_mm: float, short_mm: float, tolerances_mm: tuple[float, float]
) -> None:
    assert [sheet.long_mm, sheet.short_mm] == pytest.approx([long_mm, short_mm])
    # A tolerance bounds a rectangular distribution (JCGM 100:2008, 4.3.7); two sides that err each for itself
    # share one scale, so the least doubt of it is that of their mean.
    shares = np.array(tolerances_mm) / np.sqrt(3) / [long_mm, short_mm]
    assert sheet.size_doubt >= np.hypot(*shares) / 2


def test_every_kind_bears_its_name() -> None:
    assert {name: kind.name for name, kind in REFERENCE_KINDS.items()} == {k: k for k in REFERENCE_KINDS}
    kinds = {"card", "a4", "a5", "letter", "rule", "coin", "marker", "sheet", "points"}
    assert set(REFERENCE_KINDS) == kinds


def test_what_needs_more_than_its_name_is_never_looked_for_unasked() -> None:
    for name in AUTOMATIC_KINDS:
        kind = REFERENCE_KINDS[name]
        assert not kind.needs_length
        assert not kind.needs_points
    assert REFERENCE_KINDS["marker"].needs_length
    assert REFERENCE_KINDS["points"].needs_length
    assert REFERENCE_KINDS["points"].needs_points


def two_points(request: ReferenceRequest) -> list[FoundReference]:
    found = REFERENCE_KINDS["points"].find(PICTURE, ANYWHERE, request)
    return [reference for reference in found if isinstance(reference, FoundReference)]


def test_two_points_are_where_they_were_clicked() -> None:
    (found,) = two_points(ReferenceRequest("points", ufloat(300, 0.6), ((10.5, 20.0), (390.0, 280.25))))
    assert found.corners_px.tolist() == [[10.5, 20.0], [390.0, 280.25]]
    assert (found.kind, found.width_mm, found.height_mm) == ("points", 300.0, 0.0)
    assert found.size_doubt == pytest.approx(0.002)
    # A click is where a finger or a mouse went: a pixel or two, never a fraction of one.
    assert 1 <= found.deviation_px <= 3


@pytest.mark.parametrize(
    ("point", "named"), [((400.0, 20.0), "400,20"), ((-1.0, 20.0), "-1,20"), ((20.0, 299.5), "20,299.5")]
)
def test_points_outside_the_picture_are_refused(point: tuple[float, float], named: str) -> None:
    with pytest.raises(WrongHintError) as error:
        two_points(ReferenceRequest("points", ufloat(300, 0.5), ((10.0, 20.0), point)))
    assert str(error.value) == (
        f"The point {named} lies outside the picture, which is 400 x 300 pixels. "
        "Point at two marks inside it."
    )


@pytest.mark.parametrize(
    "request_",
    [
        ReferenceRequest("points", None, ((10.0, 20.0), (30.0, 40.0))),
        ReferenceRequest("points", ufloat(300, 0.5)),
        ReferenceRequest("points", ufloat(300, 0.5), ((10.0, 20.0),)),
        ReferenceRequest("points", ufloat(300, 0.5), ((1.0, 2.0), (3.0, 4.0), (5.0, 6.0))),
    ],
    ids=["no length", "no points", "one point", "three points"],
)
def test_too_few_words_about_two_points(request_: ReferenceRequest) -> None:
    with pytest.raises(WrongHintError) as error:
        two_points(request_)
    assert str(error.value) == (
        "Two points need their pixels and their distance: give them as points=X1,Y1,X2,Y2,300mm."
    )


@pytest.mark.parametrize("second", [(10.0, 20.0), (12.0, 19.0), (10.0, 39.9)])
def test_one_place_clicked_twice_is_no_distance(second: tuple[float, float]) -> None:
    with pytest.raises(WrongHintError) as error:
        two_points(ReferenceRequest("points", ufloat(300, 0.5), ((10.0, 20.0), second)))
    assert str(error.value) == (
        "The two points lie less than 20 pixels from each other. "
        "Point at two marks far apart, such as both ends of a ruler."
    )


def drawn_beside(away_radii: float) -> tuple[FoundReference, ...]:
    """What is found of a card that lies so many rim radii from the hub, in an otherwise bare picture."""
    around = Surroundings(
        BandPlane.from_tilt(Camera(900.0, (700.0, 300.0)), (0.0, 0.0), (0.0, 0.0), 600.0), 250.0
    )
    middle = np.array([away_radii * around.rim_radius_mm, 30.0])

    def grey_at(places: Points) -> NDArray[np.float64]:
        over = np.abs(around.plane.plane_from_pixels(places) - middle) - [42.8 - 3.18, 26.99 - 3.18]
        outside = np.linalg.norm(np.maximum(over, 0), axis=1) + np.minimum(over.max(axis=1), 0)
        return np.where(outside < 3.18, 190.0, 110.0)

    picture = picture_of(as_bgr(averaged((1400, 600), grey_at), 0.8, 4.0, 0))
    with ThreadPoolExecutor(1) as workers:
        return look_for(picture, [around], [ReferenceRequest("card")], workers).found


@pytest.mark.parametrize("away_radii", [0.5, 1.5])
def test_a_card_is_found_on_the_wheel_and_beside_it(away_radii: float) -> None:
    """ISO/IEC 7810, ID-1: 85.60 x 53.98 mm, corners rounded by 3.18 mm."""
    best = max(drawn_beside(away_radii), key=lambda card: card.outlined)
    assert best.clear
    lengths_px = np.linalg.norm(np.roll(best.corners_px, -1, axis=0) - best.corners_px, axis=1)
    assert lengths_px[::2] == pytest.approx(1.5 * 85.60, rel=0.005)
    assert lengths_px[1::2] == pytest.approx(1.5 * 53.98, rel=0.005)
