"""What of known size to look for in a picture, and round which wheel.

The search for cards that nobody named takes longest, and needs the wheel's plane only roughly. So it looks
round the rim's clearest edge, whichever edge is measured in the end: what it finds stays found when the
spinner points at another edge of the same rim.
"""

from collections.abc import Sequence
from concurrent.futures import Executor

import numpy as np

from .find.rim import RimEdge, clearest_edge
from .fit.scene import Scene
from .fit.wheel_fit import rim_poses
from .fit.wheel_scene import UNSCALED_RIM_RADIUS_MM, camera_unknowns, wheel_unknowns
from .geometry.ellipse import Ellipse
from .open.picture import Picture
from .photo_settings import PhotoSettings
from .references import AUTOMATIC_KINDS, ReferenceRequest, Surroundings
from .references.search import LookedFor, look_for

#: Two edges lie in one plane, or in planes one behind the other, if the widths of one are everywhere the same
#: multiple of the other's within this, and their middles are no further apart than that share of a radius.
SAME_SHAPE, SAME_MIDDLE = 0.05, 0.1
DIRECTIONS = 24


def requests_of(settings: PhotoSettings) -> tuple[ReferenceRequest, ...]:
    """What of known size to look for."""
    if settings.no_reference:
        return ()
    return settings.references or tuple(ReferenceRequest(kind) for kind in AUTOMATIC_KINDS)


def edge_to_look_round(edges: Sequence[RimEdge], chosen: RimEdge) -> RimEdge:
    """The clearest of the edges, unless the one that is measured is of another shape."""
    clearest = clearest_edge(list(edges))
    return clearest if _alike(clearest.ellipse, chosen.ellipse) else chosen


def looked_for(
    picture: Picture, edge: RimEdge, requests: Sequence[ReferenceRequest], side_by_side: Executor
) -> LookedFor:
    """Candidates about an edge of the rim, in either pose that it may have."""
    surroundings = []
    for pose in rim_poses(picture, edge):
        unknowns = [
            *camera_unknowns(picture),
            *wheel_unknowns(pose, UNSCALED_RIM_RADIUS_MM, scaled=False),
        ]
        plane = Scene({each.name: each.start for each in unknowns}).plane
        surroundings.append(Surroundings(plane, UNSCALED_RIM_RADIUS_MM))
    return look_for(picture, surroundings, requests, side_by_side)


def _alike(one: Ellipse, other: Ellipse) -> bool:
    """Whether two ellipses about one middle are of one shape, whatever their sizes."""
    turn = np.linspace(0, np.pi, DIRECTIONS, endpoint=False)
    ways = np.column_stack([np.cos(turn), np.sin(turn)])
    widths = [ellipse.support(ways)[1] for ellipse in (one, other)]
    apart_px = float(np.hypot(*(one.centre_px - other.centre_px)))
    return bool(
        np.ptp(np.log(widths[0] / widths[1])) < SAME_SHAPE and apart_px < SAME_MIDDLE * one.mean_radius_px
    )
