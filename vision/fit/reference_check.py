"""Whether a candidate is the thing of known size: it must settle where wheel and size say that it lies.

A rectangle found by its outline alone may be a chance one: a brick, a row of boards, a picture on the
wall. The joint fit of rim and rectangle predicts where its sides should be; they are looked for there again.
Those of the true thing settle within a round or two, a chance one drifts away and stretches the fit.
"""

from dataclasses import dataclass, replace

from ..find.edges import lab_pixels
from ..find.rectangles import refined_corners
from ..geometry.circle_pose import CirclePose
from ..references import FoundReference
from .joint import Fit
from .observations import RectangleSeen
from .reference_terms import reference_observation, rim_radius_from
from .wheel_fit import WheelPicture, fit_rim

ROUNDS = 2
#: Half a chi-square by which a candidate may stretch the fit, at first and when it has settled. On pictures
#: with known truth a true card ends at 0 to 0.6, a chance rectangle at 7 and more.
WORTH_A_LOOK, SETTLED = 16.0, 1.5
#: Drive wheels are not smaller or larger than this (common practice, no source).
RIM_RADII_MM = (120.0, 800.0)


@dataclass(frozen=True, slots=True)
class ScaledRim:
    """The picture with a reference that was believed, its fit, and how much the reference stretches it."""

    seen: WheelPicture
    fit: Fit
    stretch: float


def believed(
    unscaled: WheelPicture, pose: CirclePose, rim_fit: Fit, reference: FoundReference
) -> ScaledRim | None:
    """The rim's fit with a reference, from one pose; None if the reference does not settle in it."""
    scaled = _fitted(unscaled, pose, rim_fit, reference)
    if scaled is None or scaled.stretch > WORTH_A_LOOK:
        return None
    if len(reference.corners_px) == 4 and reference.outlined < 1.0:
        lab = lab_pixels(unscaled.picture.bgr)
        for _ in range(ROUNDS):
            (current,) = scaled.seen.references
            seen = reference_observation("reference0", current)
            assert isinstance(seen, RectangleSeen)
            refined = refined_corners(lab, seen.expected_px(scaled.fit.scene))
            if refined is None:
                return None
            scaled = _fitted(unscaled, pose, rim_fit, replace(current, corners_px=refined[0]))
            if scaled is None:
                return None
    return scaled if scaled.stretch <= SETTLED else None


def _fitted(
    unscaled: WheelPicture, pose: CirclePose, rim_fit: Fit, reference: FoundReference
) -> ScaledRim | None:
    radius_mm = rim_radius_from(reference, rim_fit.scene.plane, unscaled.rim_radius_mm, unscaled.offset_mm)
    if not RIM_RADII_MM[0] < radius_mm < RIM_RADII_MM[1]:
        return None
    seen = replace(unscaled, references=(reference,), rim_radius_mm=radius_mm)
    fit = fit_rim(seen, pose)
    return ScaledRim(seen, fit, fit.cost - rim_fit.cost)
