"""Stored pixels of any kind become 8-bit sRGB, as a viewer shows them.

Phones store Display P3, scanners and editors a dozen other spaces. The same numbers in another space are
other colours, and with another tone curve the middle of an edge lies elsewhere. Everything after this works
in CIELAB reckoned from sRGB, so a profile that lies in the file is followed; white stays white.
"""

import io

import numpy as np
from PIL import Image, ImageCms


def srgb(picture: Image.Image) -> Image.Image:
    """The picture, of 8 or 16 bits, as RGB of 8 bits a colour, transparent parts on white."""
    profile = picture.info.get("icc_profile")
    return _by_profile(_on_white(_eight_bits(picture)), profile if isinstance(profile, bytes) else b"")


def _eight_bits(picture: Image.Image) -> Image.Image:
    """The picture, or the upper 8 bits if it is grey in 16; of 16 a colour Pillow takes the upper 8."""
    if not picture.mode.startswith("I;16"):
        return picture
    # 16 bits hold 257 times the grey value of 8.
    grey = ((np.asarray(picture).astype(np.uint32) + 128) // 257).astype(np.uint8)
    reduced = Image.fromarray(grey)
    # A transparent grey, if one is named, is one of 16 bits.
    reduced.info = {key: what for key, what in picture.info.items() if key != "transparency"}
    return reduced


def _on_white(picture: Image.Image) -> Image.Image:
    """The picture without alpha; what lies under transparent pixels is chance, often black, never seen."""
    if not picture.has_transparency_data:
        return picture if picture.mode in ("L", "RGB", "CMYK", "LAB") else picture.convert("RGB")
    layer = picture.convert("RGBA")
    ground = Image.new("RGBA", layer.size, "white")
    return Image.alpha_composite(ground, layer).convert("RGB")


def _by_profile(picture: Image.Image, profile: bytes) -> Image.Image:
    """Follow the embedded profile; without one, or with one that is damaged, RGB is taken for sRGB."""
    try:
        if picture.mode == "LAB":
            told = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB"))
        elif profile:
            told = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            if "sRGB" in ImageCms.getProfileDescription(told) and picture.mode == "RGB":
                return picture
        else:
            return picture.convert("RGB")
        seen = ImageCms.profileToProfile(
            picture, told, ImageCms.createProfile("sRGB"), ImageCms.Intent.RELATIVE_COLORIMETRIC, "RGB"
        )
    except (ImageCms.PyCMSError, OSError):
        seen = None
    return seen if seen is not None else picture.convert("RGB")
