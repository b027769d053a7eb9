"""Reading picture files: upright pixels, the focal length, and one sentence for what cannot be read."""

import re
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.vision.drawn_pictures import Bgr, exif_segment, jpeg, write_jpeg

from whirlwise.vision.errors import UnreadableFileError
from whirlwise.vision.open.picture import Picture, open_picture

REMEDY = "Give a photo as the camera saved it, for example a JPEG or PNG file."

#: Where the first row and the first column of what is stored lie in the upright picture.
#: Source: CIPA DC-008 (Exif 2.3), tag Orientation (the table is also in TIFF 6.0).
FIRST_ROW_AND_COLUMN = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}


def upright() -> Bgr:
    """Four fields of different colours, wider than high."""
    bgr = np.zeros((96, 160, 3), np.uint8)
    bgr[:48, :80] = (30, 30, 220)
    bgr[:48, 80:] = (40, 200, 40)
    bgr[48:, :80] = (210, 60, 30)
    bgr[48:, 80:] = (200, 200, 200)
    return bgr


def stored(bgr: Bgr, orientation: int) -> Bgr:
    """Pixels as a camera held in that way stores them."""
    first_row, first_column = FIRST_ROW_AND_COLUMN[orientation]
    sides = {first_row, first_column}
    if "right" in sides:
        bgr = bgr[:, ::-1]
    if "bottom" in sides:
        bgr = bgr[::-1]
    if first_row in ("left", "right"):
        bgr = bgr.transpose(1, 0, 2)
    return np.ascontiguousarray(bgr)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "wheel.jpg"


@pytest.mark.parametrize("order", ["<", ">"], ids=["little-endian", "big-endian"])
@pytest.mark.parametrize("orientation", FIRST_ROW_AND_COLUMN)
def test_pictures_are_turned_upright(path: Path, orientation: int, order: str) -> None:
    write_jpeg(path, stored(upright(), orientation), exif_segment(orientation, 26, order))
    picture = open_picture(path)
    assert (picture.width_px, picture.height_px) == (160, 96)
    # JPEG smears colours by some grey values next to the fields' borders.
    middles = picture.bgr[24::48, 40::80].astype(int)
    assert np.abs(middles - upright()[24::48, 40::80]).max() <= 6
    # OpenCV is a second reader of the same tag.
    by_opencv = cv2.imread(str(path), cv2.IMREAD_COLOR)
    assert by_opencv is not None
    assert np.abs(by_opencv.astype(int) - picture.bgr).max() <= 6


def test_an_orientation_that_does_not_exist_changes_nothing(path: Path) -> None:
    write_jpeg(path, upright(), exif_segment(9, 26))
    assert open_picture(path).bgr.shape == (96, 160, 3)


@pytest.mark.parametrize("orientation", [1, 6])
@pytest.mark.parametrize("focal_35mm", [13, 26, 77])
def test_focal_length_from_its_35_mm_equivalent(path: Path, focal_35mm: int, orientation: int) -> None:
    bgr = np.zeros((200, 300, 3), np.uint8)
    write_jpeg(path, stored(bgr, orientation), exif_segment(orientation, focal_35mm))
    picture = open_picture(path)
    matrix = np.array([[picture.focal_px, 0, 149.5], [0, picture.focal_px, 99.5], [0, 0, 1]])
    # On a 3:2 picture a 36 x 24 mm frame must have just that focal length: OpenCV converts back.
    _, _, focal_mm, _, _ = cv2.calibrationMatrixValues(matrix, (300, 200), 36.0, 24.0)
    assert focal_mm == pytest.approx(focal_35mm)
    assert picture.focal_known
    assert picture.relative_focal_doubt == 0.05


def test_focal_length_goes_by_the_diagonal(path: Path) -> None:
    # 4:3, as phones have it: f35 / 43.27 mm times the diagonal of 500 px.
    write_jpeg(path, np.zeros((300, 400, 3), np.uint8), exif_segment(1, 26))
    assert open_picture(path).focal_px == pytest.approx(26 / 43.27 * 500, rel=1e-4)


@pytest.mark.parametrize(
    "segment",
    [b"", exif_segment(1, None), exif_segment(1, 0), exif_segment(1, 5), exif_segment(1, 5000)],
    ids=["no EXIF", "no focal length", "unknown", "5 mm", "5000 mm"],
)
def test_without_a_believable_focal_length_a_wide_guess(path: Path, segment: bytes) -> None:
    write_jpeg(path, np.zeros((300, 400, 3), np.uint8), segment)
    picture = open_picture(path)
    assert not picture.focal_known
    # A third either way about 27 mm: from an ultra-wide to a portrait lens at two deviations.
    assert picture.focal_px == pytest.approx(27 / 43.27 * 500, rel=1e-4)
    assert picture.relative_focal_doubt == 0.35


