"""Whether corners are rounded, as a bank card's are: the strongest witness that a rectangle is one.

Bricks, boards and pictures on the wall have sharp corners, and chance rows of edges have none that agree. So
what lies between a corner's arc and the crossing of its sides is compared with what lies inside the arc and
with what lies outside the sides: on a rounded corner it is background.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Points
from ..geometry.plane import BandPlane

Numbers = NDArray[np.float64]
Zone = NDArray[np.bool_]

#: Pixels are sampled at this step; nearer to an edge than the blur they are a mixture, and left out.
STEP_PX, BLUR_PX, FURTHEST_PX = 0.5, 1.0, 3.5
#: The zone between arc and crossing is small: nearer to the arc and to the sides than this it is left out.
ARC_BLUR_PX, SIDE_BLUR_PX = 0.6, 0.3
#: Arc and crossing must be so far apart to be told from each other.
LEAST_GAP_PX = 1.6
#: Corners at which thing and background differ by less (CIELAB, 0 to 255) tell nothing; so many must tell.
LEAST_CONTRAST, LEAST_CORNERS = 4.0, 2


def corner_rounding(
    lab: NDArray[np.float32], plane: BandPlane, corners_px: Points, radius_share: float
) -> float | None:
    """How much like background the tips of the corners look: 1 if rounded by the radius, 0 if sharp.

    Parameters
    ----------
    lab : (h, w, 3) array
    plane : BandPlane
        In any unit; the rectangle lies in it or in parallel to it.
    corners_px : (4, 2) array
        Where the sides cross, in order round it.
    radius_share : float
        Radius of the corners as a share of the first side.

    Returns
    -------
    float or None
        None where the picture cannot tell: the corners are too small in it, or too like their background.
    """
    corners_mm = plane.plane_from_pixels(corners_px)
    radius_mm = radius_share * float(np.linalg.norm(corners_mm[1] - corners_mm[0]))
    x_mm, y_mm = corners_mm.mean(axis=0)
    px_per_mm = plane.px_per_mm((x_mm, y_mm))
    if (np.sqrt(2) - 1) * radius_mm * px_per_mm < LEAST_GAP_PX:
        return None
    along_mm, (tip, inside, outside) = _zones(radius_mm, px_per_mm)
    alike, contrasts = [], []
    for k in range(4):
        to_sides = np.array([corners_mm[(k + 1) % 4], corners_mm[k - 1]]) - corners_mm[k]
        to_sides /= np.linalg.norm(to_sides, axis=1)[:, None]
        places_px = plane.pixels_from_plane(corners_mm[k] + along_mm @ to_sides)
        x, y = places_px.astype(np.float32).T
        colours = cv2.remap(lab, x[None], y[None], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)[0]
        thing = np.median(colours[inside], axis=0)
        background, seen = (np.median(colours[zone], axis=0) - thing for zone in (outside, tip))
        alike.append(float(seen @ background))
        contrasts.append(float(background @ background))
    return _pooled(np.array(alike), np.array(contrasts))


def _zones(radius_mm: float, px_per_mm: float) -> tuple[Points, tuple[Zone, Zone, Zone]]:
    """Places (n, 2) along both sides of a corner in mm: which lie at its tip, inside its arc, outside it."""
    px_mm = 1 / px_per_mm
    steps_mm = np.arange(-(FURTHEST_PX + 0.5) * px_mm, radius_mm + 3 * px_mm, STEP_PX * px_mm)
    places_mm = np.stack(np.meshgrid(steps_mm, steps_mm), axis=-1).reshape(-1, 2)
    low_mm, high_mm = places_mm.min(axis=1), places_mm.max(axis=1)
    beyond_arc_mm = np.linalg.norm(radius_mm - places_mm, axis=1) - radius_mm
    in_square = high_mm < radius_mm
    tip = in_square & (beyond_arc_mm > ARC_BLUR_PX * px_mm) & (low_mm > SIDE_BLUR_PX * px_mm)
    inside = in_square & (np.abs(beyond_arc_mm + 0.5 * (BLUR_PX + FURTHEST_PX) * px_mm) < 1.25 * px_mm)
    outside = (low_mm < -BLUR_PX * px_mm) & (low_mm > -FURTHEST_PX * px_mm) & in_square
    return places_mm, (tip, inside & (low_mm > BLUR_PX * px_mm), outside)


def _pooled(alike: Numbers, contrasts: Numbers) -> float | None:
    """One figure of four corners: the more careful of all weighed by contrast, and all weighed alike."""
    telling = contrasts > LEAST_CONTRAST**2
    if telling.sum() < LEAST_CORNERS:
        return None
    alike, contrasts = alike[telling], contrasts[telling]
    return float(min(alike.sum() / contrasts.sum(), np.clip(alike / contrasts, 0.0, 1.0).mean()))
