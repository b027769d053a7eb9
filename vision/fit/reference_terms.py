"""A found reference as unknowns and an observation of the joint fit."""

from collections.abc import Iterator

import numpy as np
from uncertainties import UFloat

from ..geometry.camera import Points
from ..geometry.plane import BandPlane
from ..references import FoundReference
from .coin_seen import CoinSeen
from .observations import DistanceSeen, Observation
from .rectangle_seen import RectangleSeen, side_names
from .rule_seen import RuleSeen
from .unknowns import Unknown, known_about

#: A floor under the offset's and the size's doubt keeps the fit well posed.
LEAST_OFFSET_DOUBT_MM, LEAST_SIZE_DOUBT = 0.2, 2e-4
#: Where on a wall the edge is found, as a share of it from the side, and how far that is known: anywhere.
WALL_SHARE, WALL_SHARE_DOUBT = 0.5, 0.4
#: The same on a coin, whose wall is a tenth to a fourteenth of its diameter high (euro and US coins, from
#: memory): how far down it the edge is found, as a share of the diameter, and how far that is known.
COIN_WALL, COIN_WALL_DOUBT = 0.042, 0.035
#: How far a whole side is off, by shadows and print alongside it, beside what its points are.
SIDE_DOUBT_PX = 0.1


def reference_unknowns(
    name: str, reference: FoundReference, plane: BandPlane, offset_mm: UFloat
) -> Iterator[Unknown]:
    """Size, height above the band plane and, for a rectangle or a rule, pose in its plane."""
    height_mm = offset_mm.nominal_value
    yield known_about(f"{name}_size", 1.0, max(reference.size_doubt, LEAST_SIZE_DOUBT))
    yield known_about(f"{name}_height", height_mm, max(offset_mm.std_dev, LEAST_OFFSET_DOUBT_MM))
    if len(reference.corners_px) == 4 or reference.ticks is not None:
        corners = plane.plane_from_pixels(reference.corners_px, height_mm)
        middle, side = corners.mean(axis=0), corners[1] - corners[0]
        yield Unknown(f"{name}_x", float(middle[0]), 5.0)
        yield Unknown(f"{name}_y", float(middle[1]), 5.0)
        yield Unknown(f"{name}_turn", float(np.arctan2(side[1], side[0])), 0.02)
        if reference.ticks is None:
            yield from _side_unknowns(name, reference, plane, corners)
    elif reference.circle is not None:
        middle = plane.plane_from_pixels(reference.corners_px, height_mm).mean(axis=0)
        yield Unknown(f"{name}_x", float(middle[0]), 5.0)
        yield Unknown(f"{name}_y", float(middle[1]), 5.0)
        wall, doubt = (share * reference.width_mm for share in (COIN_WALL, COIN_WALL_DOUBT))
        yield known_about(f"{name}_wall", wall, doubt)


def _side_unknowns(
    name: str, reference: FoundReference, plane: BandPlane, corners_mm: Points
) -> Iterator[Unknown]:
    """How far outside each side its edge may be seen: somewhere on the wall that is seen under it."""
    ends_mm = np.roll(corners_mm, -1, axis=0)
    along = (ends_mm - corners_mm) / np.linalg.norm(ends_mm - corners_mm, axis=1)[:, None]
    outwards = np.column_stack([-along[:, 1], along[:, 0]])
    middles_mm = 0.5 * (corners_mm + ends_mm)
    slants = np.sum(outwards * (plane.camera_foot_mm - middles_mm), axis=1) / plane.camera_height_mm
    walls_mm = reference.thickness_mm * np.maximum(slants, 0.0)
    floors_mm = SIDE_DOUBT_PX / plane.px_per_mm_at(middles_mm)
    for side, wall_mm, floor_mm in zip(side_names(name), walls_mm, floors_mm, strict=True):
        yield known_about(side, WALL_SHARE * wall_mm, float(np.hypot(WALL_SHARE_DOUBT * wall_mm, floor_mm)))


def reference_observation(name: str, reference: FoundReference) -> Observation:
    """What was seen of it."""
    if reference.ticks is not None:
        return RuleSeen.of_ticks(
            reference.ticks.points_px, reference.ticks.at_mm, reference.deviation_px, name
        )
    if reference.circle is not None:
        return CoinSeen.of_edge(reference.circle.points_px, reference.width_mm, reference.deviation_px, name)
    if len(reference.corners_px) == 4:
        return RectangleSeen(
            reference.sides_px, reference.deviation_px, reference.width_mm, reference.height_mm, name
        )
    return DistanceSeen(reference.corners_px, reference.deviation_px, reference.width_mm, name)


def rim_radius_from(
    reference: FoundReference, plane: BandPlane, rim_radius: float, offset_mm: UFloat
) -> float:
    """The rim's radius in mm, given the plane in units in which that radius is ``rim_radius``."""
    seen = plane.plane_from_pixels(reference.corners_px)
    sides = np.linalg.norm(np.roll(seen, -1, axis=0) - seen, axis=1)
    nominal_mm = 2 * (reference.width_mm + reference.height_mm)
    radius_mm = rim_radius * nominal_mm / float(sides.sum())
    # What stands nearer to the camera looks larger by its share of the distance.
    distance_mm = plane.camera_height_mm * radius_mm / rim_radius
    return float(radius_mm / (1 - offset_mm.nominal_value / distance_mm))
