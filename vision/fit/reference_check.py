"""Whether a candidate is the thing of known size: it must settle where wheel and size say that it lies.

A rectangle found by its outline alone may be a chance one: a brick, a row of boards, a picture on the
wall. The joint fit of rim and rectangle predicts where its sides should be; they are looked for there again.
Those of the true thing settle within a round or two, a chance one drifts away and stretches the fit.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from ..find.corner_rounding import corner_rounding
from ..find.outlines import likeliest_outline, outline_cover, runs_on
from ..find.paper_sides import begins_with_print, ends_at_a_line
from ..geometry.camera import Points
from ..geometry.circle_pose import CirclePose
from ..geometry.rectangle import shape_misfit
from ..references import FoundReference
from ..references.found import ROUNDED
from .joint import Fit
from .rectangle_seen import RectangleSeen
from .reference_terms import reference_observation, rim_radius_from
from .scene import Scene
from .wheel_fit import WheelPicture, fit_rim

ROUNDS = 2
#: A settled candidate's merit is the share of its outline that shows an edge, less so much for the stretch
#: of the fit. On pictures with known truth true cards have 0.6 to 0.9, most of them 0.85 and more; chance
#: rectangles have up to 0.73, in a brick wall up to 0.86.
MERIT_A_STRETCH, LEAST_MERIT = 1 / 30, 0.74
#: Before it has settled a candidate may have less: all 116 true cards and sheets that were believed in
#: the end, in 75 rooms drawn with known truth, had 0.76 and more.
LEAST_BEFORE = 0.55
#: But they don't make up for sides that aren't there: in drawn rooms true cards have an outline of 0.77 and
#: more, most of the chance rectangles that are believed for their corners have less.
LEAST_OUTLINED = 0.75
#: Rivals with nearly the same merit that would make another size of the wheel leave it open.
CLEARLY_BETTER, SAME_SIZE = 0.08, 0.04
#: A whole card may have so much less merit than a part of it: its corners are hidden more often.
LESS_MERIT = 0.3
#: Corners nearer to each other than this share of a sheet's shorter side are one.
SAME_CORNER = 0.04
#: A side runs within so much of where rim and size put it.
MOST_TURN_RAD = np.radians(0.6)
#: By so much the true sides' corners usually miss the shape in the pose that the joint fit gives.
SETTLED_MISFIT = 0.002
#: Half a chi-square by which a candidate may stretch the fit before it has settled.
WORTH_A_LOOK = 16.0
#: Drive wheels are not smaller or larger than this (common practice, no source).
RIM_RADII_MM = (120.0, 800.0)


@dataclass(frozen=True, slots=True)
class ScaledRim:
    """The picture with a reference that was believed, its fit, and how much speaks for the reference."""

    seen: WheelPicture
    fit: Fit
    merit: float


def surest(believed_ones: Sequence[ScaledRim]) -> ScaledRim | None:
    """The one for which most speaks; None if there is none, or if a rival is nearly as good."""
    wholes = [one for one in believed_ones if not any(_cut_out_of(one, other) for other in believed_ones)]
    best = max(wholes, key=lambda scaled: scaled.merit, default=None)
    if best is None:
        return None
    rivals = (one for one in wholes if not _same_size(one, best))
    return best if all(rival.merit <= best.merit - CLEARLY_BETTER for rival in rivals) else None


def _same_size(one: ScaledRim, other: ScaledRim) -> bool:
    return abs(one.seen.rim_radius_mm / other.seen.rim_radius_mm - 1) <= SAME_SIZE


def _cut_out_of(one: ScaledRim, other: ScaledRim) -> bool:
    """Whether one is a corner of another that is likelier, between its sides and lines across it.

    Half a sheet of paper has the shape of a whole one (ISO 216), and on most there are lines of print; a card
    has stripes on it, and tape over its edge. Nothing else of that shape would lie flush with two sides. If
    the other one's corners are rounded as they should be it needn't be the likelier one.
    """
    seen = [reference for each in (one, other) for reference in each.seen.references]
    if _same_size(one, other) or [len(each.corners_px) for each in seen] != [4, 4]:
        return False
    ahead = LESS_MERIT if (seen[1].rounding or 0.0) >= ROUNDED else 0.0
    if one.merit >= other.merit + ahead:
        return False
    inner, outer = seen[0].corners_px, seen[1].corners_px
    near_px = SAME_CORNER * float(np.linalg.norm(np.roll(outer, -1, axis=0) - outer, axis=1).min())
    hull = outer.astype(np.float32)
    inside_px = np.array([cv2.pointPolygonTest(hull, (float(x), float(y)), True) for x, y in inner])
    shared = np.linalg.norm(inner[:, None] - outer[None], axis=2).min(axis=1) < near_px
    on_outline = np.abs(inside_px) < near_px
    return bool(shared.any() and on_outline.sum() >= 3 and (inside_px > -near_px).all())


def believed(
    unscaled: WheelPicture, pose: CirclePose, rim_fit: Fit, reference: FoundReference
) -> ScaledRim | None:
    """The rim's fit with a reference, from one pose; None if the reference does not settle in it."""
    if not reference.certain and reference.merit < LEAST_BEFORE:
        return None
    seen, fit = unscaled, rim_fit
    for _ in range(1 if reference.certain else ROUNDS):
        fitted = _fitted(unscaled, pose, rim_fit, reference)
        if fitted is None or fitted[1].cost > rim_fit.cost + WORTH_A_LOOK:
            return None
        seen, fit = fitted
        if reference.sides_px and not reference.certain:
            looked_again = _looked_at_again(unscaled, fit.scene, reference)
            if looked_again is None:
                return None
            reference = looked_again
    if reference.sides_px and not reference.certain and _is_part(unscaled.picture.lab, reference):
        return None
    merit = merit_of(reference, max(fit.cost - rim_fit.cost, 0.0))
    return ScaledRim(seen, fit, merit) if enough_speaks_for(reference, merit) else None


