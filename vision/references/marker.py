"""Square markers of OpenCV's dictionary DICT_4X4_50, their corners refitted from the edges."""

import cv2
import numpy as np
from numpy.typing import NDArray

from ..errors import WrongHintError
from ..find.outlines import Outline, outline_cover, refined_outline
from ..geometry.ellipse import Points
from ..open.picture import Picture
from .found import FoundReference, ReferenceKind, ReferenceRequest, Surroundings
from .marker_fields import as_printed

#: How far a point of a marker's clean black edge is off: blur, grain, paper that is not quite flat.
SIDE_DEVIATION_PX = 0.4
#: Where less of the outline shows an edge, something hides a corner and the detector has cut it off.
WHOLE_COVER = 0.95
#: A field of the pattern, as it is drawn to be laid over the picture, and how far it is blurred.
FIELD_PX, PATTERN_BLUR_PX = 12, 1.0
ALIGNING = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 60, 1e-5)


def find_markers(
    picture: Picture, surroundings: Surroundings, request: ReferenceRequest
) -> list[FoundReference]:
    """All markers in view, each taken to have the side that was named."""
    if request.length_mm is None:
        raise WrongHintError("A marker needs the length of its side: give it as marker=60mm, for example.")
    grey = np.asarray(cv2.cvtColor(picture.bgr, cv2.COLOR_BGR2GRAY), dtype=np.uint8)
    corners, numbers, _ = cv2.aruco.ArucoDetector(_dictionary()).detectMarkers(grey)
    side_mm = request.length_mm.nominal_value
    found = []
    for four, number in zip(corners, np.ravel(numbers if len(corners) else []), strict=True):
        outline = _outline(picture, grey, np.asarray(four, dtype=float).reshape(4, 2), int(number))
        if outline is not None:
            outline = as_printed(picture.light, outline, int(number))
            doubt = request.length_mm.std_dev / side_mm
            found.append(
                FoundReference(
                    "marker",
                    outline.corners_px,
                    side_mm,
                    side_mm,
                    doubt,
                    SIDE_DEVIATION_PX,
                    sides_px=outline.sides_px,
                )
            )
    return found


def _dictionary() -> cv2.aruco.Dictionary:
    return cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)


def _outline(picture: Picture, grey: NDArray[np.uint8], rough: Points, number: int) -> Outline | None:
    """The sides near rough corners (4, 2), or near those that the pattern tells if it shows more of them."""
    outline = refined_outline(picture.light, rough)
    cover = outline_cover(picture.light, outline.corners_px) if outline is not None else 0.0
    if cover >= WHOLE_COVER:
        return outline
    by_pattern = _corners_by_pattern(grey, rough, number)
    other = refined_outline(picture.light, by_pattern) if by_pattern is not None else None
    return other if other is not None and outline_cover(picture.light, other.corners_px) > cover else outline


def _corners_by_pattern(grey: NDArray[np.uint8], rough: Points, number: int) -> Points | None:
    """Where the whole pattern puts the corners (4, 2), of which something may hide one; None if nowhere."""
    margin = FIELD_PX // 2
    pattern = cv2.aruco.generateImageMarker(_dictionary(), number, 6 * FIELD_PX)
    pattern = cv2.copyMakeBorder(pattern, *(margin,) * 4, cv2.BORDER_CONSTANT, value=255)
    pattern = cv2.GaussianBlur(pattern, (0, 0), PATTERN_BLUR_PX)
    near, far = margin - 0.5, margin + 6 * FIELD_PX - 0.5
    square = np.array([[near, near], [far, near], [far, far], [near, far]], np.float32)
    to_picture = cv2.getPerspectiveTransform(square, rough.astype(np.float32))
    patch = cv2.warpPerspective(
        grey, to_picture, pattern.shape, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    )
    try:
        _, moved = cv2.findTransformECC(
            pattern, patch, np.eye(3, dtype=np.float32), cv2.MOTION_HOMOGRAPHY, ALIGNING
        )
    except cv2.error:
        # It raises where the pattern drifts away.
        return None
    aligned = cv2.perspectiveTransform(cv2.perspectiveTransform(square[None], moved), to_picture)
    return np.asarray(aligned[0], dtype=float)


MARKER = ReferenceKind("marker", find_markers, needs_length=True, needs_plane=False)
