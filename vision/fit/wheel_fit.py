"""The joint fit of one wheel's picture, in the order in which things become known.

First the rim alone, from either of its two poses; then references and the band's runs. Last come the round
parts about the spindle, which can be told only when the plane and the bisector are known (`band_fit.py`).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat

from ..find.cord_lines import CordLine
from ..find.rim import RimEdge
from ..find.runs import RunPair
from ..geometry.camera import Camera, Points
from ..geometry.circle_pose import CirclePose, circle_poses
from ..open.picture import Picture
from ..references import FoundReference
from .joint import Fit, fit_jointly
from .observations import Observation, RunSeen
from .reference_terms import reference_observation, reference_unknowns
from .rim_seen import RimSeen, seen_outwards
from .scene import Scene
from .slanting_run import SlantingRunSeen
from .unknowns import Unknown, UnknownTable
from .wheel_scene import (
    BOBBIN_GAP_MM,
    CORD_SHIFT_SHARE,
    LOOP_GAP_MM,
    NEAR_SHIFT_SHARE,
    band_unknowns,
    camera_unknowns,
    cord_unknown,
    loop_unknowns,
    wheel_unknowns,
)

#: Neighbouring edge points err together; these deviations a point stand for that (see observations).
RIM_CORRELATION, LEAST_RIM_SCATTER_PX = 1.3, 0.4
CORD_CORRELATION, LEAST_CORD_SCATTER_PX = 1.5, 0.35
#: Without a click: the spindle lies nearer to the runs' meeting than the place where a cord was last seen, by
#: this share of the way, give or take that factor (its logarithm): bobbin and flyer hide the last of a cord,
#: or it seems to go on along what stands behind.
VANISHING_SHARE, VANISHING_DOUBT = 0.7, 0.4
#: Ends that differ by this factor in their distance from the meeting are both tried.
UNLIKE_ENDS = 2.0
#: A click on the whirl lies within half the whirl's radius of its middle.
LEAST_CLICK_DOUBT_MM, CLICK_DOUBT = 3.0, 0.3
#: A whirl nearer to the meeting of the runs, or nearer to the hub, is none.
LEAST_FROM_MEETING_MM, MOST_FROM_MEETING = 2.0, 0.9
#: No fit starts from a smaller whirl.
LEAST_WHIRL_MM = 1.0


@dataclass(frozen=True, slots=True)
class WheelPicture:
    """Everything found in the picture before anything is fitted."""

    picture: Picture
    rim: RimEdge
    references: tuple[FoundReference, ...]
    offset_mm: UFloat
    rim_radius_mm: float


@dataclass(frozen=True, slots=True)
class LoopSeen:
    """One loop of the band: the cord on each run, and on which side of the band plane the loop runs.

    ``side`` is 0 in the band plane, which is that of the first loop, 1 before it, -1 behind it.
    """

    cords: tuple[CordLine, CordLine]
    side: int = 0


@dataclass(frozen=True, slots=True)
class BandSeen:
    """Two runs, one loop or two, a click on the whirl if there is one, and the cord's thickness."""

    pair: RunPair
    loops: tuple[LoopSeen, ...]
    whirl_px: tuple[float, float] | None
    thickness_mm: float | None

    @property
    def cords(self) -> tuple[CordLine, ...]:
        """All cords, each once."""
        return tuple({id(cord): cord for loop in self.loops for cord in loop.cords}.values())


@dataclass(frozen=True, slots=True)
class GuessedWhirl:
    """Where the whirl is about, its pitch radius, and the doubt of how far it is from the runs' meeting.

    The doubt is a share of that way.
    """

    spindle_mm: Points
    radius_mm: float
    doubt: float


@dataclass(frozen=True, slots=True)
class BandPlan:
    """The rim and the band's runs, ready to be fitted from one guess of the whirl."""

    band: BandSeen
    whirl: GuessedWhirl
    table: UnknownTable
    observations: list[Observation]

    def fitted(self) -> "BandStart":
        """The fit, the whirl held near where it was guessed."""
        held = (self.whirl.radius_mm, self.whirl.doubt * self.whirl.radius_mm)
        bound = [_held(u, *held) if u.name == "loop1_radius" else u for u in self.table.unknowns]
        return BandStart(self, fit_jointly(UnknownTable(bound), self.observations))


@dataclass(frozen=True, slots=True)
class BandStart:
    """The rim and the band's runs fitted from one guess of the whirl, and what was fitted."""

    plan: BandPlan
    fit: Fit


def rim_poses(picture: Picture, rim: RimEdge) -> tuple[CirclePose, CirclePose]:
    """Both poses of the rim, for the focal length that the file tells."""
    middle = ((picture.width_px - 1) / 2, (picture.height_px - 1) / 2)
    return circle_poses(rim.ellipse, Camera(picture.focal_px, middle))


