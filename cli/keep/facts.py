"""What is kept of a picture or clip beside its numbers: its checksum and when it was taken."""

import hashlib
from datetime import UTC, datetime
from pathlib import Path

from PIL import ExifTags, Image, UnidentifiedImageError


def sha256_of(path: Path) -> str:
    """Checksum of a file (SHA-256, FIPS 180-4), in hexadecimal digits."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def taken(path: Path) -> tuple[str, str]:
    """When a picture or clip was taken (ISO 8601), and what tells so.

    The camera's own note (Exif DateTimeOriginal, with its offset from UTC where it stands there) is best; the
    file's date is that of its last change, in UTC.
    """
    noted = _exif_date(path)
    if noted is not None:
        return noted, "the camera's note in the file"
    changed = datetime.fromtimestamp(path.stat().st_mtime, UTC)
    return changed.isoformat(timespec="seconds"), "the date of the file"


def _exif_date(path: Path) -> str | None:
    try:
        with Image.open(path) as stored:
            details = stored.getexif().get_ifd(ExifTags.IFD.Exif)
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        return None
    text = str(details.get(ExifTags.Base.DateTimeOriginal, "")).strip("\0 ")
    try:
        date = datetime.strptime(text, "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None
    offset = str(details.get(ExifTags.Base.OffsetTimeOriginal, "")).strip("\0 ")
    try:
        return datetime.fromisoformat(date.isoformat() + offset).isoformat()
    except ValueError:
        return date.isoformat()
