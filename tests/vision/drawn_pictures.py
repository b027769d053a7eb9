"""Pixels and picture files with known truth: every pixel is averaged over its own small square."""

import struct
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from whirlwise.vision.open.picture import Picture

Points = NDArray[np.float64]
Grey = NDArray[np.float64]
Bgr = NDArray[np.uint8]


def averaged(
    size: tuple[int, int], value_at: Callable[[Points], NDArray[np.float64]], samples: int = 4
) -> Grey:
    """Picture (h, w) of a function of pixel positions (n, 2).

    ``size`` is (width, height); a pixel is the mean of so many samples along each of its sides.
    """
    width, height = size
    steps = (np.arange(samples) + 0.5) / samples - 0.5
    rows, columns = np.mgrid[:height, :width].astype(float)
    total = np.zeros((height, width))
    for dx in steps:
        for dy in steps:
            places = np.column_stack([(columns + dx).ravel(), (rows + dy).ravel()])
            total += value_at(places).reshape(height, width)
    return total / samples**2


def as_bgr(grey: Grey, blur_px: float = 0.0, noise: float = 0.0, seed: int = 0) -> Bgr:
    """Grey values as a camera would hand them over: blurred, noisy, rounded."""
    if blur_px > 0:
        grey = np.asarray(cv2.GaussianBlur(grey, (0, 0), blur_px))
    grey = grey + noise * np.random.default_rng(seed).normal(size=grey.shape)
    rounded = np.clip(np.rint(grey), 0, 255).astype(np.uint8)
    return np.dstack([rounded] * 3)


def light_of(grey: Grey) -> Grey:
    """Light (0 to 1) that values of sRGB (0 to 255) stand for. Source: IEC 61966-2-1."""
    value = grey / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def srgb_of(light: Grey) -> Grey:
    """Values of sRGB (0 to 255, not rounded) for light (0 to 1). Source: IEC 61966-2-1."""
    value = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 0) ** (1 / 2.4) - 0.055)
    return np.asarray(255 * value)


def photographed(light: Grey, blur_px: float = 0.0, noise: float = 0.0, seed: int = 0) -> Bgr:
    """Light (0 to 1) as a camera hands it over: blurred as light, then in noisy values of sRGB."""
    if blur_px > 0:
        light = np.asarray(cv2.GaussianBlur(light, (0, 0), blur_px))
    return as_bgr(srgb_of(light), noise=noise, seed=seed)


def picture_of(bgr: Bgr) -> Picture:
    """A picture as if read from a file."""
    return Picture("drawn.png", bgr, focal_px=1.2 * bgr.shape[1], focal_known=True)


def exif_segment(orientation: int, focal_35mm: int | None, order: str = "<") -> bytes:
    """APP1 segment of a JPEG file with two tags, byte by byte.

    Source: CIPA DC-008 (Exif 2.3) over TIFF 6.0: tag, type (3 short, 4 long), count, value.
    """
    mark = {"<": b"II", ">": b"MM"}[order]
    begin_of_exif = 8 + 2 + 2 * 12 + 4
    main = struct.pack(order + "HHHLHHHHLLL", 2, 0x0112, 3, 1, orientation, 0, 0x8769, 4, 1, begin_of_exif, 0)
    entries = b"" if focal_35mm is None else struct.pack(order + "HHLHH", 0xA405, 3, 1, focal_35mm, 0)
    exif = struct.pack(order + "H", len(entries) // 12) + entries + struct.pack(order + "L", 0)
    body = b"Exif\0\0" + mark + struct.pack(order + "HL", 42, 8) + main + exif
    return b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body


def jpeg(bgr: Bgr, segment: bytes = b"") -> bytes:
    """A JPEG file, the segment put in behind its first mark."""
    written, coded = cv2.imencode(".jpg", bgr, [cv2.IMWRITE_JPEG_QUALITY, 95])
    assert written
    whole = coded.tobytes()
    return whole[:2] + segment + whole[2:]


def write_jpeg(path: Path, bgr: Bgr, segment: bytes = b"") -> Path:
    """Write a JPEG file and return its path."""
    path.write_bytes(jpeg(bgr, segment))
    return path
