"""The band's fit completed: the round parts about the spindle tell where the whirl is.

They can be told only when the plane and the bisector are known, so rim and runs are fitted before
(`wheel_fit.py`).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..find.round_parts import RoundPart, with_earlier
from ..find.spindle_line import spindle_line
from ..geometry.camera import Points
from .axis_seen import AxisSeen
from .joint import Fit, fit_jointly
from .observations import Observation
from .part_looks import PartLooks
from .rim_seen import RimSeen
from .round_part_seen import RoundPartSeen, edge_slant
from .scene import Scene
from .spindle import ExpectedPlace, PlacedPart, SpindlePlace, place_on_line, place_spindle
from .unknowns import Unknown
from .wheel_fit import LEAST_WHIRL_MM, BandPlan, BandSeen, BandStart, WheelPicture
from .wheel_scene import edge_unknown, part_unknowns

#: Neighbouring edge points err together; this deviation a point stands for that (see observations). Light,
#: shade and mouldings carry long arcs off by tenths of a pixel, which then look like a tilt or a bent lens.
#: So where parts are fitted, neither their shapes nor the rim's are to decide either: the rim's deviation
#: grows by a factor. (Only there: what tells poses apart is set with the one that it has before.) Both are
#: set from pictures and rooms with known truth.
PART_CORRELATION, LEAST_PART_SCATTER_PX = 4.0, 0.2
RIM_BESIDE_PARTS = 3.0
#: Parts are looked for once more where the first ones put plane and spindle, by then better known.
ROUNDS, PLACED_DOUBT = 2, 0.5
#: Without a click, a place that round parts agree on needs such odds (a logarithm) for a closer look.
LEAST_ODDS = 1.0
#: The line about which the spindle is mirrored is looked for so many standard deviations to either side, but
#: within so many pixels.
LINE_REACH, LINE_REACH_PX, WIDE_REACH_PX = 2.5, (3.0, 20.0), (3.0, 120.0)
LINE_DOUBT_PX = 0.7
#: Odds (a logarithm) that no parts reach.
MORE_THAN_ANY = 1e3
#: The small circles seen are spindles' ends and bores, whose edges are sharp.
SHARP_EDGED_MM = 10.0


@dataclass(frozen=True, slots=True)
class WheelFit:
    """A fit to a band, where parts put the spindle (None: nowhere), and the fit without them."""

    fit: Fit
    band: BandSeen
    place: SpindlePlace | None
    without_parts: Fit


def fit_bands(seen: WheelPicture, ways: Iterable[Iterable[BandStart]]) -> list[WheelFit]:
    """Fit the spindle's parts too, in each way to understand the band that has a start.

    Of a way with several starts it is the fit for which the parts say most.
    """
    far, looks = _FarLine(seen), PartLooks(seen.picture.bgr, seen.rim_radius_mm)
    tried = ([(*_placed(looks, start), start) for start in starts] for starts in ways)
    likeliest = (max(way, key=lambda each: _said(each[0])) for way in tried if way)
    return [_with_line(seen, start, best, parts, far) for best, parts, start in likeliest]


def _with_line(
    seen: WheelPicture, start: BandStart, best: WheelFit, parts: Sequence[RoundPart], far: "_FarLine"
) -> WheelFit:
    """The best fit from a start, with the line about which the spindle's surroundings are mirrored."""
    by_click = start.plan.band.whirl_px is not None
    axis = far.axis(start) if by_click and best.place is None else _line_near(seen, best)
    if best.place is not None and not best.place.vague:
        if axis is None:
            return best
        return replace(best, fit=_with_parts(start.plan, best.fit, best.place, [axis]))
    # Parts that may agree by chance are believed where all is mirrored, or else if a click is near.
    mirrored = axis and _by_line(start.plan, best, parts, axis)
    return mirrored or (best if by_click else without_parts(start))


def _said(fitted: WheelFit) -> float:
    """What speaks for the spindle's place, those that may be chance ones after all others."""
    if fitted.place is None:
        return -np.inf
    return fitted.place.log_odds - (MORE_THAN_ANY if fitted.place.vague else 0.0)


def without_parts(start: BandStart) -> WheelFit:
    """The fit from a start as it is, no parts looked for."""
    return WheelFit(start.fit, start.plan.band, None, start.fit)


def _placed(looks: PartLooks, start: BandStart) -> tuple[WheelFit, list[RoundPart]]:
    """The fit from one guess of the whirl, with parts where they agree on a place, and all parts seen."""
    band, whirl_doubt = start.plan.band, start.plan.whirl.doubt
    doubt = whirl_doubt
    best = without_parts(start)
    parts: list[RoundPart] = []
    for number in range(ROUNDS):
        scene = best.fit.scene
        parts = with_earlier(looks.parts(scene, number), parts, scene.plane)
        place = place_spindle(scene, parts, _expected(best.fit, doubt), _tilt_doubt_rad(best.fit))
        if place is None or (band.whirl_px is None and place.log_odds < LEAST_ODDS):
            break
        if best.place is not None and place.sharpness_per_mm2 <= best.place.sharpness_per_mm2:
            break
        fit = _with_parts(start.plan, best.fit, place)
        best = WheelFit(fit, band, place, start.fit)
        doubt = PLACED_DOUBT * whirl_doubt
    return best, parts


