"""The band's fit completed: the round parts about the spindle tell where the whirl is.

They can be told only when the plane and the bisector are known, so rim and runs are fitted before
(`wheel_fit.py`).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from uncertainties import UFloat

from ..find.round_parts import RoundPart, find_round_parts, with_earlier
from ..find.spindle_line import spindle_line
from ..geometry.camera import Points
from .axis_seen import AxisSeen
from .joint import Fit, fit_jointly
from .observations import Observation
from .round_part_seen import RoundPartSeen
from .scene import Scene
from .spindle import ExpectedPlace, PlacedPart, SpindlePlace, place_spindle
from .unknowns import Unknown
from .wheel_fit import LEAST_WHIRL_MM, BandPlan, BandSeen, BandStart, WheelPicture
from .wheel_scene import part_unknowns

#: Neighbouring edge points err together; this deviation a point stands for that (see observations).
PART_CORRELATION, LEAST_PART_SCATTER_PX = 1.5, 0.2
#: Parts are looked for once more where the first ones put plane and spindle, by then better known.
ROUNDS, PLACED_DOUBT = 2, 0.5
#: Without a click, a place that round parts agree on needs such odds (a logarithm) for a closer look.
LEAST_ODDS = 1.0
#: The line about which the spindle is mirrored is looked for so many standard deviations to either side, but
#: within so many pixels.
LINE_REACH, LINE_REACH_PX = 2.5, (3.0, 20.0)
LINE_DOUBT_PX = 0.7


@dataclass(frozen=True, slots=True)
class WheelFit:
    """A fit to a band, where parts put the spindle (None: nowhere), and the fit without them."""

    fit: Fit
    band: BandSeen
    place: SpindlePlace | None
    without_parts: Fit


def fit_band(seen: WheelPicture, starts: Iterable[BandStart]) -> WheelFit | None:
    """Fit the spindle's parts too, from each start; the fit for which they say most, None without a start."""
    tried = [(_placed(seen, start), start) for start in starts]
    if not tried:
        return None
    best, start = max(tried, key=lambda each: each[0].place.log_odds if each[0].place is not None else 0.0)
    return _along_line(seen, start.plan, best)


def without_parts(start: BandStart) -> WheelFit:
    """The fit from a start as it is, no parts looked for."""
    return WheelFit(start.fit, start.plan.band, None, start.fit)


def _placed(seen: WheelPicture, start: BandStart) -> WheelFit:
    """The fit from one guess of the whirl, with the spindle's parts where they agree on a place."""
    band, whirl_doubt = start.plan.band, start.plan.whirl.doubt
    doubt = whirl_doubt
    alone = best = without_parts(start)
    parts: list[RoundPart] = []
    for _ in range(ROUNDS):
        scene = best.fit.scene
        found = find_round_parts(seen.picture.bgr, scene.plane, scene.spindle_mm, seen.rim_radius_mm)
        parts = with_earlier(found, parts, scene.plane)
        tilt_doubt_rad = max(tilt.std_dev for tilt in best.fit.measured("tilt_x", "tilt_y"))
        place = place_spindle(scene, parts, _expected(best.fit, doubt), tilt_doubt_rad)
        if place is None or (band.whirl_px is None and place.log_odds < LEAST_ODDS):
            break
        if best.place is not None and place.sharpness_per_mm2 <= best.place.sharpness_per_mm2:
            break
        fit = _with_parts(start.plan, best.fit, place)
        best = WheelFit(fit, band, place, start.fit)
        doubt = PLACED_DOUBT * whirl_doubt
    # Without a click parts that may agree by chance are not believed at all.
    believed = band.whirl_px is not None or best.place is None or not best.place.vague
    return best if believed else alone


def _distance_per_radius(fit: Fit) -> UFloat:
    """How far the spindle is from the hub, in radii of the wheel's pitch circle: no scale enters."""
    distance, radius = fit.measured("spindle_distance", "pitch_radius")
    return distance / radius


def _along_line(seen: WheelPicture, plan: BandPlan, fitted: WheelFit) -> WheelFit:
    """The fit with the line about which the spindle's surroundings are mirrored, if there is a clear one."""
    if fitted.place is None:
        return fitted
    scene, distance = fitted.fit.scene, _distance_per_radius(fitted.fit)
    view = scene.view_along_spindle
    if view is None:
        return fitted
    place = scene.spindle_mm
    px_per_mm = scene.plane.px_per_mm((float(place[0]), float(place[1])))
    further = scene.plane.pixels_from_plane((1 + distance.std_dev / distance.nominal_value) * place[None])
    doubt_px = abs(float(view.view_from_pixels(further)[0, 1]))
    reach_px = float(np.clip(LINE_REACH * doubt_px, *LINE_REACH_PX))
    line = spindle_line(seen.picture, view, px_per_mm, reach_px)
    if line is None or not line.clear:
        return fitted
    axis = AxisSeen(line.points_px, LINE_DOUBT_PX)
    return replace(fitted, fit=_with_parts(plan, fitted.fit, fitted.place, [axis]))


def _expected(fit: Fit, doubt: float) -> ExpectedPlace:
    """Where a fit puts the spindle, its way to the runs' meeting being known to a factor."""
    values = fit.values
    grows = values["pitch_radius"] - values["loop1_radius"]
    from_meeting_mm = values["loop1_radius"] * values["spindle_distance"] / grows
    return ExpectedPlace(values["spindle_distance"] + from_meeting_mm, from_meeting_mm, doubt)


def _with_parts(plan: BandPlan, band_fit: Fit, place: SpindlePlace, lines: Sequence[AxisSeen] = ()) -> Fit:
    """Fit once more, with the spindle's parts and without any guess where the spindle is."""
    values = {**band_fit.values, "spindle_distance": place.along_mm}
    pitch_mm, nearer = values["pitch_radius"], place.along_mm / band_fit.values["spindle_distance"]
    for number in range(1, len(plan.band.loops) + 1):
        # The runs stay where they are: (wheel - whirl) / distance is the sine of half their angle.
        slope_mm = pitch_mm - values[f"loop{number}_radius"]
        values[f"loop{number}_radius"] = max(pitch_mm - nearer * slope_mm, LEAST_WHIRL_MM)
    scene = Scene(values)
    unknowns: list[Unknown] = []
    more: list[Observation] = list(lines)
    for k, placed in enumerate(place.parts):
        part, name = placed.part, f"part{k}"
        unknowns += part_unknowns(name, *_as_seen(scene, placed), part.centre_doubt_mm)
        deviation_px = PART_CORRELATION * max(part.scatter_px, LEAST_PART_SCATTER_PX)
        more.append(RoundPartSeen(part.points_px, deviation_px, name))
    return fit_jointly(plan.table.restarted(values).joined(unknowns), [*plan.observations, *more])


def _as_seen(scene: Scene, placed: PlacedPart) -> tuple[float, float, Points]:
    """Radius and height of a part, and how far (2,) from the spindle it then is seen, all in mm."""
    foot_mm, height_mm = scene.plane.camera_foot_mm, placed.height_mm
    # In a plane nearer to the camera all is smaller than it seems in the band plane.
    smaller = 1 - height_mm / scene.plane.camera_height_mm
    middle_mm = foot_mm + smaller * (placed.part.centre_mm - foot_mm)
    return smaller * placed.part.radius_mm, height_mm, middle_mm - scene.spindle_at(height_mm)
