"""One drawn picture through every kind of file: the same pixels within what the kind loses."""

import io
import struct
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from tests.vision.drawn_pictures import Bgr, averaged
from tests.vision.icc_profiles import (
    P3_PRIMARIES,
    SRGB_PRIMARIES,
    coded,
    grey_profile,
    ink_profile,
    linear,
    matrix_profile,
    xyz_from_rgb,
)

from whirlwise.vision.errors import UnreadableFileError
from whirlwise.vision.open.picture import open_picture

SIZE = (240, 160)
LOSSLESS, SLIGHT = 0.0, 2.0

Rgb = NDArray[np.uint8]


def drawn() -> Rgb:
    """A light ring on a wall that darkens downwards, warm; edges averaged over pixels."""
    grey = averaged(
        SIZE,
        lambda p: np.where(
            np.abs(np.hypot(p[:, 0] - 111.3, p[:, 1] - 84.6) - 52) < 9, 226.0, 150 - 0.4 * p[:, 1]
        ),
    )
    return np.rint(grey[..., None] * [1.0, 0.8, 0.4]).astype(np.uint8)


RGB = drawn()
GREY = np.asarray(Image.fromarray(RGB).convert("L"))


def exif(orientation: int) -> bytes:
    """Orientation and a focal length of 26 mm equivalent (CIPA DC-008)."""
    told = Image.Exif()
    told[0x0112] = orientation
    told.get_ifd(0x8769)[0xA405] = 26
    return told.tobytes()


def as_stored(rgb: Rgb, orientation: int) -> Rgb:
    """How a camera held in that way stores it (CIPA DC-008, tag Orientation)."""
    turned = {1: rgb, 2: rgb[:, ::-1], 3: rgb[::-1, ::-1], 4: rgb[::-1]}
    swapped = rgb.transpose(1, 0, 2)
    turned |= {5: swapped, 6: swapped[::-1], 7: swapped[::-1, ::-1], 8: swapped[:, ::-1]}
    return np.ascontiguousarray(turned[orientation])


def read(path: Path) -> Rgb:
    return np.ascontiguousarray(open_picture(path).bgr[..., ::-1])


def loss(seen: Rgb, rgb: Rgb = RGB) -> float:
    """Root mean square difference in grey values."""
    assert seen.shape == rgb.shape
    return float(np.sqrt(np.mean((seen.astype(float) - rgb) ** 2)))


KINDS: dict[str, tuple[str, dict[str, Any], float]] = {
    "JPEG": ("jpg", {"quality": 95, "subsampling": 0}, SLIGHT),
    "progressive JPEG": ("jpg", {"quality": 95, "progressive": True}, SLIGHT),
    "PNG": ("png", {}, LOSSLESS),
    "WebP": ("webp", {"quality": 95}, SLIGHT),
    "lossless WebP": ("webp", {"lossless": True}, LOSSLESS),
    "TIFF": ("tif", {}, LOSSLESS),
    "HEIC": ("heic", {"quality": 95, "chroma": 444}, SLIGHT),
    "HEIF": ("heif", {"quality": 80}, 2 * SLIGHT),
    "AVIF": ("avif", {"quality": 95}, SLIGHT),
}


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_gives_the_same_upright_pixels(tmp_path: Path, kind: str, orientation: int) -> None:
    ending, options, allowed = KINDS[kind]
    path = tmp_path / f"wheel.{ending}"
    Image.fromarray(as_stored(RGB, orientation)).save(path, exif=exif(orientation), **options)
    picture = open_picture(path)
    assert loss(read(path)) <= allowed
    # The lens is told by every one of them: f35 / 43.27 mm times the diagonal (CIPA DC-008).
    assert picture.focal_known
    assert picture.focal_px == pytest.approx(26 / 43.27 * np.hypot(*SIZE), rel=1e-4)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_tiff_by_another_decoder(tmp_path: Path, orientation: int) -> None:
    """Where the pixels are packed another library decodes them, which may turn them by itself."""
    path = tmp_path / "wheel.tif"
    Image.fromarray(as_stored(RGB, orientation)).save(
        path, compression="tiff_lzw", tiffinfo={274: orientation}
    )
    assert loss(read(path)) == 0


