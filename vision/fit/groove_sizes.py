"""From a groove's shape in the picture to diameters with their doubt."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, ufloat

from ..geometry.revolved import hull_radii, resting_height, waist_place, waist_radius
from .axis_place import AxisPlace, axis_place, level_point_px
from .groove_level import Level
from .groove_shape import GrooveShape
from .reference_pose import ReferencePose

Numbers = NDArray[np.float64]

#: What one edge of an outline may be off in common: blur, glow, shadow; standard deviation in pixels.
EDGE_PX = 0.15
#: How square the reference is laid to the spindle's plane, standard deviation (common practice, no source).
LEAN_RAD = np.radians(0.6)
#: Of the depth by which a hidden bottom may lie below what is seen this share is a standard deviation.
HIDDEN_SHARE = 0.5
#: Of the distance between the sizes from two outlines this share is a standard deviation.
RIVAL_SHARE = 0.5
#: Places along the axis a pixel at which a groove's shape is reckoned.
PLACES_A_PIXEL = 2


@dataclass(frozen=True, slots=True)
class Scale:
    """Everything that sizes depend on beside the outline, as independent causes of one standard deviation."""

    pose: ReferencePose
    size_doubt: float
    offset_mm: UFloat
    axis_px: Numbers
    causes: tuple[UFloat, ...]

    @classmethod
    def of(cls, pose: ReferencePose, size_doubt: float, offset_mm: UFloat, axis_px: Numbers) -> "Scale":
        """Name the causes once, so that sizes from one picture share them."""
        names = [f"reference {k}" for k in range(len(pose.values))] + ["size", "lean x", "lean y"]
        return cls(pose, size_doubt, offset_mm, axis_px, tuple(ufloat(0.0, 1.0, name) for name in names))

    def nominal(self) -> AxisPlace:
        """The axis where it most likely lies."""
        return self._place(np.zeros(len(self.causes)), self.offset_mm.nominal_value)[0]

    def size(self, level: Level, view: AxisPlace) -> UFloat:
        """Diameter at a level place of the outline."""
        seen_px = level_point_px(view.view, level.u_px, level.v_px)
        nominal = self._diameter(seen_px, np.zeros(len(self.causes)), self.offset_mm.nominal_value)
        diameter = ufloat(nominal, 2 * np.hypot(EDGE_PX, level.deviation_px) * _mm_per_px(view) / np.sqrt(2))
        for k, cause in enumerate(self.causes):
            step = np.zeros(len(self.causes))
            step[k] = 1.0
            up = self._diameter(seen_px, step, self.offset_mm.nominal_value)
            down = self._diameter(seen_px, -step, self.offset_mm.nominal_value)
            diameter += 0.5 * (up - down) * cause
        farther = self._diameter(seen_px, np.zeros(len(self.causes)), self.offset_mm.nominal_value + 1.0)
        return diameter + (farther - nominal) * (self.offset_mm - self.offset_mm.nominal_value)

    def _diameter(self, seen_px: Numbers, step: Numbers, offset_mm: float) -> float:
        place, share = self._place(step, offset_mm)
        points = place.view.view_from_pixels(seen_px)
        b = 0.5 * float(points[0, 1] - points[1, 1]) / place.view.camera.focal_px
        return 2 * share * waist_radius(b, place.distance_mm)

    def _place(self, step: Numbers, offset_mm: float) -> tuple[AxisPlace, float]:
        root = np.linalg.cholesky(self.pose.covariance)
        camera, plane = self.pose.scene(self.pose.values + root @ step[:8])
        share = 1 + self.size_doubt * float(step[8])
        lean = (LEAN_RAD * float(step[9]), LEAN_RAD * float(step[10]))
        return axis_place(camera, plane, offset_mm / share, self.axis_px, lean), share


def _mm_per_px(place: AxisPlace) -> float:
    return place.distance_mm / place.view.camera.focal_px


@dataclass(frozen=True, slots=True)
class GrooveSizes:
    """Diameters of one groove."""

    outer_mm: UFloat
    groove_mm: UFloat
    pitch_mm: UFloat | None

    def covering(self, rival: "GrooveSizes") -> "GrooveSizes":
        """Sizes whose intervals cover those from another outline of the same groove."""
        pitch = self.pitch_mm
        if pitch is not None and rival.pitch_mm is not None:
            pitch = _covering(pitch, rival.pitch_mm)
        return GrooveSizes(
            _covering(self.outer_mm, rival.outer_mm), _covering(self.groove_mm, rival.groove_mm), pitch
        )


def _covering(one: UFloat, other: UFloat) -> UFloat:
    """The sharper of two numbers, widened so that its interval reaches to the other."""
    apart = abs(one.nominal_value - other.nominal_value)
    sharper = other if other.std_dev < one.std_dev else one
    return sharper + ufloat(0.0, RIVAL_SHARE * apart + 1e-9)


def groove_sizes(shape: GrooveShape, scale: Scale, place: AxisPlace, band_mm: UFloat | None) -> GrooveSizes:
    """Diameters across the lower flange, the bottom and the middle of a band that rests in the groove."""
    outer = scale.size(shape.lower, place)
    waist = scale.size(shape.bottom, place)
    x, hull, mirrored = _profiles(shape, place)
    groove = waist
    if shape.hidden:
        lowest = 2 * float(mirrored.min())
        below = max(waist.nominal_value - lowest, 0.02 * waist.nominal_value)
        groove = waist - ufloat(0.5 * below, HIDDEN_SHARE * below)
    # On the flanks of a V the band rests wherever its bottom may be.
    rests_on = outer if shape.sharp else waist
    pitch = None if band_mm is None else _pitch_mm(x, (hull, mirrored), rests_on, band_mm)
    return GrooveSizes(outer, groove, pitch)


def _pitch_mm(x: Numbers, profiles: tuple[Numbers, Numbers], rests_on: UFloat, band_mm: UFloat) -> UFloat:
    """Twice the height at which the band's middle rests; both shapes that the groove may have are covered.

    It is as doubtful, beside that, as the diameter ``rests_on`` that tells how high the groove lies.
    """
    thickness, step = band_mm.nominal_value, max(band_mm.std_dev, 0.01)
    nominal, thicker, thinner = (
        np.array([2 * resting_height(x, radii, 0.5 * max(t, 0.05)) for radii in profiles])
        for t in (thickness, thickness + step, thickness - step)
    )
    middle = float(nominal.mean())
    slope = float((thicker - thinner).mean() / (2 * step))
    either = ufloat(0.0, 0.5 * abs(float(np.ptp(nominal))) + 1e-6)
    share = rests_on / rests_on.nominal_value
    return middle * share + slope * (band_mm - thickness) + either


def _profiles(shape: GrooveShape, place: AxisPlace) -> tuple[Numbers, Numbers, Numbers]:
    """The groove's radii along the axis: as the outline allows, and with the far flank mirrored.

    The flank that faces the camera is seen as it is. The other one may hide behind its flange's edge, where
    the outline only tells how high it can be at the most; turned grooves are mostly alike on both sides.
    """
    focal, distance = place.view.camera.focal_px, place.distance_mm
    a, b = shape.line[:, 0] / focal, shape.line[:, 1] / focal
    v = shape.lower.v_px / focal
    left, right = (waist_place(u / focal, v, distance) for u in shape.mouth_px)
    count = max(int(PLACES_A_PIXEL * abs(right - left) / _mm_per_px(place)), 20)
    x = np.linspace(left, right, count)
    hull = hull_radii(a, b, distance, x)
    faces_camera = left + right > 0
    middle = 0.5 * (left + right)
    far = x >= middle if faces_camera else x <= middle
    mirrored = np.where(far, hull, np.interp(2 * middle - x, x, hull))
    return x, hull, np.minimum(mirrored, hull)
