"""An outline set right by colour: narrow lands and dull edges are lost where mirrored edges alone count."""

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Points
from ..geometry.side_view import SideView

#: Pixels of the view in which colours are compared, on its longer side of the picture.
LONGEST_PX = 1000.0
#: The outline may be off inward and outward by so many of them; beyond, inside and outside are sure.
INWARD_PX, OUTWARD_PX = 10, 22
#: So much of the surroundings is looked at.
AROUND_PX = 40.0
ROUNDS = 4


def inside_by_colour(
    lab: NDArray[np.float32], view: SideView, outline: Points, span: tuple[int, int]
) -> tuple[NDArray[np.uint8], NDArray[np.float64], NDArray[np.float64]]:
    """What lies inside on both sides of the axis (rows v, columns u), by the colours about an outline.

    Each side has its own light and ground, so each is parted by itself (GrabCut, Rother, Kolmogorov, Blake
    2004); a shadow or a joint that runs on from the thing does so on one side only.

    Parameters
    ----------
    lab : (h, w, 3) array
    view : SideView
    outline : (n, 2) array
        Places (u, v), v > 0.
    span : tuple of int
        Indices of the first and the last flange.
    """
    step = max(lab.shape[:2]) / LONGEST_PX
    part = outline[span[0] : span[1] + 1]
    around = AROUND_PX * step
    u = np.arange(part[:, 0].min() - around, part[:, 0].max() + around, step)
    v = np.arange(max(part[:, 1].min() - 2 * around, 1.0), part[:, 1].max() + around, step)
    ends = np.array([[outline[-1, 0], -around], [outline[0, 0], -around]])
    polygon = np.round((np.vstack([outline, ends]) - [u[0], v[0]]) / step).astype(np.int32)
    rough = np.zeros((len(v), len(u)), np.uint8)
    cv2.fillPoly(rough, [polygon], 1)
    one, other = (_parted(view.seen(lab, u, sign * v), rough) for sign in (1.0, -1.0))
    return np.asarray(one & other, dtype=np.uint8), u, v


def _parted(pixels: NDArray[np.float32], rough: NDArray[np.uint8]) -> NDArray[np.uint8]:
    mask = np.where(rough > 0, cv2.GC_PR_FGD, cv2.GC_PR_BGD).astype(np.uint8)
    sure = cv2.erode(rough, _disc(INWARD_PX), borderType=cv2.BORDER_REPLICATE) > 0
    mask[sure] = cv2.GC_FGD
    mask[cv2.dilate(rough, _disc(OUTWARD_PX)) == 0] = cv2.GC_BGD
    if not sure.any() or not (mask == cv2.GC_BGD).any():
        return rough
    smooth = cv2.GaussianBlur(np.clip(pixels, 0, 255).astype(np.uint8), (0, 0), 1.0)
    cv2.setRNGSeed(1)
    cv2.grabCut(
        smooth, mask, (0, 0, 1, 1), np.zeros((1, 65)), np.zeros((1, 65)), ROUNDS, cv2.GC_INIT_WITH_MASK
    )
    return np.isin(mask, (cv2.GC_FGD, cv2.GC_PR_FGD)).astype(np.uint8)


def _disc(radius: int) -> NDArray[np.uint8]:
    size = (2 * radius + 1, 2 * radius + 1)
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, size), dtype=np.uint8)
