"""Square markers of OpenCV's dictionary DICT_4X4_50, their corners refitted from the edges."""

import cv2
import numpy as np

from ..errors import WrongHintError
from ..find.edges import lab_pixels
from ..find.rectangles import refined_corners
from ..open.picture import Picture
from .found import FoundReference, ReferenceKind, ReferenceRequest, Surroundings

#: Straight lines fitted to a marker's edges cross within a fraction of a pixel; blur and paper add to that.
CORNER_DEVIATION_PX = 0.3


def find_markers(
    picture: Picture, surroundings: Surroundings, request: ReferenceRequest
) -> list[FoundReference]:
    """All markers in view, each taken to have the side that was named."""
    if request.length_mm is None:
        raise WrongHintError("A marker needs the length of its side: give it as marker=60mm, for example.")
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    grey = cv2.cvtColor(picture.bgr, cv2.COLOR_BGR2GRAY)
    corners, _, _ = cv2.aruco.ArucoDetector(dictionary).detectMarkers(grey)
    lab = lab_pixels(picture.bgr)
    side_mm = request.length_mm.nominal_value
    found = []
    for four in corners:
        rough = np.asarray(four, dtype=float).reshape(4, 2)
        refined = refined_corners(lab, rough)
        if refined is not None:
            doubt = request.length_mm.std_dev / side_mm
            found.append(FoundReference("marker", refined[0], side_mm, side_mm, doubt, CORNER_DEVIATION_PX))
    return found


MARKER = ReferenceKind("marker", find_markers, needs_length=True)