def fit_rim(seen: WheelPicture, pose: CirclePose, rim_fit: Fit | None = None) -> Fit:
    """Fit camera, plane, rim and references, starting from one pose.

    ``rim_fit`` is a fit of the rim alone from this pose, its radius taken for some other one; it spares the
    search for where the references lie.
    """
    table = UnknownTable(
        [
            *camera_unknowns(seen.picture),
            *wheel_unknowns(pose, seen.rim_radius_mm, scaled=bool(seen.references)),
        ]
    )
    start = Scene({u.name: u.start for u in table.unknowns})
    observations: list[Observation] = [_rim_seen(seen, start)]
    if seen.references:
        alone = rim_fit if rim_fit is not None else fit_jointly(table, observations)
        table = table.restarted(_enlarged(alone.values, seen.rim_radius_mm))
        plane = Scene({u.name: u.start for u in table.unknowns}).plane
        for k, reference in enumerate(seen.references):
            table = table.joined(reference_unknowns(f"reference{k}", reference, plane, seen.offset_mm))
            observations.append(reference_observation(f"reference{k}", reference))
    return fit_jointly(table, observations)


def _enlarged(values: Mapping[str, float], rim_radius_mm: float) -> dict[str, float]:
    """The same picture, of a wheel so large, all lengths enlarged alike."""
    share = rim_radius_mm / values["rim_radius"]
    enlarged = {name: share * values[name] for name in ("rim_radius", "rim_height", "rim_rounding")}
    return {**values, **enlarged, "log_depth": values["log_depth"] + float(np.log(share))}


def band_starts(seen: WheelPicture, pose: CirclePose, rim_fit: Fit, band: BandSeen) -> Iterator[BandStart]:
    """Fit the rim and the band's runs, the whirl held near where a click or the cords' ends put it.

    The likeliest guess comes first; there is none if the runs close on no whirl.
    """
    return (plan.fitted() for plan in band_plans(seen, pose, rim_fit, band))


def band_plans(seen: WheelPicture, pose: CirclePose, fit: Fit, band: BandSeen) -> list[BandPlan]:
    """The same before it is fitted; ``fit`` is that of the rim, or of as much as is known already."""
    guesses = _guessed_whirls(fit.scene, band)
    return [BandPlan(band, whirl, *_with_band(seen, pose, fit, band, whirl)) for whirl in guesses]


def _guessed_whirls(scene: Scene, band: BandSeen) -> list[GuessedWhirl]:
    """Where the whirl may be as far as a click, or the places where the cords vanish, tell it."""
    meeting_mm = scene.plane.plane_from_pixels(band.pair.meeting_px[None])[0]
    ends_px = np.array([run.end_px for run in band.pair.runs])
    to_ends = meeting_mm - scene.plane.plane_from_pixels(ends_px)
    tangent_mm = np.linalg.norm(to_ends, axis=1)
    half_angle = 0.5 * float(np.arccos(np.clip(to_ends[0] @ to_ends[1] / tangent_mm.prod(), -1, 1)))
    if band.whirl_px is not None:
        click_mm = scene.plane.plane_from_pixels(np.array([band.whirl_px]))[0]
        meeting_distance = float(np.hypot(*meeting_mm))
        from_meeting = meeting_distance - float(click_mm @ meeting_mm) / meeting_distance
        guesses = [
            (from_meeting, LEAST_CLICK_DOUBT_MM / max(from_meeting, LEAST_CLICK_DOUBT_MM) + CLICK_DOUBT)
        ]
    else:
        nearer, further = (VANISHING_SHARE * np.sort(tangent_mm) / np.cos(half_angle)).tolist()
        # A run taken far too near to the meeting goes on in something else; then the other one tells as much.
        guesses = [(nearer, VANISHING_DOUBT)]
        if further > UNLIKE_ENDS * nearer:
            guesses.insert(0, (further, VANISHING_DOUBT))
    whirls = (_whirl_at(meeting_mm, half_angle, *guess) for guess in guesses)
    return [whirl for whirl in whirls if whirl is not None]


def _whirl_at(
    meeting_mm: Points, half_angle: float, from_meeting: float, doubt: float
) -> GuessedWhirl | None:
    """The whirl so far before the meeting of the runs; None if that is absurd."""
    meeting_distance = float(np.hypot(*meeting_mm))
    if not LEAST_FROM_MEETING_MM < from_meeting < MOST_FROM_MEETING * meeting_distance:
        return None
    spindle_mm = meeting_mm * (1 - from_meeting / meeting_distance)
    return GuessedWhirl(spindle_mm, from_meeting * float(np.sin(half_angle)), doubt)


def _held(unknown: Unknown, mean: float, deviation: float) -> Unknown:
    return Unknown(unknown.name, unknown.start, unknown.scale, (mean, deviation))


