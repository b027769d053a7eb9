"""Where a picture was taken is gone, and the picture is not."""

import io
from pathlib import Path

import av
import numpy as np
import pillow_heif
import pytest
from av.container import OutputContainer
from PIL import ExifTags, Image
from PIL.PngImagePlugin import PngInfo

from whirlwise.cli.page.position import blank_position, without_position

XMP = (
    '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
    '<rdf:Description exif:GPSLatitude="48,8.2N"/></rdf:RDF></x:xmpmeta>'
)
pillow_heif.register_heif_opener()


def exif() -> Image.Exif:
    made = Image.Exif()
    made[ExifTags.Base.Make] = "invented"
    made[ExifTags.Base.Orientation] = 6
    made.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.FocalLengthIn35mmFilm] = 41
    made.get_ifd(ExifTags.IFD.GPSInfo).update(
        {
            ExifTags.GPS.GPSLatitudeRef: "N",
            ExifTags.GPS.GPSLatitude: (48.0, 8.0, 12.5),
            ExifTags.GPS.GPSLongitudeRef: "E",
            ExifTags.GPS.GPSLongitude: (11.0, 34.0, 56.25),
        }
    )
    return made


def pixels() -> Image.Image:
    return Image.fromarray(np.random.default_rng(1).integers(0, 255, (60, 80, 3), dtype=np.uint8))


def film(container: OutputContainer) -> None:
    """Put five pictures into a clip."""
    stream = container.add_stream("mpeg4", rate=30)
    stream.width, stream.height = 80, 60
    for _ in range(5):
        container.mux(stream.encode(av.VideoFrame.from_ndarray(np.asarray(pixels()), format="rgb24")))
    container.mux(stream.encode())


def saved(kind: str) -> bytes:
    file = io.BytesIO()
    in_png = PngInfo()
    in_png.add_itxt("XML:com.adobe.xmp", XMP)
    pixels().save(file, kind, exif=exif(), xmp=XMP.encode(), pnginfo=in_png)
    return file.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF", "AVIF"])
def test_the_position_is_gone_and_all_else_stays(kind: str) -> None:
    before = saved(kind)
    content = bytearray(before)
    blank_position(content)
    assert len(content) == len(before)
    old, new = Image.open(io.BytesIO(before)), Image.open(io.BytesIO(bytes(content)))
    # Read by another library's reader: it was there, and now is not.
    assert old.getexif().get_ifd(ExifTags.IFD.GPSInfo)
    assert not new.getexif().get_ifd(ExifTags.IFD.GPSInfo)
    assert b"GPSLatitude" not in content
    assert np.array_equal(np.asarray(old), np.asarray(new))
    lens = new.getexif().get_ifd(ExifTags.IFD.Exif)
    assert lens[ExifTags.Base.FocalLengthIn35mmFilm] == 41
    assert new.getexif()[ExifTags.Base.Make] == "invented"


@pytest.mark.parametrize("order", ["<", ">"])
def test_both_orders_of_bytes(order: str) -> None:
    made = exif()
    made.endian = order
    content = bytearray(made.tobytes())
    # 12.5 seconds of arc as a fraction, wherever it lies.
    fraction = b"".join(number.to_bytes(4, "little" if order == "<" else "big") for number in (25, 2))
    assert fraction in content
    blank_position(content)
    assert fraction not in content
    read = Image.Exif()
    read.load(bytes(content))
    assert not read.get_ifd(ExifTags.IFD.GPSInfo)
    assert read.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.FocalLengthIn35mmFilm] == 41


def test_a_clip_loses_its_place_and_still_plays(tmp_path: Path) -> None:
    clip = tmp_path / "wheel.mp4"
    with av.open(str(clip), "w", options={"movflags": "use_metadata_tags"}) as container:
        container.metadata["com.apple.quicktime.location.ISO6709"] = "+48.1368+011.5822+520.1/"
        container.metadata["com.apple.quicktime.model"] = "invented"
        film(container)
    assert b"+48.1368" in clip.read_bytes()
    size = clip.stat().st_size
    without_position(clip)
    assert b"48.1368" not in clip.read_bytes()
    assert b"011.5822" not in clip.read_bytes()
    assert clip.stat().st_size == size
    with av.open(str(clip)) as container:
        assert container.metadata["com.apple.quicktime.model"] == "invented"
        assert sum(1 for _ in container.decode(video=0)) == 5


def test_a_3gpp_clip_loses_its_box(tmp_path: Path) -> None:
    """3GPP TS 26.244: FFmpeg writes the box, in fixed-point numbers of 16.16 bits, and reads it again."""
    clip = tmp_path / "wheel.3gp"
    with av.open(str(clip), "w", format="3gp") as container:
        container.metadata["location"] = "+48.1368+011.5822/"
        film(container)
    with av.open(str(clip)) as container:
        assert "48.1368" in container.metadata["location"]
    size = clip.stat().st_size
    without_position(clip)
    assert clip.stat().st_size == size
    with av.open(str(clip)) as container:
        assert "location" not in container.metadata
        assert sum(1 for _ in container.decode(video=0)) == 5


@pytest.mark.parametrize("compressed", [True, False])
def test_exif_and_xmp_that_a_png_repeats_as_text_are_gone(compressed: bool) -> None:
    """Some programs write EXIF out in hexadecimal digits, line by line, under a name of their own."""
    raw = "\nexif\n      18\n" + exif().tobytes().hex()
    in_png = PngInfo()
    in_png.add_text("Raw profile type exif", raw, zip=compressed)
    in_png.add_itxt("XML:com.adobe.xmp", XMP, zip=True)
    in_png.add_text("Title", "an old wheel", zip=compressed)
    file = io.BytesIO()
    pixels().save(file, "PNG", pnginfo=in_png)
    content = bytearray(file.getvalue())
    blank_position(content)
    assert len(content) == len(file.getvalue())
    old, new = Image.open(file), Image.open(io.BytesIO(bytes(content)))
    assert {"Raw profile type exif", "XML:com.adobe.xmp"} <= set(old.info)
    assert new.info["Title"] == "an old wheel"
    assert not {"Raw profile type exif", "XML:com.adobe.xmp", "exif"} & set(new.info)
    assert np.array_equal(np.asarray(old), np.asarray(new))


def test_a_picture_without_position_is_not_touched() -> None:
    file = io.BytesIO()
    pixels().save(file, "JPEG", quality=90)
    content = bytearray(file.getvalue())
    blank_position(content)
    assert bytes(content) == file.getvalue()


@pytest.mark.parametrize("cut", [8, 20, 60, 150, 300])
def test_what_is_cut_off_in_its_midst_does_no_harm(cut: int) -> None:
    content = bytearray(saved("JPEG")[:cut])
    blank_position(content)
    assert len(content) == cut


def test_chance_is_not_taken_for_a_directory() -> None:
    noise = bytearray(np.random.default_rng(2).integers(0, 255, 200_000, dtype=np.uint8).tobytes())
    noise[1000:1004] = b"II*\0"
    noise[5000:5004] = b"MM\0*"
    before = bytes(noise)
    blank_position(noise)
    assert bytes(noise) == before
