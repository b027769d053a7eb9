"""How much too narrow a marker's black is seen, told by the fields of its own pattern.

Where paper is so bright that the camera clips it, and where black ink or a screen shines into what is beside
it, every black field is seen narrower all round by one width, and every white one wider. The pattern is
printed to scale, so its inner edges tell that width: with the outline taken as it is seen, they lie too far
towards black, the more so the farther out the black lies.
"""

from collections.abc import Iterator
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from ..find.edges import edges_across
from ..find.outlines import Outline
from ..geometry.ellipse import Points

Fields = NDArray[np.uint8]

#: Along an edge between two fields so many places are asked, but not at its ends, where corners are rounded.
PLACES, ENDS_SHARE = 7, 0.25
#: An edge is looked for within this share of a field, and fields smaller than so many pixels tell nothing.
REACH_FIELDS, LEAST_FIELD_PX = 0.3, 8.0
#: An inner edge tells the width only if the outline does not move along with it, by this share at least.
LEAST_SHARE = 0.5
#: So many places must tell it, and no more is believed than this: a camera clips a pixel or so.
LEAST_TOLD, MOST_PX = 20, 1.5


def as_printed(light: NDArray[np.float32], outline: Outline, number: int) -> Outline:
    """The outline of a marker's black as it was printed, where its pattern shows that it is seen too narrow.

    Parameters
    ----------
    light : (h, w, 3) array
    outline : Outline
        Its corners in the order of the marker's own.
    number : int
        Which marker of the dictionary it is.
    """
    narrower_px = _narrower_px(light, outline.corners_px, fields_of(number))
    return outline if narrower_px is None else _wider(outline, narrower_px)


def fields_of(number: int) -> Fields:
    """The pattern (6, 6) of a marker, its black border included: 0 is black, 255 white."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    return np.asarray(cv2.aruco.generateImageMarker(dictionary, number, 6), dtype=np.uint8)


def _narrower_px(light: NDArray[np.float32], corners_px: Points, fields: Fields) -> float | None:
    """By how much the black is seen too narrow on each side; None if the pattern does not tell."""
    count = len(fields)
    field_px = float(np.linalg.norm(np.roll(corners_px, -1, axis=0) - corners_px, axis=1).min()) / count
    if field_px < LEAST_FIELD_PX:
        return None
    square = np.array([[0, 0], [count, 0], [count, count], [0, count]], np.float32)
    to_picture = np.asarray(cv2.getPerspectiveTransform(square, corners_px.astype(np.float32)), dtype=float)
    told = [
        off_px / share
        for ends, towards, share in _inner_edges(fields)
        for off_px in _off_px(light, _mapped(to_picture, ends), _mapped(to_picture, towards), field_px)
    ]
    if len(told) < LEAST_TOLD:
        return None
    return float(np.clip(np.median(told), -MOST_PX, MOST_PX))


def _inner_edges(fields: Fields) -> Iterator[tuple[Points, Points, float]]:
    """Edges between a white and a black field, in fields from the pattern's first corner.

    Each comes with its two ends (2, 2), two places (2, 2) one behind the other towards black, and by how many
    of the sought width it lies beside where the outline puts it.
    """
    half = 0.5 * len(fields)
    for turned in (False, True):
        pattern = fields.T if turned else fields
        for row, column in zip(*np.nonzero(pattern[:, 1:] != pattern[:, :-1]), strict=True):
            x = float(column) + 1.0
            black = 1.0 if pattern[row, column] else -1.0
            share = 1.0 + black * (x - half) / half
            if share < LEAST_SHARE:
                continue
            ends = np.array([[x, row + ENDS_SHARE], [x, row + 1 - ENDS_SHARE]])
            towards = np.array([[x, row + 0.5], [x + 0.1 * black, row + 0.5]])
            yield (ends[:, ::-1], towards[:, ::-1], share) if turned else (ends, towards, share)


def _off_px(
    light: NDArray[np.float32], ends_px: Points, towards_px: Points, field_px: float
) -> NDArray[np.float64]:
    """How far (n,) towards black an edge is seen beside the line between two places (2, 2)."""
    along = ends_px[1] - ends_px[0]
    normal = np.array([-along[1], along[0]]) / np.linalg.norm(along)
    normal *= np.sign(normal @ (towards_px[1] - towards_px[0]))
    places = ends_px[0] + np.linspace(0.0, 1.0, PLACES)[:, None] * along
    edges = edges_across(light, places, np.broadcast_to(normal, places.shape).copy(), REACH_FIELDS * field_px)
    off_px = (edges.points_px - places[edges.line]) @ normal
    strongest = [
        off_px[mine][edges.strength[mine].argmax()]
        for line in range(PLACES)
        if (mine := np.flatnonzero(edges.line == line)).size
    ]
    return np.array(strongest)


def _mapped(matrix: NDArray[np.float64], points: Points) -> Points:
    return np.asarray(cv2.perspectiveTransform(points[None], matrix)[0], dtype=float)


def _wider(outline: Outline, width_px: float) -> Outline:
    """The outline with every side so much farther out."""
    corners = outline.corners_px
    along = np.roll(corners, -1, axis=0) - corners
    outwards = np.column_stack([along[:, 1], -along[:, 0]]) / np.linalg.norm(along, axis=1)[:, None]
    outwards *= np.sign(np.sum(outwards * (corners - corners.mean(axis=0)), axis=1))[:, None]
    # A corner lies on two sides: it moves so far that it is farther out from both.
    moved = [
        corners[k] + np.linalg.solve(np.array([outwards[k - 1], outwards[k]]), np.full(2, width_px))
        for k in range(4)
    ]
    sides = tuple(side + width_px * out for side, out in zip(outline.sides_px, outwards, strict=True))
    return replace(outline, corners_px=np.array(moved), sides_px=sides)
