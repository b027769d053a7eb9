"""The unknowns of a wheel's picture, with what is known of wheels and cameras before looking.

All priors of the joint fit stand here, each with its reason.
"""

from collections.abc import Iterator

import numpy as np

from ..geometry.camera import Points
from ..geometry.circle_pose import CirclePose
from ..open.picture import Picture
from .unknowns import EDGE_WIDTH, Unknown, known_about

#: The rim's radius where nothing in the picture has a known size. The scale then falls out of every ratio.
UNSCALED_RIM_RADIUS_MM = 280.0

#: The optical axis passes the picture's middle within half a per cent of its width.
PRINCIPAL_POINT_DOUBT = 0.005
#: Phones correct their distortion; what is left bends the corners by a per cent, or seldom two.
DISTORTION_DOUBT = 0.02
#: The rim's front edge stands 8 to 25 mm before the band plane, on wheels of about 300 mm radius.
RIM_HEIGHT_SHARE, RIM_HEIGHT_DOUBT_SHARE = 0.042, 0.015
#: Turned rims' edges are rounded to a radius of some millimetres (common practice, no source).
RIM_ROUNDING_SHARE, RIM_ROUNDING_DOUBT_SHARE = 0.008, 0.005
#: Second-order amplitude of the rim's radius: 0.4 % between the largest and the smallest diameter.
OVAL_DOUBT = 0.002
#: Spindles on old wheels lean by a degree or so against the wheel's axle.
LEAN_DOUBT_RAD = 0.015
#: Light on one side, shade on the other: a cord's centre seems shifted by a share of its thickness.
CORD_SHIFT_SHARE = 0.02
USUAL_CORD_MM = 2.8
#: Whirls, flanges and bearings lie within a hand's breadth of the band plane, to either side.
PART_HEIGHT_DOUBT_MM = 60.0
#: A flange's edge is seen in front on one side and behind on the other, and turned wood shrinks across the
#: grain: either makes it look oval, as a tilt or a bent lens would.
PART_OVAL_DOUBT_MM = 0.2
#: Turned edges are rounded or bevelled over a millimetre or two (common practice, no source).
EDGE_WIDTH_MM, EDGE_WIDTH_DOUBT_MM = 1.5, 1.0
#: The second loop of a double drive runs one groove further on: 8 to 11 mm.
LOOP_GAP_MM, LOOP_GAP_DOUBT_MM, SAME_PLANE_MM = 9.5, 1.2, 1e-3
#: Further steps of the flyer's whirl may stand between the step in use and the bobbin's whirl.
BOBBIN_GAP_MM, BOBBIN_GAP_DOUBT_MM = 14.0, 5.0
#: Two cords that lie near to each other shade each other.
NEAR_SHIFT_SHARE = 0.02


def camera_unknowns(picture: Picture) -> Iterator[Unknown]:
    """Focal length, principal point and distortion."""
    yield known_about("log_focal", float(np.log(picture.focal_px)), picture.relative_focal_doubt)
    off_px = PRINCIPAL_POINT_DOUBT * max(picture.width_px, picture.height_px)
    yield known_about("centre_x_px", (picture.width_px - 1) / 2, off_px)
    yield known_about("centre_y_px", (picture.height_px - 1) / 2, off_px)
    yield known_about("k1", 0.0, DISTORTION_DOUBT)