@pytest.mark.parametrize("ending", ["bmp", "gif", "ppm", "tga", "jp2"])
def test_kinds_without_exif(tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"wheel.{ending}"
    stored = Image.fromarray(RGB)
    # A palette of 256 colours is close to these few; the others lose nothing.
    (stored.quantize(256) if ending == "gif" else stored).save(path)
    assert loss(read(path)) <= (2 * SLIGHT if ending == "gif" else LOSSLESS)
    assert not open_picture(path).focal_known


def test_palette(tmp_path: Path) -> None:
    path = tmp_path / "wheel.png"
    few = Image.fromarray(RGB).quantize(200)
    few.save(path)
    assert loss(read(path), np.asarray(few.convert("RGB"))) == 0


def test_grey(tmp_path: Path) -> None:
    for ending in ("png", "tif", "bmp"):
        path = tmp_path / f"wheel.{ending}"
        Image.fromarray(GREY).save(path)
        assert loss(read(path), np.dstack([GREY] * 3)) == 0


def test_black_and_white(tmp_path: Path) -> None:
    path = tmp_path / "wheel.png"
    Image.fromarray(GREY > 128).save(path)
    assert loss(read(path), np.dstack([(GREY > 128) * np.uint8(255)] * 3)) == 0


@pytest.mark.parametrize("ending", ["png", "tif"])
@pytest.mark.parametrize("pixels", [RGB, GREY], ids=["colour", "grey"])
def test_16_bits(tmp_path: Path, ending: str, pixels: Rgb) -> None:
    path = tmp_path / f"wheel.{ending}"
    rng = np.random.default_rng(0)
    deep = np.clip(pixels.astype(int) * 257 + rng.integers(-128, 129, pixels.shape), 0, 65535).astype(
        np.uint16
    )
    # OpenCV writes it, so that two libraries have to agree on what 16 bits mean.
    assert cv2.imwrite(str(path), deep[..., ::-1] if deep.ndim == 3 else deep)
    off = read(path).astype(int) - (pixels if pixels.ndim == 3 else pixels[..., None])
    # A library may round the lower 8 bits or cut them off; clipping or a wrong byte would be off by far more.
    assert set(np.unique(off)) <= {-1, 0, 1}


def test_pixels_without_a_white_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "wheel.tif"
    for pixels in (GREY.astype(np.float32), GREY.astype(np.int32)):
        Image.fromarray(pixels).save(path)
        with pytest.raises(UnreadableFileError) as error:
            open_picture(path)
        assert str(error.value) == (
            f"{path} has 32 bits a pixel, and nothing in it tells which number is white; "
            "save it with 8 or 16."
        )


@pytest.mark.parametrize("ending", ["png", "webp", "tif", "heic"])
def test_what_is_transparent_is_white(tmp_path: Path, ending: str) -> None:
    """Whatever colour lies hidden under it; half transparent is half white (Porter and Duff 1984, over)."""
    alpha = np.full(GREY.shape, 255, np.uint8)
    alpha[:50], alpha[50:100] = 0, 128
    path = tmp_path / f"wheel.{ending}"
    lossless = (
        {"lossless": True} if ending == "webp" else {"quality": -1, "chroma": 444} if ending == "heic" else {}
    )
    Image.fromarray(np.dstack([RGB, alpha])).save(path, **lossless)
    share = alpha[..., None] / 255
    over_white = share * RGB + (1 - share) * 255
    assert np.abs(read(path) - over_white).max() <= (3 if ending == "heic" else 1)


def test_a_transparent_palette_colour_is_white(tmp_path: Path) -> None:
    path = tmp_path / "wheel.png"
    two = Image.fromarray((GREY > 128).astype(np.uint8), "P")
    two.putpalette([10, 20, 30, 200, 100, 50])
    two.save(path, transparency=0)
    expected = np.where((GREY > 128)[..., None], np.array([200, 100, 50]), 255).astype(np.uint8)
    assert loss(read(path), expected) == 0


def as_p3(rgb: Rgb) -> Rgb:
    """The numbers that a display of P3 needs to show the colours that sRGB means by these."""
    to_p3 = np.linalg.solve(xyz_from_rgb(P3_PRIMARIES), xyz_from_rgb(SRGB_PRIMARIES))
    return np.rint(255 * coded(linear(rgb / 255) @ to_p3.T)).astype(np.uint8)


@pytest.mark.parametrize("ending", ["png", "jpg", "tif", "webp", "heic"])
def test_colours_of_phones_are_understood(tmp_path: Path, ending: str) -> None:
    stored = as_p3(RGB)
    # The colours of sRGB need other numbers in P3, else this test would show nothing.
    assert loss(stored) > 4
    path = tmp_path / f"wheel.{ending}"
    options = (
        {"quality": 97, "subsampling": 0}
        if ending == "jpg"
        else {"lossless": True}
        if ending == "webp"
        else {}
    )
    Image.fromarray(stored).save(path, icc_profile=matrix_profile(P3_PRIMARIES, "wide"), **options)
    # Two roundings to 8 bits, and what JPEG and HEIC lose.
    assert loss(read(path)) < (2.5 if ending in ("jpg", "heic") else 0.8)


def test_white_and_grey_stay_as_they_are_in_p3(tmp_path: Path) -> None:
    path = tmp_path / "wheel.png"
    greys = np.dstack([np.tile(np.arange(256, dtype=np.uint8), (8, 1))] * 3)
    Image.fromarray(greys).save(path, icc_profile=matrix_profile(P3_PRIMARIES, "wide"))
    # Both spaces have the same white and the same curve, so a grey edge does not move.
    assert np.abs(read(path).astype(int) - greys).max() <= 1


def test_srgb_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "wheel.png"
    Image.fromarray(RGB).save(path, icc_profile=matrix_profile(SRGB_PRIMARIES, "sRGB of a drawing"))
    assert loss(read(path)) == 0


def test_grey_with_another_curve(tmp_path: Path) -> None:
    path = tmp_path / "wheel.png"
    Image.fromarray(GREY).save(path, icc_profile=grey_profile(1.8))
    expected = np.rint(255 * coded((GREY / 255) ** (461 / 256))).astype(np.uint8)
    assert np.abs(read(path).astype(int) - expected[..., None]).max() <= 1


def lightness_to_srgb(lightness: float) -> float:
    """Grey value of L*, 0 to 255. Source: CIE 15, L* = 116 (Y)^(1/3) - 16, and IEC 61966-2-1."""
    return float(255 * coded(np.array(((lightness + 16) / 116) ** 3)))


@pytest.mark.parametrize("ending", ["tif", "jpg"])
def test_four_inks_go_by_their_profile(tmp_path: Path, ending: str) -> None:
    lightness = np.full((2, 2, 2, 2), 10.0)
    lightness[0, 0, 0, 0], lightness[1, 0, 0, 0], lightness[0, 0, 0, 1] = 100.0, 60.0, 20.0
    inks = np.zeros((48, 96, 4), np.uint8)
    inks[:, 32:64, 0] = 255
    inks[:, 64:, 3] = 255
    path = tmp_path / f"wheel.{ending}"
    Image.fromarray(inks, "CMYK").save(path, icc_profile=ink_profile(lightness), quality=100)
    fields = read(path)[24, 16::32].astype(float)
    expected = [[lightness_to_srgb(value)] * 3 for value in (100.0, 60.0, 20.0)]
    assert np.abs(fields - expected).max() <= 3


def test_four_inks_without_a_profile(tmp_path: Path) -> None:
    path = tmp_path / "wheel.tif"
    inks = np.zeros((8, 8, 4), np.uint8)
    inks[:, 4:] = (0, 255, 255, 0)
    Image.fromarray(inks, "CMYK").save(path)
    # White paper stays white, magenta and yellow make red: how dark, nobody knows without a profile.
    red, green, blue = read(path)[4, 6].astype(int)
    assert read(path)[4, 1].tolist() == [255, 255, 255]
    assert red > 150 > 90 > max(green, blue)


@pytest.mark.parametrize(
    "profile",
    [
        b"nonsense",
        matrix_profile(P3_PRIMARIES, "wide")[:300],
        grey_profile(1.8),
        ink_profile(np.zeros((2, 2, 2, 2))),
    ],
    ids=["no profile", "broken off", "of greys", "of inks"],
)
def test_a_profile_that_cannot_be_meant_changes_nothing(tmp_path: Path, profile: bytes) -> None:
    path = tmp_path / "wheel.png"
    Image.fromarray(RGB).save(path, icc_profile=profile)
    assert loss(read(path)) == 0


@pytest.mark.parametrize(
    ("kind", "ending"), [("MPO", "jpg"), ("MPO", "mpo"), ("TIFF", "tif"), ("HEIF", "heic")]
)
def test_of_several_pictures_the_main_one(tmp_path: Path, kind: str, ending: str) -> None:
    path = tmp_path / f"wheel.{ending}"
    other = Image.fromarray(255 - RGB[:80])
    Image.fromarray(RGB).save(
        path, kind, save_all=True, append_images=[other], **({"quality": 95} if kind != "TIFF" else {})
    )
    with Image.open(path) as stored:
        assert getattr(stored, "n_frames", 1) == 2
    assert loss(read(path)) <= SLIGHT


def test_the_main_picture_need_not_be_the_first(tmp_path: Path) -> None:
    path = tmp_path / "wheel.heic"
    other = Image.fromarray(255 - RGB[:80])
    other.save(path, save_all=True, append_images=[Image.fromarray(RGB)], primary_index=1, quality=95)
    assert loss(read(path)) <= SLIGHT


def test_50_megapixels(tmp_path: Path) -> None:
    path = tmp_path / "wheel.jpg"
    large: Bgr = np.asarray(cv2.resize(RGB, (8160, 6120)), dtype=np.uint8)
    assert cv2.imwrite(str(path), large)
    picture = open_picture(path)
    assert (picture.width_px, picture.height_px) == (8160, 6120)
    assert loss(np.asarray(picture.bgr[::40, ::40]), large[::40, ::40]) <= SLIGHT


def png_that_claims(width: int, height: int) -> bytes:
    """A PNG file of next to nothing that says it is so large. Source: ISO/IEC 15948."""

    def chunk(name: bytes, content: bytes) -> bytes:
        return (
            struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))
        )

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 99))
        + chunk(b"IEND", b"")
    )


