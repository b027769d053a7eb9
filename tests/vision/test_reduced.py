"""Large pictures: the same wheel, the same places, whatever the number of pixels."""

from pathlib import Path

import cv2
import numpy as np
import pytest
from tests.vision.drawn_pictures import exif_segment, picture_of, write_jpeg
from tests.vision.drawn_scenes import seen_by_opencv
from tests.vision.drawn_wheels import FOCAL_35MM, SIZE, WHEEL, spindle_mm, wheel_with_card
from uncertainties import ufloat

from whirlwise.vision.errors import WrongHintError
from whirlwise.vision.measured import HALF_WIDTH_95, NotMeasured
from whirlwise.vision.open.reduced import REDUCED_PIXELS, reduced, resized
from whirlwise.vision.photo import PhotoSettings, measure_photo
from whirlwise.vision.references import ReferenceRequest


def test_small_pictures_stay_as_they_are() -> None:
    picture = picture_of(np.zeros((300, 400, 3), np.uint8))
    assert reduced(picture) is picture


@pytest.mark.parametrize("size", [(8160, 6120), (3024, 4032)])
def test_large_ones_keep_their_shape_and_their_lens(size: tuple[int, int]) -> None:
    picture = picture_of(np.zeros((size[1], size[0], 3), np.uint8))
    small = reduced(picture)
    assert small.width_px * small.height_px == pytest.approx(REDUCED_PIXELS, rel=1e-3)
    assert small.width_px / small.height_px == pytest.approx(size[0] / size[1], rel=1e-3)
    # The angle of view is the same: focal length over width.
    assert small.focal_px / small.width_px == pytest.approx(picture.focal_px / picture.width_px, rel=1e-9)


def test_a_place_stays_where_it_is() -> None:
    """The middle of a spot in a large picture and in the reduced one are one place."""
    x, y = 1700.3, 2500.8
    rows, columns = np.mgrid[:3000, :4000].astype(np.float32)
    spot = np.rint(250 * np.exp(-((columns - x) ** 2 + (rows - y) ** 2) / (2 * 12.0**2))).astype(np.uint8)
    picture = picture_of(np.dstack([spot] * 3))
    small = reduced(picture)
    weights = small.bgr[..., 0].astype(float)
    rows, columns = np.mgrid[: small.height_px, : small.width_px]
    seen = (float((weights * columns).sum() / weights.sum()), float((weights * rows).sum() / weights.sum()))
    settings = resized(PhotoSettings(hub_px=(x, y)), picture.size, small.size)
    assert settings.hub_px == pytest.approx(seen, abs=0.02)
    back = resized(settings, small.size, picture.size)
    assert back.hub_px == pytest.approx((x, y))


def test_all_that_stands_in_pixels_moves_and_nothing_else() -> None:
    request = ReferenceRequest("points", ufloat(300, 1), ((9.5, 19.5), (29.5, 39.5)))
    settings = PhotoSettings(references=(request,), whirls_px=((99.5, 49.5),), band_mm=ufloat(2.4, 0.1))
    large, small = (picture_of(np.zeros((h, 2 * h, 3), np.uint8)) for h in (100, 50))
    half = resized(settings, large.size, small.size)
    assert half.references[0].points_px == ((4.5, 9.5), (14.5, 19.5))
    assert half.whirls_px == ((49.5, 24.5),)
    assert half.hub_px is None
    assert (half.references[0].length_mm, half.band_mm) == (request.length_mm, settings.band_mm)


def test_a_wheel_in_many_pixels(tmp_path: Path) -> None:
    """As a phone stores it that makes 24 megapixels of what its lens gives."""
    large = 4.5
    size = (round(large * SIZE[0]), round(large * SIZE[1]))
    bgr = np.asarray(cv2.resize(wheel_with_card(), size, interpolation=cv2.INTER_CUBIC), dtype=np.uint8)
    path = write_jpeg(tmp_path / "large.jpg", bgr, exif_segment(1, FOCAL_35MM))
    hub, whirl = (
        large * (seen_by_opencv(np.array([np.zeros(2), spindle_mm()]), 0.0, WHEEL) + 0.5) - 0.5
    ).tolist()
    reading = measure_photo(path, PhotoSettings(whirls_px=((whirl[0] + 25, whirl[1] - 20),)))
    ratio = 1 / reading.whirls[0].pitch_per_wheel_pitch
    truth = WHEEL["pitch_radius"] / WHEEL["loop1_radius"]
    assert abs(ratio.nominal_value - truth) <= HALF_WIDTH_95 * ratio.std_dev
    assert ratio.nominal_value == pytest.approx(truth, rel=0.05)
    # All places are those of the large picture.
    assert not isinstance(reading.wheel, NotMeasured)
    assert reading.wheel.hub_px == pytest.approx(hub, abs=3 * large)
    assert reading.whirls[0].centre_px == pytest.approx(whirl, abs=8 * large)
    rim = reading.wheel.evidence
    assert np.linalg.norm(rim.points_px.mean(axis=0) - hub) < 0.1 * np.ptp(rim.outline_px[:, 0])


def test_points_outside_a_large_picture_are_told_in_its_own_pixels(tmp_path: Path) -> None:
    path = write_jpeg(tmp_path / "large.jpg", np.full((3000, 4000, 3), 128, np.uint8))
    request = ReferenceRequest("points", ufloat(300, 1), ((10.0, 10.0), (4000.0, 20.0)))
    with pytest.raises(WrongHintError) as error:
        measure_photo(path, PhotoSettings(references=(request,)))
    assert str(error.value) == (
        "--reference points 4000,20 lies outside the picture, which is 4000 x 3000 pixels. "
        "Point at a place inside it."
    )
