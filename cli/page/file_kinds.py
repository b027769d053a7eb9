"""What a file is, by its first bytes; names and what a sender says of it count for nothing."""

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

Kind: TypeAlias = Literal["picture", "clip", "sound"]

#: So many bytes of a file are looked at.
LOOKED_AT: Final = 64


@dataclass(frozen=True, slots=True)
class FileKind:
    """A kind of file: what it holds, the ending it is kept under and the type it is sent as."""

    kind: Kind
    ending: str
    media_type: str


JPEG: Final = FileKind("picture", ".jpg", "image/jpeg")
HEIC: Final = FileKind("picture", ".heic", "image/heic")
MP4: Final = FileKind("clip", ".mp4", "video/mp4")
QUICKTIME: Final = FileKind("clip", ".mov", "video/quicktime")
WAV: Final = FileKind("sound", ".wav", "audio/wav")
M4A: Final = FileKind("sound", ".m4a", "audio/mp4")

#: Files that start like this.
STARTS: Final = {
    b"\xff\xd8\xff": JPEG,
    b"\x89PNG\r\n\x1a\n": FileKind("picture", ".png", "image/png"),
    b"GIF87a": FileKind("picture", ".gif", "image/gif"),
    b"GIF89a": FileKind("picture", ".gif", "image/gif"),
    b"II*\x00": FileKind("picture", ".tif", "image/tiff"),
    b"MM\x00*": FileKind("picture", ".tif", "image/tiff"),
    b"BM": FileKind("picture", ".bmp", "image/bmp"),
    b"\x1aE\xdf\xa3": FileKind("clip", ".webm", "video/webm"),
    b"OggS": FileKind("sound", ".ogg", "audio/ogg"),
    b"fLaC": FileKind("sound", ".flac", "audio/flac"),
    b"ID3": FileKind("sound", ".mp3", "audio/mpeg"),
}
#: RIFF containers, by what stands after the length.
RIFF: Final = {
    b"WEBP": FileKind("picture", ".webp", "image/webp"),
    b"WAVE": WAV,
    b"AVI ": FileKind("clip", ".avi", "video/x-msvideo"),
}
#: Files of boxes (ISO/IEC 14496-12), by the major brand of the first one; other brands are clips.
BRANDS: Final = {
    **dict.fromkeys((b"heic", b"heix", b"heim", b"heis", b"mif1", b"msf1", b"hevc"), HEIC),
    b"avif": FileKind("picture", ".avif", "image/avif"),
    b"qt  ": QUICKTIME,
    b"M4A ": M4A,
}
#: QuickTime files from before brands start with one of these.
OLD_BOXES: Final = (b"moov", b"mdat", b"wide", b"free", b"skip", b"pnot")


def kind_of(start: bytes) -> FileKind | None:
    r"""Tell a file's kind by its first :data:`LOOKED_AT` bytes; None if it is none that can be measured.

    Examples
    --------
    >>> kind_of(b"\xff\xd8\xff\xe0").media_type, kind_of(b"\0\0\0\x18ftypmp42").kind
    ('image/jpeg', 'clip')
    >>> kind_of(b"<!DOCTYPE html>") is None
    True
    """
    if start[4:8] == b"ftyp":
        return BRANDS.get(start[8:12], MP4)
    if start[4:8] in OLD_BOXES:
        return QUICKTIME
    if start[:4] == b"RIFF":
        return RIFF.get(start[8:12])
    return next((kind for head, kind in STARTS.items() if start.startswith(head)), None)