def error_of(path: Path) -> str:
    with pytest.raises(UnreadableFileError) as error:
        open_picture(path)
    return str(error.value)


def test_too_many_pixels(tmp_path: Path) -> None:
    path = tmp_path / "wheel.png"
    path.write_bytes(png_that_claims(60_000, 40_000))
    assert error_of(path) == (
        f"{path} has too many pixels, or says so; set the camera to 50 megapixels at the most, 12 are enough."
    )


def test_a_file_with_less_than_it_claims(tmp_path: Path) -> None:
    path = tmp_path / "wheel.png"
    path.write_bytes(png_that_claims(4000, 3000))
    assert error_of(path).startswith(f"{path} is damaged or broken off: ")


@pytest.mark.parametrize("tags", [{50706: b"\1\4\0\0"}, {254: 1}], ids=["DNG", "preview in the first place"])
def test_raw_files_are_named_as_such(tmp_path: Path, tags: dict[int, object]) -> None:
    path = tmp_path / "wheel.dng"
    Image.fromarray(RGB).save(path, "TIFF", tiffinfo=tags)
    assert error_of(path) == f"{path} is a camera's raw file. Save the picture as JPEG or PNG and give that."


def test_programs_in_place_of_pictures_are_not_run(tmp_path: Path) -> None:
    path = tmp_path / "wheel.eps"
    Image.fromarray(RGB).save(path)
    assert "is not a picture that can be read here" in error_of(path)


