"""Two clicked points whose distance was measured with a ruler."""

import numpy as np

from ..errors import WrongHintError
from ..open.picture import Picture
from .found import FoundReference, ReferenceKind, ReferenceRequest, Surroundings

#: How well a person points at a mark, in pixels.
CLICK_DEVIATION_PX = 1.5
#: Nearer points than this are one, clicked twice.
LEAST_APART_PX = 20.0


def find_points(
    picture: Picture, surroundings: Surroundings, request: ReferenceRequest
) -> list[FoundReference]:
    """The two points, as they were clicked."""
    if request.length_mm is None or len(request.points_px) != 2:
        raise WrongHintError(
            "Two points need their pixels and their distance: give them as points=X1,Y1,X2,Y2,300mm."
        )
    for point in request.points_px:
        if not picture.contains(point):
            raise WrongHintError(
                f"The point {point[0]:g},{point[1]:g} lies outside the picture, which is "
                f"{picture.width_px} x {picture.height_px} pixels. Point at two marks inside it."
            )
    if np.hypot(*np.subtract(*request.points_px)) < LEAST_APART_PX:
        raise WrongHintError(
            f"The two points lie less than {LEAST_APART_PX:g} pixels from each other. "
            "Point at two marks far apart, such as both ends of a ruler."
        )
    length = request.length_mm
    doubt = length.std_dev / length.nominal_value
    corners = np.array(request.points_px, dtype=float)
    return [FoundReference("points", corners, length.nominal_value, 0.0, doubt, CLICK_DEVIATION_PX)]


POINTS = ReferenceKind("points", find_points, needs_length=True, needs_points=True, needs_plane=False)