def _rim_seen(seen: WheelPicture, scene: Scene) -> RimSeen:
    """The rim's edge; the scene tells from which side each of its points is seen."""
    points_px = seen.rim.points_px[::2]
    scatter_px = max(seen.rim.scatter_px, LEAST_RIM_SCATTER_PX)
    return RimSeen(points_px, RIM_CORRELATION * scatter_px, seen_outwards(scene, points_px))


def _with_band(
    seen: WheelPicture,
    pose: CirclePose,
    fit: Fit,
    band: BandSeen,
    whirl: GuessedWhirl,
) -> tuple[UnknownTable, list[Observation]]:
    """Unknowns and observations of everything but the spindle's parts."""
    scaled = bool(seen.references)
    unknowns: list[Unknown] = [
        *camera_unknowns(seen.picture),
        *wheel_unknowns(pose, seen.rim_radius_mm, scaled=scaled),
        *band_unknowns(whirl.spindle_mm, seen.rim_radius_mm),
    ]
    observations: list[Observation] = [_rim_seen(seen, fit.scene)]
    for k, reference in enumerate(seen.references):
        unknowns += reference_unknowns(f"reference{k}", reference, fit.scene.plane, seen.offset_mm)
        observations.append(reference_observation(f"reference{k}", reference))
    for number, loop in enumerate(band.loops, start=1):
        px_per_mm = float(fit.scene.plane.px_per_mm((0.0, 0.0)))
        more, runs = _loop_terms(f"loop{number}", loop, band, whirl.radius_mm, px_per_mm)
        unknowns += more
        observations += runs
    starts = {**fit.values, **_as_cords_lie(fit.scene, band.loops, whirl)}
    return UnknownTable(unknowns).restarted(starts), observations


def _as_cords_lie(scene: Scene, loops: Sequence[LoopSeen], whirl: GuessedWhirl) -> dict[str, float]:
    """Both pitch circles and the spindle's direction, as the cords tell them for a whirl so far away."""
    starts, reaches_mm, distance_mm = {}, [], float(np.hypot(*whirl.spindle_mm))
    # Those of the first loop come last and tell the direction.
    for number, loop in reversed(list(enumerate(loops, start=1))):
        heights_mm = loop.side * np.linspace(LOOP_GAP_MM, BOBBIN_GAP_MM, len(loop.cords[0].points_px))
        places_mm, ways = zip(*(_line_mm(scene, cord, heights_mm) for cord in loop.cords), strict=True)
        reach_mm = np.mean([abs(x * v - y * u) for (x, y), (u, v) in zip(places_mm, ways, strict=True)])
        # Half the angle between the runs has the sine (wheel - whirl) / distance.
        sine = np.sqrt(max(0.5 * (1 - float(ways[0] @ ways[1])), 0.0))
        starts[f"loop{number}_radius"] = max(float(reach_mm - distance_mm * sine), LEAST_WHIRL_MM)
        starts["spindle_angle"] = float(np.arctan2(*np.sum(ways, axis=0)[::-1]))
        reaches_mm.append(float(reach_mm))
    return {**starts, "pitch_radius": float(np.mean(reaches_mm))}


def _line_mm(scene: Scene, cord: CordLine, heights_mm: NDArray[np.float64]) -> tuple[Points, Points]:
    """A place (2,) of the line along which a cord runs, and its direction (2,) away from the wheel."""
    points_mm = scene.plane.plane_from_pixels(cord.points_px, heights_mm)
    along = points_mm[-1] - points_mm[0]
    return points_mm.mean(axis=0), along / np.linalg.norm(along)


def _loop_terms(
    name: str, loop: LoopSeen, band: BandSeen, whirl_radius_mm: float, px_per_mm: float
) -> tuple[list[Unknown], list[Observation]]:
    """Unknowns of one loop, and its two runs as they were seen."""
    unknowns = list(loop_unknowns(name, whirl_radius_mm, loop.side))
    runs: list[Observation] = []
    share = NEAR_SHIFT_SHARE if len(band.loops) > 1 else CORD_SHIFT_SHARE
    kind = SlantingRunSeen if loop.side else RunSeen
    for k, (run, cord) in enumerate(zip(band.pair.runs, loop.cords, strict=True)):
        shift = f"{name}_cord{k}_shift"
        unknowns.append(cord_unknown(shift, band.thickness_mm, share, cord.doubt_px / px_per_mm))
        deviation_px = CORD_CORRELATION * max(cord.scatter_px, LEAST_CORD_SCATTER_PX)
        # A run's side is told in the picture, whose y points down; the plane's points up.
        runs.append(kind(cord.points_px, deviation_px, -run.side, name, shift))
    return unknowns, runs