def test_a_picture_knows_what_lies_in_it(path: Path) -> None:
    picture = open_picture(write_jpeg(path, upright()))
    assert picture.name == "wheel.jpg"
    inside = [(-0.5, -0.5), (0.0, 95.4), (159.4, 0.0)]
    outside = [(-0.6, 5.0), (159.5, 5.0), (5.0, 95.5), (5.0, -0.6), (float("nan"), 5.0)]
    assert [picture.contains(point) for point in inside] == [True] * 3
    assert [picture.contains(point) for point in outside] == [False] * 5


@pytest.mark.parametrize(
    ("as_stored", "expected"),
    [
        (np.full((8, 8), 90, np.uint8), 90),
        (np.dstack([np.full((8, 8), 90, np.uint8)] * 3 + [np.full((8, 8), 255, np.uint8)]), 90),
        # 16 bits hold 257 times the grey value of 8.
        (np.full((8, 8, 3), 90 * 257, np.uint16), 90),
        (np.full((8, 8), 90 * 257, np.uint16), 90),
    ],
    ids=["grey", "with alpha", "16 bits a colour", "16 bits of grey"],
)
def test_other_pixels_become_8_bit_colours(
    tmp_path: Path, as_stored: "np.ndarray[tuple[int, ...], np.dtype[np.uint8 | np.uint16]]", expected: int
) -> None:
    path = tmp_path / "wheel.png"
    assert cv2.imwrite(str(path), as_stored)
    bgr = open_picture(path).bgr
    assert bgr.dtype == np.uint8
    assert np.unique(bgr).tolist() == [expected]
    assert bgr.shape == (8, 8, 3)


def error_of(read: Callable[[], Picture]) -> str:
    with pytest.raises(UnreadableFileError) as error:
        read()
    return str(error.value)


def test_missing_file(path: Path) -> None:
    assert error_of(lambda: open_picture(path)) == f"There is no file {path}. Check the name and the folder."


def test_folder(tmp_path: Path) -> None:
    assert error_of(lambda: open_picture(tmp_path)) == (
        f"{tmp_path} is a folder, not a picture. Name one picture file in it."
    )


def test_a_name_longer_than_any_file_has(tmp_path: Path) -> None:
    path = tmp_path / f"{'wheel' * 60}.jpg"
    assert error_of(lambda: open_picture(path)) == (
        f"{path} cannot be opened (File name too long). Check the name and the folder."
    )


@pytest.mark.skipif(not Path("/dev/null").exists(), reason="this system has no /dev/null")
def test_device() -> None:
    assert error_of(lambda: open_picture(Path("/dev/null"))) == (
        "/dev/null is a device, not a picture. Name a picture file."
    )


def test_a_file_that_may_not_be_read(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_jpeg(path, upright())

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    # Root may read everything, so the refusal is played.
    monkeypatch.setattr("whirlwise.vision.open.decoding.Image.open", refuse)
    assert error_of(lambda: open_picture(path)) == (
        f"{path} is a file that you may not read. Check the name and the folder."
    )


def test_empty_file(path: Path) -> None:
    path.touch()
    assert error_of(lambda: open_picture(path)) == (
        f"{path} is empty (0 bytes). Copy it from the camera once more."
    )


def test_text_named_as_a_picture(path: Path) -> None:
    path.write_text("spinning is fun\n" * 99)
    assert error_of(lambda: open_picture(path)) == f"{path} is not a picture that can be read here. {REMEDY}"


def test_half_a_picture(path: Path) -> None:
    noisy = np.random.default_rng(1).integers(0, 255, (96, 160, 3)).astype(np.uint8)
    whole = jpeg(noisy, exif_segment(1, 26))
    path.write_bytes(whole[: len(whole) // 2])
    # The words between the colon and the remedy are the decoder's.
    said = rf"{re.escape(str(path))} is damaged or broken off: image file is truncated \([^)]*\)\. {REMEDY}"
    assert re.fullmatch(said, error_of(lambda: open_picture(path)))


def test_a_picture_broken_off_anywhere_is_never_shown_in_part(path: Path) -> None:
    whole = jpeg(upright(), exif_segment(6, 26))
    for length in range(1, len(whole) - 2, 7):
        path.write_bytes(whole[:length])
        assert error_of(lambda: open_picture(path)).endswith(REMEDY)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.integers(8, 60), st.integers(0, 255)), min_size=1, max_size=3))
def test_damaged_exif_gives_a_picture_or_a_sentence(path: Path, damage: list[tuple[int, int]]) -> None:
    """The picture stays what it was; what is said of the camera may be lost, and nothing else happens."""
    spoilt = bytearray(jpeg(upright(), exif_segment(1, 26)))
    for place, byte in damage:
        spoilt[place] = byte
    path.write_bytes(spoilt)
    said, picture = "", None
    try:
        picture = open_picture(path)
    except UnreadableFileError as error:
        said = str(error)
    if picture is None:
        assert said.endswith(REMEDY)
    else:
        assert sorted(picture.bgr.shape) == [3, 96, 160]
        assert 8 / 43.27 < picture.focal_px / np.hypot(96, 160) < 1000 / 43.26
