"""References in a side-on picture: they lie about square to the camera, at any size."""

import numpy as np

from ..geometry.camera import Camera
from ..geometry.plane import BandPlane
from ..open.picture import Picture
from .found import FoundReference, ReferenceRequest, Surroundings

#: The kinds look round a wheel of a size that a wheel may have. Here there is none; so they are told of
#: wheels of several sizes, whose rims reach so far, as a share of half the picture's diagonal.
RIM_SHARES = (1.0, 2.2)
#: The wheel's radius and its distance, in a unit that nothing depends on.
RADIUS, DISTANCE = 250.0, 1000.0


def front_on_references(picture: Picture, requests: tuple[ReferenceRequest, ...]) -> list[FoundReference]:
    """All references that are found in a plane square to the camera; requests empty: those found unasked."""
    from . import AUTOMATIC_KINDS, REFERENCE_KINDS

    asked = requests or tuple(ReferenceRequest(kind) for kind in AUTOMATIC_KINDS)
    found: list[FoundReference] = []
    for request in asked:
        for share in RIM_SHARES:
            surroundings = _surroundings(picture, share)
            looked = REFERENCE_KINDS[request.kind].find(picture, surroundings, request)
            found += [each for each in looked if isinstance(each, FoundReference)]
            if any(reference.certain for reference in found):
                break
    return found


def _surroundings(picture: Picture, rim_share: float) -> Surroundings:
    """A plane square to the camera in which a rim of that share fits round the picture's middle."""
    half_diagonal = 0.5 * float(np.hypot(picture.width_px, picture.height_px))
    focal = DISTANCE * rim_share * half_diagonal / RADIUS
    centre = (0.5 * (picture.width_px - 1), 0.5 * (picture.height_px - 1))
    plane = BandPlane.from_tilt(Camera(focal, centre), (0.0, 0.0), (0.0, 0.0), DISTANCE)
    return Surroundings(plane, RADIUS)