def _is_part(lab: NDArray[np.float32], reference: FoundReference) -> bool:
    """Whether a candidate is a part of something larger, cut off by lines or by where lines begin."""
    corners_px, paper = reference.corners_px, not reference.rounded_mm
    if runs_on(lab, corners_px, sharp=paper):
        return True
    return paper and (begins_with_print(lab, corners_px) or ends_at_a_line(lab, corners_px))


def enough_speaks_for(reference: FoundReference, merit: float) -> bool:
    """Whether a settled candidate of such a merit is believed."""
    outlined = not reference.rounded_mm or reference.outlined >= LEAST_OUTLINED
    return reference.certain or (merit >= LEAST_MERIT and outlined)


def merit_of(reference: FoundReference, stretch: float) -> float:
    """How much speaks for a candidate: how it looks, and how well it fits.

    ``stretch`` is by how much it stretches the fit, as half a chi-square.
    """
    return reference.merit - MERIT_A_STRETCH * stretch


def _looked_at_again(
    unscaled: WheelPicture, scene: Scene, reference: FoundReference
) -> FoundReference | None:
    """The reference with its sides located once more, near where the scene puts them."""
    lab = unscaled.picture.lab
    seen = reference_observation("reference0", reference)
    assert isinstance(seen, RectangleSeen)

    def misfit(corners_px: Points) -> NDArray[np.float64]:
        corners_mm = scene.plane.plane_from_pixels(corners_px.reshape(-1, 2)).reshape(corners_px.shape)
        return shape_misfit(corners_mm, reference.width_mm, reference.height_mm)

    outline = likeliest_outline(lab, seen.expected_px(scene), misfit, SETTLED_MISFIT, turn_rad=MOST_TURN_RAD)
    if outline is None:
        return None
    return replace(
        reference,
        corners_px=outline.corners_px,
        sides_px=outline.sides_px,
        outlined=outline_cover(lab, outline.corners_px, unscaled.rim.ellipse),
        rounding=corner_rounding(
            lab, scene.plane, outline.corners_px, reference.rounded_mm / reference.width_mm
        ),
    )


def _fitted(
    unscaled: WheelPicture, pose: CirclePose, rim_fit: Fit, reference: FoundReference
) -> tuple[WheelPicture, Fit] | None:
    radius_mm = rim_radius_from(reference, rim_fit.scene.plane, unscaled.rim_radius_mm, unscaled.offset_mm)
    if not RIM_RADII_MM[0] < radius_mm < RIM_RADII_MM[1]:
        return None
    seen = replace(unscaled, references=(reference,), rim_radius_mm=radius_mm)
    return seen, fit_rim(seen, pose, rim_fit)
