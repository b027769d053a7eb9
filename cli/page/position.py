"""Where a picture or clip was taken is taken out of it, in place, and nothing else.

Bytes are overwritten and never moved, so the picture itself, its lens data and all offsets in the file stay.

- EXIF (CIPA DC-008): the directory that tag 0x8825 points at is the position; its entries are blanked and the
  tag is made an empty one. EXIF is a TIFF file within the file, in every format the same, and is found by its
  head wherever it lies.
- XMP packets, which may repeat it, are blanked whole.
- Clips (QuickTime, Matroska) tell it as a text by ISO 6709, such as ``+48.1234+011.5678/``; its digits become
  zeros.
- 3GPP clips have a box ``loci`` for it (3GPP TS 26.244), which becomes an empty one that readers pass over.
- PNG pictures may hold EXIF written out as a text, or XMP, either of them compressed: such a chunk becomes an
  empty one that readers pass over.
"""

import mmap
import re
import struct
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Final

GPS_DIRECTORY: Final = 0x8825
#: An entry of a TIFF directory: tag, type, count, value or where it lies.
ENTRY_BYTES: Final = 12
#: Bytes of one value of each TIFF type.
TYPE_BYTES: Final = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8}
#: More entries than this are no directory but chance.
MOST_ENTRIES: Final = 1000
TIFF_HEAD: Final = re.compile(rb"II\*\x00|MM\x00\*")
XMP: Final = re.compile(rb"<x:xmpmeta.{0,1000000}?</x:xmpmeta>", re.DOTALL)
ISO_6709: Final = re.compile(rb"[+-]\d{2}\.\d{2,8}[+-]\d{3}\.\d{2,8}(?:[+-]\d{1,6}(?:\.\d{1,6})?)?")
#: A box of a clip is its length, its type and what is in it; in this one first version and flags, all 0.
LOCI: Final = re.compile(rb"loci\x00\x00\x00\x00")
LEAST_LOCI_BYTES, MOST_LOCI_BYTES = 27, 4096
#: Types of PNG chunks with text, and what begins those that repeat EXIF or XMP.
PNG_TEXTS: Final = (b"tEXt", b"zTXt", b"iTXt")
PNG_PROFILES: Final = (b"Raw profile type ", b"XML:com.adobe.xmp\x00\x01")
#: A chunk that readers may leave out, of a type that nobody has laid down.
PNG_EMPTY: Final = b"noNe"
PNG_HEAD: Final = b"\x89PNG\r\n\x1a\n"

Bytes = bytearray | mmap.mmap


def without_position(path: Path) -> None:
    """Take out of a file where it was taken."""
    with path.open("r+b") as file, mmap.mmap(file.fileno(), 0) as content:
        blank_position(content)


def blank_position(content: Bytes) -> None:
    """Blank every position in a file's bytes."""
    for head in [match.start() for match in TIFF_HEAD.finditer(content)]:
        _blank_in_tiff(content, head)
    for start, end in [match.span() for match in XMP.finditer(content)]:
        content[start:end] = b" " * (end - start)
    for match in list(ISO_6709.finditer(content)):
        start, end = match.span()
        content[start:end] = re.sub(rb"\d", b"0", content[start:end])
    if content[4:8] == b"ftyp":
        _blank_loci(content)
    if content[: len(PNG_HEAD)] == PNG_HEAD:
        _blank_profiles(content)
        _mend_checksums(content)


def _blank_in_tiff(content: Bytes, head: int) -> None:
    """Blank the position in one TIFF structure that starts at ``head``, if it is one and has one."""
    order = "<" if content[head : head + 2] == b"II" else ">"
    first = _number(content, order + "I", head + 4)
    if first is None:
        return
    for at in _entries(content, order, head, head + first):
        if _number(content, order + "H", at) == GPS_DIRECTORY:
            directory = _number(content, order + "I", at + 8)
            if directory is not None:
                _blank_directory(content, order, head, head + directory)
            # A count of nothing, of a private tag that readers pass over.
            content[at : at + ENTRY_BYTES] = struct.pack(order + "HHII", 0xFFFE, 1, 0, 0)


def _blank_directory(content: Bytes, order: str, head: int, directory: int) -> None:
    for at in list(_entries(content, order, head, directory)):
        kind, count = _number(content, order + "H", at + 2), _number(content, order + "I", at + 4)
        value = _number(content, order + "I", at + 8)
        length = TYPE_BYTES.get(kind or 0, 0) * (count or 0)
        if value is not None and 4 < length <= len(content) - head - value:
            content[head + value : head + value + length] = bytes(length)
        content[at : at + ENTRY_BYTES] = bytes(ENTRY_BYTES)
    if directory + 2 <= len(content):
        content[directory : directory + 2] = bytes(2)


def _entries(content: Bytes, order: str, head: int, directory: int) -> Iterator[int]:
    """Where the entries of a directory lie; none if it cannot be one."""
    count = _number(content, order + "H", directory) if directory > head else None
    if count is None or count > MOST_ENTRIES or directory + 2 + count * ENTRY_BYTES > len(content):
        return
    for k in range(count):
        yield directory + 2 + k * ENTRY_BYTES


def _number(content: Bytes, layout: str, at: int) -> int | None:
    size = struct.calcsize(layout)
    if at < 0 or at + size > len(content):
        return None
    return int(struct.unpack(layout, content[at : at + size])[0])


def _blank_loci(content: Bytes) -> None:
    """Make every box with a clip's position a free one."""
    for at in [match.start() for match in LOCI.finditer(content)]:
        length = _number(content, ">I", at - 4)
        if length is None or not LEAST_LOCI_BYTES <= length <= MOST_LOCI_BYTES:
            continue
        end = at - 4 + length
        if end <= len(content):
            content[at:end] = b"free" + bytes(length - 8)


def _chunks(content: Bytes) -> Iterator[tuple[int, int]]:
    """Where the content of each whole chunk of a PNG file begins and ends; its type stands before it."""
    at = len(PNG_HEAD)
    while (length := _number(content, ">I", at)) is not None and at + length + 12 <= len(content):
        yield at + 8, at + 8 + length
        at += length + 12


def _blank_profiles(content: Bytes) -> None:
    """Empty the chunks of a PNG file that repeat EXIF or XMP in a form that cannot be blanked in part."""
    for start, end in _chunks(content):
        if content[start - 4 : start] in PNG_TEXTS and content[start:end].startswith(PNG_PROFILES):
            content[start - 4 : end] = PNG_EMPTY + bytes(end - start)


def _mend_checksums(content: Bytes) -> None:
    """Reckon the checksums of a PNG file's chunks anew."""
    for start, end in _chunks(content):
        content[end : end + 4] = struct.pack(">I", zlib.crc32(content[start - 4 : end]))
