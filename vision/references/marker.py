"""Square markers of OpenCV's dictionary DICT_4X4_50, their corners refitted from the edges."""

import cv2
import numpy as np

from ..errors import WrongHintError
from ..find.outlines import refined_outline
from ..open.picture import Picture
from .found import FoundReference, ReferenceKind, ReferenceRequest, Surroundings

#: How far a point of a marker's clean black edge is off: blur, grain, paper that is not quite flat.
SIDE_DEVIATION_PX = 0.4


def find_markers(
    picture: Picture, surroundings: Surroundings, request: ReferenceRequest
) -> list[FoundReference]:
    """All markers in view, each taken to have the side that was named."""
    if request.length_mm is None:
        raise WrongHintError("A marker needs the length of its side: give it as marker=60mm, for example.")
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    grey = cv2.cvtColor(picture.bgr, cv2.COLOR_BGR2GRAY)
    corners, _, _ = cv2.aruco.ArucoDetector(dictionary).detectMarkers(grey)
    side_mm = request.length_mm.nominal_value
    found = []
    for four in corners:
        rough = np.asarray(four, dtype=float).reshape(4, 2)
        outline = refined_outline(picture.light, rough)
        if outline is not None:
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


MARKER = ReferenceKind("marker", find_markers, needs_length=True, needs_plane=False)
