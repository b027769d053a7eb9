"""A pinhole camera with one term of radial distortion: between pixels and rays."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

#: The distortion is mild, so that the fixed-point inverse gains two digits a step.
UNDISTORTION_STEPS = 4


@dataclass(frozen=True, slots=True)
class Camera:
    """Where rays meet the picture.

    Attributes
    ----------
    focal_px : float
        Focal length in pixels.
    centre_px : tuple of float
        Principal point (x, y).
    k1 : float
        Radial distortion: a ray (u, v) is seen at (u, v) (1 + k1 (u^2 + v^2)).
    """

    focal_px: float
    centre_px: tuple[float, float]
    k1: float = 0.0

    def rays_from_pixels(self, points_px: Points) -> Points:
        """Directions (n, 2) as (x/z, y/z) in the camera frame of pixels (n, 2)."""
        distorted = (points_px - np.asarray(self.centre_px)) / self.focal_px
        if not self.k1:
            return np.asarray(distorted)
        # A ray is the distorted one, shrunk: its square is shrunk by the shrinking's square.
        bend = self.k1 * (distorted[..., 0] ** 2 + distorted[..., 1] ** 2)
        shrunk = 1 / (1 + bend)
        for _ in range(UNDISTORTION_STEPS - 1):
            shrunk = 1 / (1 + bend * shrunk**2)
        return np.asarray(distorted * shrunk[..., None])

    def pixels_from_rays(self, rays: Points) -> Points:
        """Pixels (n, 2) in which directions (n, 2) are seen."""
        bent = rays * (1 + self.k1 * (rays[..., :1] ** 2 + rays[..., 1:] ** 2))
        return np.asarray(bent * self.focal_px + np.asarray(self.centre_px))
