"""Where a thing of known size lies before the camera, from its corners or ticks and what the lens may be."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from ..geometry.camera import Camera, Points
from ..geometry.plane import BandPlane
from ..open.picture import Picture
from ..references import FoundReference
from .tick_lines import TickLines

Numbers = NDArray[np.float64]

#: Standard deviation of a phone lens' distortion after its own correction (common practice, no source).
DISTORTION = 0.015
#: A reference laid square to the view is tilted by so much. Two points cannot show a tilt, so there it stays.
#: A rule's ticks can.
TILT_RAD, TILT_OF_POINTS_RAD = np.radians(20.0), np.radians(4.0)


@dataclass(frozen=True, slots=True)
class ReferencePose:
    """The lens and the reference's plane, with their doubt.

    Attributes
    ----------
    values : (8,) array
        Log of the focal length over the picture's own, distortion, tilt about x and y (rad), middle (x, y) as
        a ray, log of the depth in mm, turn in the plane (rad).
    covariance : (8, 8) array
    focal_px : float
        The focal length that the picture tells.
    centre_px : tuple of float
    misfit_px : float
        Root mean square distance of the corners from where the fitted reference has them.
    """

    values: Numbers
    covariance: Numbers
    focal_px: float
    centre_px: tuple[float, float]
    misfit_px: float

    def scene(self, values: Numbers | None = None) -> tuple[Camera, BandPlane]:
        """The lens and the reference's plane, its origin in the reference's middle."""
        return _scene(self.values if values is None else values, self.focal_px, self.centre_px)


def fit_reference_pose(picture: Picture, reference: FoundReference) -> ReferencePose:
    """Least squares on the corners and a rule's ticks, with priors on lens and tilt."""
    centre_px = (0.5 * (picture.width_px - 1), 0.5 * (picture.height_px - 1))
    corners = np.asarray(reference.corners_px, dtype=float)
    model = _model(reference)
    ticks = None if reference.ticks is None else TickLines.of(reference.ticks, reference.deviation_px)
    tilt = TILT_OF_POINTS_RAD if len(corners) == 2 and ticks is None else TILT_RAD
    priors = np.array([picture.relative_focal_doubt, DISTORTION, tilt, tilt])

    def residuals(values: Numbers) -> Numbers:
        _, plane = _scene(values, picture.focal_px, centre_px)
        cosine, sine = np.cos(values[7]), np.sin(values[7])
        turn = np.array([[cosine, sine], [-sine, cosine]])
        misfit = (plane.pixels_from_plane(model @ turn) - corners) / reference.deviation_px
        more = () if ticks is None else (ticks.residuals(plane, turn),)
        return np.concatenate([misfit.ravel(), *more, values[:4] / priors])

    fit = least_squares(residuals, _start(picture, corners, model, centre_px), x_scale="jac", method="lm")
    slopes = np.asarray(fit.jac, dtype=float)
    covariance = np.linalg.inv(slopes.T @ slopes)
    misfit = fit.fun[: corners.size] * reference.deviation_px
    return ReferencePose(
        fit.x, covariance, picture.focal_px, centre_px, float(np.sqrt(np.mean(misfit**2) * 2))
    )


def _scene(values: Numbers, focal_px: float, centre_px: tuple[float, float]) -> tuple[Camera, BandPlane]:
    camera = Camera(focal_px * float(np.exp(values[0])), centre_px, float(values[1]))
    ray = (float(values[4]), float(values[5]))
    plane = BandPlane.from_tilt(camera, (float(values[2]), float(values[3])), ray, float(np.exp(values[6])))
    return camera, plane


def _model(reference: FoundReference) -> Points:
    """The corners in mm about their middle, y up, in the order in which they were found."""
    half_w, half_h = 0.5 * reference.width_mm, 0.5 * reference.height_mm
    if len(reference.corners_px) == 2:
        return np.array([[-half_w, 0.0], [half_w, 0.0]])
    return np.array([[-half_w, half_h], [half_w, half_h], [half_w, -half_h], [-half_w, -half_h]])


def _start(picture: Picture, corners: Points, model: Points, centre_px: tuple[float, float]) -> Numbers:
    first = corners[1] - corners[0]
    middle = (corners.mean(axis=0) - centre_px) / picture.focal_px
    sizes = [np.linalg.norm(np.diff(c[[0, 1]], axis=0)) for c in (model, corners)]
    depth = picture.focal_px * sizes[0] / sizes[1]
    turn = np.arctan2(-first[1], first[0])
    return np.array([0.0, 0.0, 0.0, 0.0, middle[0], middle[1], np.log(depth), turn])
