"""Measure a stepped whirl, or a flyer with its bobbin, from one picture taken side-on.

Reads top to bottom: open the picture, find what has a known size, find the spindle's axis and the outline of
the turned part, place the axis level with the reference, and measure every groove along it.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
from uncertainties import UFloat

from .errors import WrongHintError
from .find.both_sides import edge_shown, settled
from .find.grooves import Groove
from .find.turned_part import TurnedPart, find_turned_parts
from .fit.axis_place import AxisPlace, level_point_px
from .fit.groove_shape import GrooveShape, groove_shape
from .fit.groove_sizes import GrooveSizes, Scale, groove_sizes
from .fit.reference_pose import ReferencePose, fit_reference_pose
from .geometry.camera import Points
from .geometry.side_view import SideView
from .measured import NotMeasured
from .open.picture import Picture, open_picture
from .photo_reading import Point, ReferenceReading
from .profile_reading import AxisReading, ProfileReading, StepReading
from .profile_settings import ProfileSettings
from .references import FoundReference
from .references.front_on import front_on_references

__all__ = ["ProfileSettings", "measure_profile"]

NO_REFERENCE = NotMeasured(
    "No reference was found, so nothing in this picture has a known size.",
    "Lay a bank card level with the middle of the spindle, facing the camera, whole in the picture, and give "
    "--reference card; or give --reference points=X1,Y1,X2,Y2,50mm, two points with a known distance.",
)
NO_GROOVE = NotMeasured(
    "No grooved whirl was found that stands out on both sides of its axis.",
    "Lay the whirl on plain cloth of another colour, photograph it square from the side in even light, or "
    "click on it with --whirl X,Y.",
)
NO_BAND = NotMeasured(
    "The band's thickness is not known, so where its middle runs in a groove is not known either.",
    "Measure the band's thickness and give it as --band 2.5mm.",
)
#: Beyond a groove's tops the outline is followed so far, to see how level they are.
BEYOND_MM = 1.5


def measure_profile(path: Path, settings: ProfileSettings | None = None) -> ProfileReading:
    """Measure every groove along the spindle in one side-on picture.

    Parameters
    ----------
    path : Path
    settings : ProfileSettings, optional

    Returns
    -------
    ProfileReading
        What could not be measured stands in it with reason and remedy.

    Raises
    ------
    UnreadableFileError
        If the file is no picture that can be read.
    WrongHintError
        If a click lies outside the picture.
    """
    settings = settings or ProfileSettings()
    picture = open_picture(path)
    _check_click(picture, settings)
    reference = None if settings.no_reference else _reference(picture, settings)
    if reference is None:
        return ProfileReading(picture.name, (), NO_REFERENCE, (), (NO_REFERENCE,), ())
    pose = fit_reference_pose(picture, reference)
    camera, plane = pose.scene()
    mm_per_px = 1 / plane.px_per_mm((0.0, 0.0))
    parts = find_turned_parts(picture, camera, mm_per_px, _outlines(reference), settings.whirl_px)
    # What looks like a groove may turn out to be a gap between two things. The first of equals is clearest.
    answers = [_answer(picture, reference, pose, part, settings) for part in parts]
    best = max(answers, key=lambda answer: len(answer.steps), default=None)
    if best is None or not best.steps:
        told = (_told(reference, settings.offset_mm),)
        return ProfileReading(picture.name, told, NO_GROOVE, (), (NO_GROOVE,), ())
    return best


def _check_click(picture: Picture, settings: ProfileSettings) -> None:
    click = settings.whirl_px
    if click is not None and not picture.contains(click):
        raise WrongHintError(
            f"--whirl {click[0]:g},{click[1]:g} lies outside the picture, which is "
            f"{picture.width_px} x {picture.height_px} pixels. Point at a place inside it."
        )


def _reference(picture: Picture, settings: ProfileSettings) -> FoundReference | None:
    return max(front_on_references(picture, settings.references), key=lambda r: r.outlined, default=None)


def _outlines(reference: FoundReference) -> list[Points]:
    return [np.asarray(reference.corners_px)] if len(reference.corners_px) > 2 else []


def _told(reference: FoundReference, offset_mm: UFloat) -> ReferenceReading:
    corners = tuple((float(x), float(y)) for x, y in reference.corners_px)
    return ReferenceReading(reference.kind, corners, offset_mm)


def _answer(
    picture: Picture,
    reference: FoundReference,
    pose: ReferencePose,
    part: TurnedPart,
    settings: ProfileSettings,
) -> ProfileReading:
    ends = np.array([[part.outline[0, 0], 0.0], [part.outline[-1, 0], 0.0]])
    scale = Scale.of(pose, reference.size_doubt, settings.offset_mm, part.view.pixels_from_view(ends))
    place = scale.nominal()
    steps = []
    for groove in part.grooves:
        shape, here = _shape(picture, part.view, part.outline, groove, place)
        if shape.is_groove:
            sizes = groove_sizes(shape, scale, here, settings.band_mm)
            rival = _rival_sizes(picture, part, groove, scale, place, settings.band_mm)
            steps.append(_step(shape, here, sizes if rival is None else sizes.covering(rival)))
    steps.sort(key=lambda step: -_nominal(step))
    labelled = tuple(replace(step, label=f"step {k + 1}") for k, step in enumerate(steps))
    ends_px = part.view.pixels_from_view(ends)
    return ProfileReading(
        picture.name,
        (_told(reference, settings.offset_mm),),
        AxisReading((_point(ends_px[0]), _point(ends_px[1])), _distance_mm(place, settings.offset_mm)),
        labelled,
        (),
        _remarks(labelled),
    )


def _distance_mm(place: AxisPlace, offset_mm: UFloat) -> UFloat:
    return place.distance_mm + (offset_mm - offset_mm.nominal_value)


def _shape(
    picture: Picture, along: SideView, outline: Points, groove: Groove, place: AxisPlace
) -> tuple[GrooveShape, AxisPlace]:
    """One groove's outline to a fraction of a pixel, about its own axis, in the view square to it."""
    beyond = int(BEYOND_MM * place.view.camera.focal_px / place.distance_mm)
    first = max(groove.left - beyond, 0)
    coarse = outline[first : groove.right + beyond + 1]
    line = place.view.view_from_pixels(along.pixels_from_view(coarse))
    dense, (left, bottom, right) = _dense(
        line, (groove.left - first, groove.bottom - first, groove.right - first)
    )
    view, both = settled(picture.lab, place.view, dense)
    here = AxisPlace(view, place.distance_mm)
    shown = edge_shown(picture.lab, view, both.points)
    tops = (left, right)
    shape = groove_shape(both.points, shown, tops, bottom, view.camera.focal_px, place.distance_mm)
    return shape, here


