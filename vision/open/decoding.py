"""The libraries' part of reading a picture file: what it holds, turned upright, as 8-bit sRGB."""

import warnings
from dataclasses import dataclass
from pathlib import Path

import pillow_heif
from PIL import ExifTags, Image, ImageOps, UnidentifiedImageError

from ..errors import UnreadableFileError
from .colour import srgb

#: What cameras, phones, scanners and drawing programs save. Others are left alone: some of them are programs
#: that a reader would have to run.
FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "BMP", "GIF", "HEIF", "AVIF", "JPEG2000", "PPM", "TGA")

REMEDY = "Give a photo as the camera saved it, for example a JPEG or PNG file."
CHECK_NAME = "Check the name and the folder."

#: TIFF 6.0, tag 254, NewSubfileType: bit 0 marks a reduced copy of another picture in the file, as raw files
#: of cameras have it in the first place.
SUBFILE_TYPE, REDUCED_COPY = 254, 1
#: Adobe DNG 1.4, tag DNGVersion.
RAW_VERSION = 50706

pillow_heif.register_heif_opener()


@dataclass(frozen=True, slots=True)
class Upright:
    """An upright picture, and the 35 mm equivalent of its focal length, if the file tells it."""

    rgb: Image.Image
    focal_35mm: float | None


def decoded(path: Path) -> Upright:
    """Decode a file that is there.

    Raises
    ------
    UnreadableFileError
        If it is no picture, or one that is broken, too large or raw.
    """
    with warnings.catch_warnings():
        # Very large pictures, and damaged EXIF that is of no consequence.
        warnings.simplefilter("ignore")
        upright, focal_35mm = _loaded(path)
        if upright.mode in ("F", "I"):
            raise UnreadableFileError(
                f"{path} has 32 bits a pixel, and nothing in it tells which number is white; "
                "save it with 8 or 16."
            )
        return Upright(srgb(upright), focal_35mm)


def _loaded(path: Path) -> tuple[Image.Image, float | None]:
    """The upright picture as stored, and the focal length."""
    try:
        with Image.open(path, formats=FORMATS) as stored:
            _refuse_previews(path, stored)
            focal_35mm = _focal_35mm(stored)
            return ImageOps.exif_transpose(stored), focal_35mm
    except UnreadableFileError:
        raise
    except PermissionError as problem:
        raise UnreadableFileError(f"{path} is a file that you may not read. {CHECK_NAME}") from problem
    except UnidentifiedImageError as problem:
        raise UnreadableFileError(f"{path} is not a picture that can be read here. {REMEDY}") from problem
    except (Image.DecompressionBombError, MemoryError) as problem:
        raise UnreadableFileError(
            f"{path} has too many pixels, or says so; set the camera to 50 megapixels at the most, "
            "12 are enough."
        ) from problem
    except Exception as problem:
        # Hardly anything but the libraries' work stands above; damaged files make it fail in a dozen ways.
        raise UnreadableFileError(
            f"{path} is damaged or broken off: {_in_a_line(problem)}. {REMEDY}"
        ) from problem


def _in_a_line(problem: Exception) -> str:
    return " ".join(str(problem).split()).rstrip(".") or type(problem).__name__


def _refuse_previews(path: Path, stored: Image.Image) -> None:
    """Stop at raw files, in which only a small preview would be found."""
    tags = getattr(stored, "tag_v2", {})
    kind = tags.get(SUBFILE_TYPE, 0)
    if RAW_VERSION in tags or (isinstance(kind, int) and kind & REDUCED_COPY):
        raise UnreadableFileError(
            f"{path} is a camera's raw file. Save the picture as JPEG or PNG and give that."
        )


def _focal_35mm(stored: Image.Image) -> float | None:
    """Read FocalLengthIn35mmFilm from EXIF; None where it is absent or nonsense."""
    try:
        details = stored.getexif().get_ifd(ExifTags.IFD.Exif)
        equivalent_mm = float(details.get(ExifTags.Base.FocalLengthIn35mmFilm, 0))
    except Exception:
        # Whatever is wrong with what the file says of the camera, the picture is still there.
        return None
    return equivalent_mm if 8.0 <= equivalent_mm <= 1000.0 else None
