"""Large pictures made smaller, and everything that stands in pixels moved along with them.

What is looked for has a size in pixels: a cord some ten wide, an edge one or two. A phone that stores 50
megapixels does not see that much finer, it spreads every edge over more of them. Measured as they are, such
pictures were slow and could give a confident wrong ratio; averaged down they measure like any other.
"""

from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

import cv2
import numpy as np
from numpy.typing import NDArray

from .picture import Picture, Size

#: Larger pictures than the first are reduced to the second, for which the search was tuned.
MOST_PIXELS, REDUCED_PIXELS = 6e6, 5e6

T = TypeVar("T")


def reduced(picture: Picture) -> Picture:
    """The picture, or one of REDUCED_PIXELS in which every pixel is the mean of those that it covers."""
    pixels = picture.width_px * picture.height_px
    if pixels <= MOST_PIXELS:
        return picture
    share = float(np.sqrt(REDUCED_PIXELS / pixels))
    size = (round(share * picture.width_px), round(share * picture.height_px))
    bgr = np.asarray(cv2.resize(picture.bgr, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    return replace(picture, bgr=bgr, focal_px=picture.focal_px * size[0] / picture.width_px)


def resized(thing: T, source: Size, target: Size) -> T:
    """A dataclass with all that stands in pixels, moved from one picture into its other size.

    Numbers ending in ``_px`` are lengths; pairs, tuples of pairs and arrays (n, 2) are places. A pixel keeps
    its middle: x becomes (x + 0.5) share - 0.5. Widths and heights are whole numbers,
    so the two shares differ a little.
    """
    share = np.array([target.width_px / source.width_px, target.height_px / source.height_px])
    if (share == 1).all():
        return thing
    moved: Any = _resized(thing, share)
    return moved  # type: ignore[no-any-return]


def _resized(thing: Any, share: NDArray[np.float64]) -> Any:
    if is_dataclass(thing) and not isinstance(thing, type):
        held = ((each.name, getattr(thing, each.name)) for each in fields(thing))
        return replace(
            thing,
            **{name: (_moved if name.endswith("_px") else _resized)(value, share) for name, value in held},
        )
    return tuple(_resized(each, share) for each in thing) if isinstance(thing, tuple) else thing


def _moved(value: Any, share: NDArray[np.float64]) -> Any:
    if value is None:
        return None
    if isinstance(value, np.ndarray):
        return (value + 0.5) * share - 0.5
    if isinstance(value, tuple):
        if len(value) == 2 and not isinstance(value[0], tuple):
            return tuple(((np.array(value, dtype=float) + 0.5) * share - 0.5).tolist())
        return tuple(_moved(each, share) for each in value)
    return value * float(share.mean())
