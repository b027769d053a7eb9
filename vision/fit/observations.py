"""What was seen, each thing held against a scene: residuals in standard deviations.

Edges in a picture are wrong together: the same shadow, grain or rounded corner shifts neighbours alike.
So every observation carries an effective deviation a point, the real scatter times the square root of the
number of points that err together.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Points
from .plane_points import HEIGHT, POSE, PlanePoints, plane_points
from .scene import Scene

Numbers = NDArray[np.float64]
#: By name of the unknown: how each residual (n,) grows with it.
Slopes = Mapping[str, Numbers]


class Observation(Protocol):
    """Anything seen that a scene must explain."""

    def residuals(self, scene: Scene) -> NDArray[np.float64]:
        """Misfits (n,) in standard deviations."""
        ...


class InPlane:
    """An observation of pixels that are carried into a plane of the scene, and that knows its derivatives.

    Of other observations trial steps are taken. The pixels of all observations are carried at once, so that
    each is told where its own lie in its plane.
    """

    __slots__ = ()

    @property
    def pixels_px(self) -> Points:
        """All its points (n, 2)."""
        raise NotImplementedError

    def heights_mm(self, scene: Scene) -> float | Numbers:
        """How high above the band plane they lie: all of them, or each (n,)."""
        raise NotImplementedError

    def misfits(self, scene: Scene, points_mm: Points) -> Numbers:
        """Misfits (n,) in standard deviations of points (n, 2) in their plane."""
        raise NotImplementedError

    def growth(self, scene: Scene, seen: PlanePoints) -> Slopes:
        """How the misfits grow with each unknown that they depend on."""
        raise NotImplementedError

    def residuals(self, scene: Scene) -> Numbers:
        """Misfits (n,) in standard deviations."""
        return self.misfits(scene, scene.plane.plane_from_pixels(self.pixels_px, self.heights_mm(scene)))

    def slopes(self, scene: Scene) -> Slopes:
        """How the residuals grow with each unknown that they depend on."""
        rays = scene.plane.camera.rays_from_pixels(self.pixels_px)
        return self.growth(scene, plane_points(scene, self.pixels_px, rays, self.heights_mm(scene)))


def lengths(vectors: Points) -> Numbers:
    """Lengths (n,) of vectors (n, 2); NumPy's norm is the same, and takes several times as long."""
    return np.asarray(np.sqrt(vectors[:, 0] ** 2 + vectors[:, 1] ** 2))


def chained(
    seen: PlanePoints, misfit_mm: Numbers, across: Points, own: Slopes, height: str, deviation_px: float
) -> Slopes:
    """Slopes of ``misfit_mm * px_per_mm / deviation_px`` by the chain rule.

    ``across`` (n, 2) is how the misfit grows as the point moves in the plane, ``own`` how it grows with
    unknowns other than those that move the point, ``height`` the name of the plane's height.
    """
    weight = seen.px_per_mm / deviation_px
    by_pose = across[:, :1] * seen.moves_mm[:, 0] + across[:, 1:] * seen.moves_mm[:, 1]
    by_pose += misfit_mm[:, None] * seen.grows
    by_pose *= weight[:, None]
    slopes = {name: by_pose[:, k] for k, name in enumerate(POSE)}
    slopes |= {name: slope * weight for name, slope in own.items()}
    slopes[height] = slopes.get(height, 0.0) + by_pose[:, HEIGHT]
    return slopes


@dataclass(frozen=True, slots=True)
class PointsSeen(InPlane):
    """Points (n, 2) of one edge or line, each with the same standard deviation, in pixels."""

    points_px: Points
    deviation_px: float

    @property
    def pixels_px(self) -> Points:
        """All its points (n, 2)."""
        return self.points_px


@dataclass(frozen=True, slots=True)
class RunSeen(PointsSeen):
    """Points (n, 2) on the centre line of a straight run.

    ``side`` is +1 for the run whose outward normal turns anticlockwise (as seen) from the line hub - whirl.
    ``loop`` names the unknowns ``<loop>_radius`` and ``<loop>_height``; ``shift`` the unknown by which light
    and shade move the whole line, as they do on a round cord.
    """

    side: int
    loop: str
    shift: str

    def heights_mm(self, scene: Scene) -> float | Numbers:
        """How high the run's points lie: all as high as the loop's groove."""
        return scene.values[f"{self.loop}_height"]

    def misfits(self, scene: Scene, points_mm: Points) -> Numbers:
        """Misfit across the run."""
        values = scene.values
        normal = scene.run_normal(self.side, values[f"{self.loop}_radius"])
        misfit_mm = points_mm @ normal - values["pitch_radius"] - values[self.shift]
        return np.asarray(misfit_mm * scene.plane.px_per_mm_at(points_mm) / self.deviation_px)

    def growth(self, scene: Scene, seen: PlanePoints) -> Slopes:
        """How the misfits grow with camera, plane, both pitch circles and the shift."""
        values = scene.values
        radius, height = f"{self.loop}_radius", f"{self.loop}_height"
        normal = scene.run_normal(self.side, values[radius])
        misfit_mm = seen.points_mm @ normal - values["pitch_radius"] - values[self.shift]
        turned = seen.points_mm @ [-normal[1], normal[0]]
        distance_mm = values["spindle_distance"]
        sine = (values["pitch_radius"] - values[radius]) / distance_mm
        # Beyond 1 the sine is held, and the normal with it.
        by_sine = -self.side / np.sqrt(1 - sine**2) * turned if abs(sine) < 1 else 0.0 * turned
        own = {
            "spindle_angle": turned,
            "pitch_radius": by_sine / distance_mm - 1.0,
            radius: -by_sine / distance_mm,
            "spindle_distance": -by_sine * sine / distance_mm,
            self.shift: -np.ones_like(turned),
        }
        across = np.broadcast_to(normal, seen.points_mm.shape)
        return chained(seen, misfit_mm, across, own, height, self.deviation_px)


@dataclass(frozen=True, slots=True)
class DistanceSeen:
    """Two points (2, 2) whose distance is ``length_mm`` times the unknown ``<name>_size``."""

    points_px: Points
    deviation_px: float
    length_mm: float
    name: str

    def residuals(self, scene: Scene) -> NDArray[np.float64]:
        """Misfit of the distance."""
        ends = scene.plane.plane_from_pixels(self.points_px, scene.values[f"{self.name}_height"])
        misfit_mm = np.linalg.norm(ends[1] - ends[0]) - self.length_mm * scene.values[f"{self.name}_size"]
        # Both ends were clicked, so both err.
        px_per_mm = float(scene.plane.px_per_mm_at(ends).mean())
        return np.array([misfit_mm * px_per_mm / (self.deviation_px * np.sqrt(2))])
