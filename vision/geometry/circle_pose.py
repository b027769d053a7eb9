"""The two planes in which an ellipse may be the picture of a circle."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .camera import Camera
from .ellipse import Ellipse


@dataclass(frozen=True, slots=True)
class CirclePose:
    """Pose of a circle: unit normal towards the camera and centre in units of its radius, camera frame."""

    normal: NDArray[np.float64]
    centre: NDArray[np.float64]

    @property
    def tilt_rotation(self) -> tuple[float, float]:
        """Rotation vector (x, y), in rad, that turns a plane facing the camera into the circle's plane."""
        axis = np.cross([0.0, 0.0, -1.0], self.normal)
        sine = float(np.linalg.norm(axis))
        angle = float(np.arctan2(sine, -self.normal[2]))
        factor = angle / sine if sine > 1e-12 else 1.0
        return float(factor * axis[0]), float(factor * axis[1])


def circle_poses(ellipse: Ellipse, camera: Camera) -> tuple[CirclePose, CirclePose]:
    """Both poses of a circle that is seen as an ellipse.

    Source: the cone through the ellipse and its circular sections, e.g. Chen, Chen, Wu, "Camera calibration
    with two arbitrary coplanar circles", ECCV 2004, section 2 (formulas from memory, checked by projection
    in the tests).
    """
    values, vectors = np.linalg.eigh(_cone(ellipse, camera))
    # Two eigenvalues of one sign, the largest first, and one of the other sign, made negative.
    if values[1] < 0:
        values = -values
    order = np.argsort(-values)
    (one, two, three), axes = values[order], vectors[:, order]
    across = np.sqrt(max(one - two, 0.0) / (one - three))
    along = np.sqrt((two - three) / (one - three))
    poses = []
    for sign in (1.0, -1.0):
        normal = axes @ [sign * across, 0.0, along]
        centre = axes @ [sign * across * np.sqrt(max(-three / one, 0.0)), 0.0, -along * np.sqrt(one / -three)]
        if centre[2] < 0:
            centre = -centre
        if normal[2] > 0:
            normal = -normal
        poses.append(CirclePose(np.asarray(normal), np.asarray(centre)))
    return poses[0], poses[1]


def _cone(ellipse: Ellipse, camera: Camera) -> NDArray[np.float64]:
    """Symmetric (3, 3) matrix Q with ray^T Q ray = 0 on the ellipse, ray = (x/z, y/z, 1)."""
    cosine, sine = np.cos(ellipse.angle_rad), np.sin(ellipse.angle_rad)
    turn = np.array([[cosine, -sine], [sine, cosine]])
    shape = turn @ np.diag([ellipse.semi_a_px**-2, ellipse.semi_b_px**-2]) @ turn.T
    offset = -shape @ ellipse.centre_px
    constant = float(ellipse.centre_px @ shape @ ellipse.centre_px - 1)
    in_pixels = np.block([[shape, offset[:, None]], [offset[None], np.array([[constant]])]])
    x, y = camera.centre_px
    pixel_from_ray = np.array([[camera.focal_px, 0.0, x], [0.0, camera.focal_px, y], [0.0, 0.0, 1.0]])
    cone = pixel_from_ray.T @ in_pixels @ pixel_from_ray
    return np.asarray(cone / np.abs(cone).max())