def whole_file(ending: str, **options: Any) -> bytes:
    held = io.BytesIO()
    noisy = np.random.default_rng(2).integers(0, 256, (64, 96, 3)).astype(np.uint8)
    Image.fromarray(noisy).save(held, ending, exif=exif(6), **options)
    return held.getvalue()


FILES: dict[str, Callable[[], bytes]] = {
    "PNG": lambda: whole_file("PNG"),
    "WebP": lambda: whole_file("WEBP"),
    "TIFF": lambda: whole_file("TIFF"),
    "HEIC": lambda: whole_file("HEIF"),
    "AVIF": lambda: whole_file("AVIF"),
    "MPO": lambda: whole_file("MPO", save_all=True, append_images=[Image.fromarray(RGB)]),
}


def picture_or_sentence(path: Path) -> tuple[str, Rgb | None]:
    try:
        return "", read(path)
    except UnreadableFileError as error:
        return str(error), None


@pytest.mark.parametrize("kind", FILES)
def test_broken_off_anywhere(tmp_path: Path, kind: str) -> None:
    """A sentence, or the whole picture where only what follows it is missing."""
    whole = FILES[kind]()
    path = tmp_path / "wheel.bin"
    path.write_bytes(whole)
    complete = read(path)
    refused = 0
    for length in np.linspace(1, len(whole) - 1, 60).astype(int):
        path.write_bytes(whole[:length])
        said, seen = picture_or_sentence(path)
        refused += bool(said)
        assert said.startswith(str(path)) if seen is None else np.array_equal(seen, complete)
    assert refused > 15


@pytest.mark.parametrize("kind", FILES)
def test_damaged_anywhere(tmp_path: Path, kind: str) -> None:
    """Any byte may be another one: a picture or a sentence, and nothing else."""
    whole = FILES[kind]()
    rng = np.random.default_rng(5)
    path = tmp_path / "wheel.bin"
    for _ in range(60):
        spoilt = np.frombuffer(whole, np.uint8).copy()
        # Most damage goes into the first part, where the file says what it is.
        places = rng.integers(0, rng.choice([64, 512, len(whole)]), size=rng.integers(1, 5)) % len(whole)
        spoilt[places] = rng.integers(0, 256, len(places))
        path.write_bytes(spoilt.tobytes())
        said, seen = picture_or_sentence(path)
        assert (seen is None) == bool(said)
        assert "\n" not in said