def wheel_unknowns(pose: CirclePose, rim_radius_mm: float, *, scaled: bool) -> Iterator[Unknown]:
    """Pose of the band plane and the rim.

    Parameters
    ----------
    pose : CirclePose
        One of the two poses of the rim's clearest edge, to start from.
    rim_radius_mm : float
        The rim's radius as far as it is known.
    scaled : bool
        Whether something of known size is in the picture, which then decides the rim's radius.
    """
    radius = rim_radius_mm
    tilt_x, tilt_y = pose.tilt_rotation
    yield Unknown("hub_u", float(pose.centre[0] / pose.centre[2]), 0.01)
    yield Unknown("hub_v", float(pose.centre[1] / pose.centre[2]), 0.01)
    yield Unknown("log_depth", float(np.log(pose.centre[2] * radius)), 0.02)
    yield Unknown("tilt_x", tilt_x, 0.02)
    yield Unknown("tilt_y", tilt_y, 0.02)
    yield Unknown("rim_radius", radius, 0.02 * radius, None if scaled else (radius, 1e-4 * radius))
    yield known_about("rim_height", RIM_HEIGHT_SHARE * radius, RIM_HEIGHT_DOUBT_SHARE * radius)
    yield known_about("rim_rounding", RIM_ROUNDING_SHARE * radius, RIM_ROUNDING_DOUBT_SHARE * radius)
    yield known_about("oval_cos", 0.0, OVAL_DOUBT)
    yield known_about("oval_sin", 0.0, OVAL_DOUBT)


def band_unknowns(spindle_mm: Points, rim_radius_mm: float) -> Iterator[Unknown]:
    """Pitch circle of the wheel, and where the spindle is."""
    yield Unknown("pitch_radius", 0.975 * rim_radius_mm, 0.01 * rim_radius_mm)
    yield Unknown("spindle_distance", float(np.hypot(*spindle_mm)), 5.0)
    yield Unknown("spindle_angle", float(np.arctan2(spindle_mm[1], spindle_mm[0])), 0.02)
    yield known_about("lean_x", 0.0, LEAN_DOUBT_RAD)
    yield known_about("lean_y", 0.0, LEAN_DOUBT_RAD)


def loop_unknowns(loop: str, whirl_radius_mm: float, side: int) -> Iterator[Unknown]:
    """One loop of the band: its whirl's pitch radius, and how high its grooves lie.

    ``side`` is 0 for the loop in the band plane, 1 or -1 for a second loop before or behind it.
    """
    yield Unknown(f"{loop}_radius", whirl_radius_mm, 2.0)
    yield known_about(f"{loop}_height", side * LOOP_GAP_MM, LOOP_GAP_DOUBT_MM if side else SAME_PLANE_MM)
    if side:
        yield known_about(f"{loop}_whirl_height", side * BOBBIN_GAP_MM, BOBBIN_GAP_DOUBT_MM)


def cord_unknown(name: str, cord_mm: float | None, share: float, doubt_mm: float) -> Unknown:
    """How far light and shade, or a cord beside it, shift one run, by a share of the cord's thickness.

    ``doubt_mm`` is how far the picture itself leaves the run's middle open.
    """
    return known_about(name, 0.0, float(np.hypot(share * (cord_mm or USUAL_CORD_MM), doubt_mm)))


def part_unknowns(
    name: str, radius_mm: float, height_mm: float, seen_off_mm: Points, doubt_mm: float
) -> Iterator[Unknown]:
    """One round edge about the spindle, its middle being off the spindle's axis by its doubt.

    ``seen_off_mm`` (2,) is how far off it lies as seen in the plane of that height, to start from.
    """
    yield Unknown(f"{name}_radius", radius_mm, 1.0)
    yield Unknown(f"{name}_height", height_mm, 10.0, (0.0, PART_HEIGHT_DOUBT_MM))
    for axis, off_mm in zip("xy", seen_off_mm.tolist(), strict=True):
        yield Unknown(f"{name}_shift_{axis}", off_mm, doubt_mm, (0.0, doubt_mm))
    yield known_about(f"{name}_oval_cos", 0.0, PART_OVAL_DOUBT_MM)
    yield known_about(f"{name}_oval_sin", 0.0, PART_OVAL_DOUBT_MM)


def edge_unknown() -> Unknown:
    """How wide the rounded edges of turned parts are, of which a slanting view shows either side."""
    return known_about(EDGE_WIDTH, EDGE_WIDTH_MM, EDGE_WIDTH_DOUBT_MM)
