"""The outline of a turned thing in the folded side view: the wall of mirrored edges round its axis."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from ..geometry.camera import Points
from .mirror import Mirrored

#: An edge that runs across the axis counts from this agreement; the thing lies where a column shows
#: so many, as a share of its rows and of the most that a column shows.
CLEAR_AGREEMENT, LEAST_IN_COLUMN, LEAST_OF_MOST = 0.35, 0.03, 0.15
#: Such columns, with gaps up to this share of the view, make one thing.
JOIN_SHARE, BESIDE_SHARE = 0.08, 0.06
#: The outline is smoothed over so many pixels of the folded view, and given at every pixel along it.
SMOOTHING_PX = 1.5


@dataclass(frozen=True, slots=True)
class Silhouette:
    """One half of an outline, from the one end of the thing to the other.

    Attributes
    ----------
    points : (n, 2) array
        Places (u, v), v > 0, in pixels of the folded view, about one pixel apart along the outline.
    agreement : (n,) array
        How clearly both halves of the picture show an edge there.
    """

    points: Points
    agreement: NDArray[np.float64]


def silhouette(seen: Mirrored) -> Silhouette | None:
    """Follow the outline; None where nothing stands out.

    The agreement is taken as a landscape and flooded from the axis and from far outside at once: the two
    waters meet on the ridge that parts the thing from its surroundings (watershed, F. Meyer 1992).
    """
    extent = _extent(seen)
    if extent is None:
        return None
    left, right = extent
    beside = int(BESIDE_SHARE * len(seen.u))
    markers = np.zeros(seen.agreement.shape, np.int32)
    markers[:3, left + 2 : right - 1] = 1
    markers[:, : max(left - beside, 1)] = 2
    markers[:, min(right + beside, len(seen.u) - 1) :] = 2
    markers[-3:] = 2
    height = np.clip(seen.agreement * 200, 0, 255).astype(np.uint8)
    # A rim of one pixel, because OpenCV leaves the outermost one without an owner.
    walls = cv2.copyMakeBorder(cv2.cvtColor(height, cv2.COLOR_GRAY2BGR), 1, 1, 1, 1, cv2.BORDER_REPLICATE)
    owners = cv2.watershed(walls, cv2.copyMakeBorder(markers, 1, 1, 1, 1, cv2.BORDER_REPLICATE))[1:-1, 1:-1]
    return _followed(seen, (owners == 1).astype(np.uint8))


def _extent(seen: Mirrored) -> tuple[int, int] | None:
    """First and last column of the group of columns that shows most edges across the axis."""
    clear = (seen.agreement > CLEAR_AGREEMENT) & (seen.across > 0)
    columns = np.convolve(clear.sum(axis=0), np.full(5, 0.2), "same")
    strong = np.flatnonzero(columns > max(LEAST_IN_COLUMN * len(seen.v), LEAST_OF_MOST * columns.max()))
    if len(strong) < 4:
        return None
    groups = np.split(strong, np.flatnonzero(np.diff(strong) > JOIN_SHARE * len(seen.u)) + 1)
    best = max(groups, key=lambda group: columns[group].sum())
    return (int(best[0]), int(best[-1])) if best[-1] - best[0] >= 8 else None


def _followed(seen: Mirrored, inside: NDArray[np.uint8]) -> Silhouette | None:
    """The border of the inside, with the agreement along it."""
    line = border(inside)
    if line is None:
        return None
    points = line + np.array([seen.u[0], seen.v[0]])
    return Silhouette(points, agreement_along(seen, points))


def agreement_along(seen: Mirrored, points: Points) -> NDArray[np.float64]:
    """How clearly both halves show an edge within a pixel of places (u, v)."""
    where = (points - [seen.u[0], seen.v[0]]).astype(np.float32)
    near = cv2.dilate(seen.agreement, np.ones((3, 3)))
    found = cv2.remap(near, where[:, 0], where[:, 1], cv2.INTER_LINEAR)
    return np.asarray(found, dtype=np.float64).ravel()


def border(inside: NDArray[np.uint8]) -> Points | None:
    """The border of the inside away from the first row, as a smooth line (column, row) from left to right."""
    contours, _ = cv2.findContours(inside, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not contours:
        return None
    chain = max(contours, key=len)[:, 0].astype(float)
    low = chain[:, 1] <= 1
    if low.all() or not low.any():
        return None
    chain = np.roll(chain, -int(np.flatnonzero(low)[0]), axis=0)
    off_axis = np.flatnonzero(chain[:, 1] > 1)
    line = chain[off_axis[0] : off_axis[-1] + 1]
    if len(line) < 20:
        return None
    line = line if line[0, 0] < line[-1, 0] else line[::-1]
    # OpenCV gives the last pixel inside; the edge itself lies further out.
    smooth = gaussian_filter1d(line, SMOOTHING_PX, axis=0, mode="nearest")
    smooth += _outward(smooth)
    reach = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(smooth, axis=0), axis=1))])
    even = np.arange(0.0, reach[-1])
    return np.column_stack([np.interp(even, reach, smooth[:, k]) for k in (0, 1)])


def _outward(line: Points) -> Points:
    """Unit normals (n, 2) of a line that runs from left to right, away from the axis."""
    along = np.gradient(line, axis=0)
    return np.asarray(
        np.column_stack([-along[:, 1], along[:, 0]])
        / np.maximum(np.linalg.norm(along, axis=1), 1e-9)[:, None]
    )