def _tilt_doubt_rad(fit: Fit) -> float:
    return max(float(tilt.std_dev) for tilt in fit.measured("tilt_x", "tilt_y"))


def _further(fit: Fit) -> float:
    """Doubt of the spindle's distance, as a share of it, in radii of the pitch circle: no scale enters."""
    distance, radius = fit.measured("spindle_distance", "pitch_radius")
    share = distance / radius
    return float(share.std_dev / share.nominal_value)


def _by_line(plan: BandPlan, fitted: WheelFit, parts: Sequence[RoundPart], axis: AxisSeen) -> WheelFit | None:
    """The fit to a line about which all is mirrored and the parts that agree with it.

    None if the line runs along that from hub to whirl, and so tells no place.
    """
    scene = fitted.fit.scene
    place = place_on_line(scene, scene.plane.plane_from_pixels(axis.points_px), parts)
    if place is None:
        return None
    return replace(fitted, fit=_with_parts(plan, fitted.fit, place, [axis]), place=place)


def _line_near(seen: WheelPicture, fitted: WheelFit) -> AxisSeen | None:
    """The clear line about which all is mirrored, where parts put the spindle."""
    if fitted.place is None:
        return None
    return _axis_seen(seen, fitted.fit.scene, _further(fitted.fit), LINE_REACH_PX)


class _FarLine:
    """The clear line about which all is mirrored, as far about as a click leaves the whirl open.

    It is looked for once: ways to understand the band differ little in where they put the spindle.
    """

    def __init__(self, seen: WheelPicture) -> None:
        self._seen = seen
        self._found: list[AxisSeen | None] = []

    def axis(self, start: BandStart) -> AxisSeen | None:
        """The line; it is looked for from this start if it was not yet."""
        if not self._found:
            expected = _expected(start.fit, start.plan.whirl.doubt)
            further = expected.doubt * expected.from_meeting_mm / start.fit.values["spindle_distance"]
            self._found.append(_axis_seen(self._seen, start.fit.scene, further, WIDE_REACH_PX))
        return self._found[0]


def _axis_seen(
    seen: WheelPicture, scene: Scene, further: float, reach_px: tuple[float, float]
) -> AxisSeen | None:
    """The clear line about which the picture is mirrored, near to where a scene puts the spindle.

    ``further`` is the doubt of the spindle's distance, as a share of it.
    """
    view = scene.view_along_spindle
    if view is None:
        return None
    place = scene.spindle_mm
    px_per_mm = scene.plane.px_per_mm((float(place[0]), float(place[1])))
    moved_px = scene.plane.pixels_from_plane((1 + further) * place[None])
    doubt_px = abs(float(view.view_from_pixels(moved_px)[0, 1]))
    line = spindle_line(seen.picture, view, px_per_mm, float(np.clip(LINE_REACH * doubt_px, *reach_px)))
    return AxisSeen(line.points_px, LINE_DOUBT_PX) if line is not None and line.clear else None


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
    unknowns: list[Unknown] = [edge_unknown()]
    more: list[Observation] = list(lines)
    for k, placed in enumerate(place.parts):
        part, name = placed.part, f"part{k}"
        unknowns += part_unknowns(name, *_as_seen(scene, placed), part.centre_doubt_mm)
        deviation_px = PART_CORRELATION * max(part.scatter_px, LEAST_PART_SCATTER_PX)
        rounded = part.radius_mm >= SHARP_EDGED_MM
        slant = edge_slant(scene, placed.height_mm) if rounded else (0.0, 0.0)
        more.append(RoundPartSeen(part.points_px, deviation_px, name, slant))
    seen = [_loosened(each) for each in plan.observations]
    return fit_jointly(plan.table.restarted(values).joined(unknowns), [*seen, *more])


def _loosened(observation: Observation) -> Observation:
    """The same observation; of the rim, one that may be off by more."""
    if isinstance(observation, RimSeen):
        return replace(observation, deviation_px=RIM_BESIDE_PARTS * observation.deviation_px)
    return observation


def _as_seen(scene: Scene, placed: PlacedPart) -> tuple[float, float, Points]:
    """Radius and height of a part, and how far (2,) from the spindle it then is seen, all in mm."""
    foot_mm, height_mm = scene.plane.camera_foot_mm, placed.height_mm
    # In a plane nearer to the camera all is smaller than it seems in the band plane.
    smaller = 1 - height_mm / scene.plane.camera_height_mm
    middle_mm = foot_mm + smaller * (placed.part.centre_mm - foot_mm)
    return smaller * placed.part.radius_mm, height_mm, middle_mm - scene.spindle_at(height_mm)