def _dense(line: Points, marks: tuple[int, int, int]) -> tuple[Points, tuple[int, int, int]]:
    """The line with points about a pixel apart, and where some of its points are now."""
    reach = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    even = np.arange(0.0, reach[-1])
    dense = np.column_stack([np.interp(even, reach, line[:, k]) for k in (0, 1)])
    one, two, three = (min(round(float(reach[k])), len(dense) - 1) for k in marks)
    return dense, (one, two, three)


def _rival_sizes(
    picture: Picture, part: TurnedPart, groove: Groove, scale: Scale, place: AxisPlace, band_mm: UFloat | None
) -> GrooveSizes | None:
    """The same groove measured from the rival outline; None where that shows none there."""
    if part.rival is None:
        return None
    outline, grooves = part.rival
    left, right = part.outline[groove.left, 0], part.outline[groove.right, 0]
    for other in grooves:
        if left < outline[other.bottom, 0] < right:
            shape, here = _shape(picture, part.view, outline, other, place)
            return groove_sizes(shape, scale, here, band_mm)
    return None


def _step(shape: GrooveShape, place: AxisPlace, sizes: GrooveSizes) -> StepReading:
    waist = level_point_px(place.view, shape.bottom.u_px, shape.bottom.v_px)
    outer = level_point_px(place.view, shape.lower.u_px, shape.lower.v_px)
    return StepReading(
        "step",
        sizes.outer_mm,
        sizes.groove_mm,
        NO_BAND if sizes.pitch_mm is None else sizes.pitch_mm,
        shape.hidden,
        (_point(waist[0]), _point(waist[1])),
        (_point(outer[0]), _point(outer[1])),
        (
            place.view.pixels_from_view(shape.line),
            place.view.pixels_from_view(shape.line * [1.0, -1.0]),
        ),
    )


def _nominal(step: StepReading) -> float:
    return 0.0 if isinstance(step.groove_mm, NotMeasured) else float(step.groove_mm.nominal_value)


def _point(xy: Points) -> Point:
    return float(xy[0]), float(xy[1])


def _remarks(steps: tuple[StepReading, ...]) -> tuple[str, ...]:
    remarks = ["Steps are numbered from the largest groove to the smallest."]
    hidden = [step.label for step in steps if step.bottom_hidden]
    if hidden:
        remarks.append(
            f"A flange hides the bottom of {' and '.join(hidden)}: the groove is no wider there than it "
            "looks, and may be deeper. Photograph it squarer from the side."
        )
    return tuple(remarks)
