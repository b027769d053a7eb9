"""Small colour profiles, byte by byte. Source: ISO 15076-1 (ICC.1), here as version 2.4 writes them."""

import struct
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

#: White points as XYZ with Y = 1: D50 of the profile connection space (ISO 15076-1), D65 by its chromaticity
#: (0.3127, 0.3290) of IEC 61966-2-1.
D50 = np.array([0.9642, 1.0, 0.8249])
D65 = np.array([0.3127 / 0.3290, 1.0, (1 - 0.3127 - 0.3290) / 0.3290])
#: Chromaticities of red, green and blue: IEC 61966-2-1 (sRGB) and SMPTE EG 432-1 (the P3 of displays).
SRGB_PRIMARIES = ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060))
P3_PRIMARIES = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
#: The cone responses of Bradford's adaptation (ISO 15076-1, annex E).
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])


def xyz_from_rgb(primaries: Sequence[tuple[float, float]]) -> NDArray[np.float64]:
    """Matrix from linear RGB to XYZ under D65: white is the sum of the primaries."""
    columns = np.array([[x / y, 1.0, (1 - x - y) / y] for x, y in primaries]).T
    return np.asarray(columns * np.linalg.solve(columns, D65))


def linear(coded: NDArray[np.float64]) -> NDArray[np.float64]:
    """Light from sRGB numbers of 0 to 1; Display P3 has the same curve. Source: IEC 61966-2-1."""
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def coded(light: NDArray[np.float64]) -> NDArray[np.float64]:
    """The same backwards."""
    return np.where(light <= 0.0031308, light * 12.92, 1.055 * np.maximum(light, 0) ** (1 / 2.4) - 0.055)


def matrix_profile(primaries: Sequence[tuple[float, float]], name: str) -> bytes:
    """A display's profile: three primaries adapted to D50, and the tone curve of sRGB for each."""
    adapt = np.linalg.inv(BRADFORD) @ np.diag((BRADFORD @ D50) / (BRADFORD @ D65)) @ BRADFORD
    adapted = adapt @ xyz_from_rgb(primaries)
    steps = np.rint(65535 * linear(np.linspace(0, 1, 1024))).astype(">u2")
    curve = struct.pack(">4s4xI", b"curv", len(steps)) + steps.tobytes()
    tags = {b"wtpt": _xyz(D50)}
    for letter, column in zip((b"r", b"g", b"b"), adapted.T, strict=True):
        tags |= {letter + b"XYZ": _xyz(column), letter + b"TRC": curve}
    return _profile(b"mntr", b"RGB ", b"XYZ ", name, tags)


def grey_profile(gamma: float) -> bytes:
    """Grey with a plain power as tone curve."""
    curve = struct.pack(">4s4xIH", b"curv", 1, round(gamma * 256))
    return _profile(b"mntr", b"GRAY", b"XYZ ", "power", {b"wtpt": _xyz(D50), b"kTRC": curve})


def ink_profile(lightness: NDArray[np.float64]) -> bytes:
    """Four inks that print greys only: L* (2, 2, 2, 2) for each of them absent or full, mixed linearly."""
    identity = bytes(range(256))
    grid = np.stack([lightness.ravel() * 2.55, np.full(16, 128), np.full(16, 128)], axis=1)
    table = struct.pack(">4s4xBBBx", b"mft1", 4, 3, 2) + struct.pack(
        ">9i", *(np.eye(3, dtype=int).ravel() * 65536)
    )
    table += identity * 4 + np.rint(grid).astype(np.uint8).tobytes() + identity * 3
    return _profile(b"prtr", b"CMYK", b"Lab ", "four inks", {b"wtpt": _xyz(D50), b"A2B0": table})


def _xyz(values: NDArray[np.float64]) -> bytes:
    return struct.pack(">4s4x3i", b"XYZ ", *(round(float(v) * 65536) for v in values))


def _profile(device: bytes, space: bytes, connection: bytes, name: str, tags: Mapping[bytes, bytes]) -> bytes:
    title = name.encode("ascii") + b"\0"
    described = struct.pack(">4s4xI", b"desc", len(title)) + title + bytes(4 + 4 + 2 + 1 + 67)
    whole = {b"desc": described, b"cprt": b"text\0\0\0\0free\0", **tags}
    place, directory, body = 128 + 4 + 12 * len(whole), struct.pack(">I", len(whole)), b""
    for key, content in whole.items():
        directory += key + struct.pack(">II", place + len(body), len(content))
        body += content + bytes(-len(content) % 4)
    size = 128 + len(directory) + len(body)
    head = struct.pack(">I4xI4s4s4s", size, 0x02400000, device, space, connection)
    head += struct.pack(">6H4s", 2026, 1, 1, 0, 0, 0, b"acsp") + bytes(28) + struct.pack(">3i", *_units(D50))
    return head.ljust(128, b"\0") + directory + body


def _units(values: NDArray[np.float64]) -> list[int]:
    return [round(float(v) * 65536) for v in values]
