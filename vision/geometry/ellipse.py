"""Ellipses in the picture: outline, distance and fit."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

#: Points on a straight line give an ellipse flatter than this, or one so many times as large as they spread.
FLATTEST, FARTHEST = 0.03, 20.0


@dataclass(frozen=True, slots=True)
class Ellipse:
    """An ellipse in pixels: centre, semi-axes and the angle from the x axis to ``semi_a_px``."""

    x_px: float
    y_px: float
    semi_a_px: float
    semi_b_px: float
    angle_rad: float

    @property
    def centre_px(self) -> Points:
        """Centre (2,)."""
        return np.array([self.x_px, self.y_px])

    @property
    def mean_radius_px(self) -> float:
        """Geometric mean of the semi-axes."""
        return float(np.sqrt(self.semi_a_px * self.semi_b_px))

    def rescaled(self, scale: float) -> "Ellipse":
        """Return the same ellipse in a picture resampled by ``scale`` (pixel centres at whole numbers)."""
        return Ellipse(
            (self.x_px + 0.5) * scale - 0.5,
            (self.y_px + 0.5) * scale - 0.5,
            self.semi_a_px * scale,
            self.semi_b_px * scale,
            self.angle_rad,
        )

    def grown(self, factor: float) -> "Ellipse":
        """Return the ellipse enlarged about its own centre."""
        return Ellipse(self.x_px, self.y_px, self.semi_a_px * factor, self.semi_b_px * factor, self.angle_rad)

    def outline(self, count: int) -> tuple[Points, Points]:
        """Points (count, 2) at even steps of the eccentric angle and the outward unit normals there."""
        turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
        along = np.column_stack([np.cos(turn), np.sin(turn)])
        normals = along / [self.semi_a_px, self.semi_b_px]
        normals /= np.linalg.norm(normals, axis=1, keepdims=True)
        return self._turned(along * [self.semi_a_px, self.semi_b_px]) + self.centre_px, self._turned(normals)

    def support(self, normal: Points) -> tuple[Points, Points]:
        """Outermost points (n, 2) in directions (n, 2), and their distances (n,) along these."""
        own = normal @ self._axes
        reach_px = np.hypot(self.semi_a_px * own[:, 0], self.semi_b_px * own[:, 1])
        local = own * np.array([self.semi_a_px, self.semi_b_px]) ** 2 / reach_px[:, None]
        return self._turned(local) + self.centre_px, reach_px

    def distance_px(self, points_px: Points) -> NDArray[np.float64]:
        """Signed distance (n,) of points from the outline, outside positive (first order in the distance)."""
        x, y = ((points_px - self.centre_px) @ self._axes).T
        a, b = self.semi_a_px, self.semi_b_px
        level = np.sqrt((x / a) ** 2 + (y / b) ** 2)
        slope = np.sqrt((x / a**2) ** 2 + (y / b**2) ** 2) / np.maximum(level, 1e-9)
        return np.asarray((level - 1) / np.maximum(slope, 1e-12))

    @property
    def _axes(self) -> Points:
        cosine, sine = np.cos(self.angle_rad), np.sin(self.angle_rad)
        return np.array([[cosine, -sine], [sine, cosine]])

    def _turned(self, local: Points) -> Points:
        return np.asarray(local @ self._axes.T)


def fit_ellipse(points_px: Points) -> Ellipse | None:
    """Direct least-squares ellipse through at least five points (n, 2); None if they give none.

    Source: Fitzgibbon, Pilu, Fisher, IEEE PAMI 21 (1999) 476, as OpenCV implements it.
    """
    if len(points_px) < 5:
        return None
    try:
        (x, y), (width, height), angle_deg = cv2.fitEllipseDirect(points_px.astype(np.float32)[:, None])
    except cv2.error:
        return None
    found = Ellipse(x, y, width / 2, height / 2, float(np.radians(angle_deg)))
    return found if _is_told_by(points_px, found) else None


def _is_told_by(points_px: Points, found: Ellipse) -> bool:
    """Whether points show an ellipse, and not a straight line or a single place that one was bent through."""
    short_px, long_px = sorted((found.semi_a_px, found.semi_b_px))
    spread_px = float(np.ptp(points_px, axis=0).max())
    # Comparisons with what is not a number are false, so such a result is refused here too.
    return bool(
        FLATTEST * long_px < short_px <= long_px < FARTHEST * spread_px and np.isfinite(found.centre_px).all()
    )
