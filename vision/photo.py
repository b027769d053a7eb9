"""Measure a wheel from one picture: sizes, and the ratio of its pitch circles.

Reads top to bottom: open the picture, find the rim and the band's runs, find what has a known size, fit all
of it at once from either pose of the rim, and report only what both poses leave standing.
"""

from dataclasses import dataclass, field, replace
from itertools import product
from pathlib import Path

import numpy as np
from uncertainties import UFloat, ufloat

from .errors import WrongHintError
from .find.cord import CordLine, cords_along
from .find.rim import RimEdge, clearest_edge, find_rim_edges
from .find.runs import RunPair, find_run_pairs
from .fit.joint import Fit
from .fit.reference_check import believed, surest
from .fit.wheel_fit import BandSeen, WheelFit, WheelPicture, fit_band, fit_rim, rim_poses
from .fit.wheel_scene import UNSCALED_RIM_RADIUS_MM
from .geometry.circle_pose import CirclePose
from .measured import NotMeasured, Outcome
from .open.picture import Picture, open_picture
from .photo_reading import (
    BandPlaneReading,
    BandRunEvidence,
    PhotoReading,
    Point,
    ReferenceReading,
    RimEvidence,
    WheelReading,
    WhirlReading,
)
from .references import (
    AUTOMATIC_KINDS,
    REFERENCE_KINDS,
    FoundReference,
    ReferenceRequest,
    Surroundings,
)

#: A pose that fits worse than the other by so much (half a chi-square) is ruled out.
RULED_OUT_COST = 12.0
#: In a wrong pose hardly any parts agree on a spindle; one in which fewer agree than this share of the other
#: pose's is ruled out.
LEAST_AGREEMENT = 0.35
#: Poses nearer to each other than this are one.
SAME_POSE_RAD = np.radians(3.0)
#: What the model leaves out, as shares: moulded edges taken for round parts of the spindle move the whirl's
#: place; a rounded rim, and a cord half in shade, move the lengths. Set from pictures with known truth.
SHARE_DOUBT, LENGTH_DOUBT = 0.015, 0.008
#: Without a scale a rim edge that is one of several is one of the wheel's; more doubt than this is no answer.
HOPELESS_SHARE_DOUBT = 0.35
#: An edge larger by this factor is another edge, not the same one found twice.
ANOTHER_EDGE = 1.02
#: A second cord this clear beside the first, on either run, says double drive.
SECOND_LOOP_CLARITY = 0.72
HALF_WIDTH_95 = 1.959964

NO_RIM = NotMeasured(
    "No wheel rim was found: nothing large and round stands out all the way round.",
    "Take the picture square to the wheel with the whole rim in view, or point at the axle with --hub X,Y.",
)
RIM_UNCLEAR = NotMeasured(
    "The rim shows several round edges, and which of them is the outermost is not clear.",
    "Take the picture against a plain wall of another colour.",
)
NO_REFERENCE = NotMeasured(
    "Nothing of known size was found in the picture.",
    "Tape a bank card to the spokes, or name two points and their distance with "
    "--reference points=X1,Y1,X2,Y2,300mm.",
)
REFERENCE_DECLINED = NotMeasured(
    "You asked to use no reference.", "Lay a bank card in the plane of the wheel to get lengths."
)
NO_BAND = NotMeasured(
    "The two straight runs of a drive band were not found.",
    "Tie any string tightly round wheel and whirl, and point at the whirl with --whirl X,Y.",
)
NOT_TOLD = NotMeasured(
    "One picture from the front does not tell it.", "Take a second picture from the side of the whirl."
)
OVAL_NOT_TOLD = NotMeasured(
    "One picture cannot tell an oval rim from a tilted one.", "Take a second picture from another side."
)


@dataclass(frozen=True, slots=True)
class PhotoSettings:
    """What the spinner knows of the picture.

    Attributes
    ----------
    references : tuple of ReferenceRequest
        What of known size to look for; empty: whatever can be found without being told.
    no_reference : bool
        Use none: ratios only.
    offset_mm : UFloat
        How far the reference stands before the band plane.
    band_mm : UFloat, optional
        Thickness of the band.
    groove_depth_mm : UFloat, optional
        Depth of the wheel's groove; kept for wheels without a band.
    hub_px, whirls_px : Point
        Clicks; they choose and start the search, and are never measured from.
    """

    references: tuple[ReferenceRequest, ...] = ()
    no_reference: bool = False
    offset_mm: UFloat = field(default_factory=lambda: ufloat(0.0, 5.0 / HALF_WIDTH_95))
    band_mm: UFloat | None = None
    groove_depth_mm: UFloat | None = None
    hub_px: Point | None = None
    whirls_px: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class _Hypothesis:
    """One pose of the rim with all that was fitted from it; ``share`` is whirl pitch / wheel pitch."""

    seen: WheelPicture
    rim_fit: Fit
    band: WheelFit | None
    share: UFloat | None

    @property
    def best(self) -> Fit:
        return self.band.fit if self.band is not None else self.rim_fit


def measure_photo(path: Path, settings: PhotoSettings | None = None) -> PhotoReading:
    """Measure the wheel in one picture.

    Parameters
    ----------
    path : Path
    settings : PhotoSettings, optional

    Returns
    -------
    PhotoReading
        What could not be measured stands in it with reason and remedy.

    Raises
    ------
    UnreadableFileError
        If the file is no picture that can be read.
    WrongHintError
        If a click lies outside the picture.
    """
    settings = settings or PhotoSettings()
    picture = open_picture(path)
    _check_clicks(picture, settings)
    edges = find_rim_edges(picture.bgr, settings.hub_px)
    if not edges:
        return _nothing_found(picture)
    rim = clearest_edge(edges)
    whirl_px = settings.whirls_px[0] if settings.whirls_px else None
    pair = _best_pair(picture, edges, whirl_px)
    poses = rim_poses(picture, rim)
    unscaled = WheelPicture(picture, rim, (), settings.offset_mm, UNSCALED_RIM_RADIUS_MM)
    rim_fits = [fit_rim(unscaled, pose) for pose in poses]
    candidates = [c for fit in rim_fits for c in _references(picture, fit, settings)]
    hypotheses = [
        _hypothesis(unscaled, pose, fit, candidates, pair, settings)
        for pose, fit in zip(poses, rim_fits, strict=True)
    ]
    standing = _standing(hypotheses)
    outermost = not _wider(edges[0], rim)
    return _reading(picture, rim, pair, standing, settings, outermost=outermost)


def _best_pair(picture: Picture, edges: list[RimEdge], whirl_px: Point | None) -> RunPair | None:
    """The likeliest band, its tangents tried on the rim's clearest edge and on the outermost one."""
    rims = [clearest_edge(edges)]
    if _wider(edges[0], rims[0]):
        rims.append(edges[0])
    found = [pair for rim in rims for pair in find_run_pairs(picture.bgr, rim.ellipse, whirl_px)[:1]]
    return max(found, key=lambda pair: pair.score, default=None)


def _wider(edge: RimEdge, other: RimEdge) -> bool:
    return edge.ellipse.mean_radius_px > ANOTHER_EDGE * other.ellipse.mean_radius_px


def _check_clicks(picture: Picture, settings: PhotoSettings) -> None:
    clicks = [("--hub", settings.hub_px), *(("--whirl", click) for click in settings.whirls_px)]
    for option, click in clicks:
        if click is not None and not picture.contains(click):
            raise WrongHintError(
                f"{option} {click[0]:g},{click[1]:g} lies outside the picture, which is "
                f"{picture.width_px} x {picture.height_px} pixels. Point at a place inside it."
            )


def _hypothesis(
    unscaled: WheelPicture,
    pose: CirclePose,
    rim_fit: Fit,
    candidates: list[FoundReference],
    pair: RunPair | None,
    settings: PhotoSettings,
) -> _Hypothesis:
    """Everything fitted from one pose of the rim, with the reference that agrees with it best."""
    settled = [s for c in candidates if (s := believed(unscaled, pose, rim_fit, c)) is not None]
    chosen = surest(settled)
    seen, best = (chosen.seen, chosen.fit) if chosen is not None else (unscaled, rim_fit)
    if pair is None:
        return _Hypothesis(seen, best, None, None)
    return _with_runs(seen, pose, best, pair, settings)


def _references(picture: Picture, rim_fit: Fit, settings: PhotoSettings) -> tuple[FoundReference, ...]:
    if settings.no_reference:
        return ()
    requests = settings.references or tuple(ReferenceRequest(kind) for kind in AUTOMATIC_KINDS)
    surroundings = Surroundings(rim_fit.scene.plane, UNSCALED_RIM_RADIUS_MM)
    found = (REFERENCE_KINDS[request.kind].find(picture, surroundings, request) for request in requests)
    return tuple(reference for references in found for reference in references)


def _with_runs(
    seen: WheelPicture, pose: CirclePose, rim_fit: Fit, pair: RunPair, settings: PhotoSettings
) -> _Hypothesis:
    """The fit with the band; where either run shows two cords, every way to pair them is tried."""
    cords = [_cords(seen, rim_fit, pair, k, settings) for k in (0, 1)]
    whirl_px = settings.whirls_px[0] if settings.whirls_px else None
    thickness_mm = settings.band_mm.nominal_value if settings.band_mm is not None else None
    fits: list[WheelFit] = []
    for one, other in product(*cords):
        band = BandSeen(pair, (one, other), whirl_px, thickness_mm)
        fitted = fit_band(seen, pose, rim_fit, band)
        if fitted is not None:
            fits.append(fitted)
    if not fits:
        return _Hypothesis(seen, rim_fit, None, None)
    shares = [_share(fit) for fit in fits]
    return _Hypothesis(seen, rim_fit, fits[0], _covering(shares))


def _cords(
    seen: WheelPicture, rim_fit: Fit, pair: RunPair, k: int, settings: PhotoSettings
) -> list[CordLine]:
    """The clearest cord on a run, and a second one if it is nearly as clear."""
    run = pair.runs[k]
    thickness_px = None
    if settings.band_mm is not None and seen.references:
        plane = rim_fit.scene.plane
        middle = plane.plane_from_pixels(0.5 * (run.start_px + run.end_px)[None])[0]
        thickness_px = settings.band_mm.nominal_value * plane.px_per_mm((float(middle[0]), float(middle[1])))
    cords = cords_along(seen.picture.lab, run, seen.rim.ellipse.mean_radius_px, thickness_px)
    return [cord for cord in cords if cord.clarity >= SECOND_LOOP_CLARITY * cords[0].clarity]


def _share(fitted: WheelFit) -> UFloat:
    """Whirl pitch as a share of the wheel's, with the doubt of the model and of rival places."""
    wheel, whirl, distance = fitted.fit.measured("pitch_radius", "loop1_radius", "spindle_distance")
    share = whirl / wheel
    doubts = [SHARE_DOUBT * share.nominal_value]
    if fitted.place is not None:
        meeting = wheel.nominal_value * distance.nominal_value / (wheel.nominal_value - whirl.nominal_value)
        for along_mm, support in fitted.place.rivals_mm:
            doubts.append(support * abs(along_mm - fitted.place.along_mm) / meeting / HALF_WIDTH_95)
    return share + ufloat(0.0, float(np.hypot.reduce(doubts)))


def _covering(shares: list[UFloat]) -> UFloat:
    """One number whose 95 % interval covers those of all; itself if there is but one."""
    if len(shares) == 1:
        return shares[0]
    low = min(s.nominal_value - HALF_WIDTH_95 * s.std_dev for s in shares)
    high = max(s.nominal_value + HALF_WIDTH_95 * s.std_dev for s in shares)
    return ufloat(0.5 * (low + high), 0.5 * (high - low) / HALF_WIDTH_95)


def _standing(hypotheses: list[_Hypothesis]) -> list[_Hypothesis]:
    """The hypotheses that the picture does not rule out, the better fitting one first."""
    scaled = [h for h in hypotheses if h.seen.references] or hypotheses
    complete = [h for h in scaled if h.band is not None] or scaled
    ranked = sorted(complete, key=_cost)
    ranked = [h for h in ranked if _agreement(h) >= LEAST_AGREEMENT * max(map(_agreement, ranked))]
    rivals = [
        h for h in ranked[1:] if _cost(h) < _cost(ranked[0]) + RULED_OUT_COST and not _same_pose(h, ranked[0])
    ]
    return [ranked[0], *rivals]


def _agreement(hypothesis: _Hypothesis) -> float:
    """How many round parts, each counted by its weight, agree on one spindle."""
    if hypothesis.band is None or hypothesis.band.place is None:
        return 0.0
    return sum(placed.weight for placed in hypothesis.band.place.parts)


def _same_pose(one: _Hypothesis, other: _Hypothesis) -> bool:
    """Whether both starts have led to one pose."""
    cosine = one.best.scene.plane.axes[:, 2] @ other.best.scene.plane.axes[:, 2]
    return bool(cosine > np.cos(SAME_POSE_RAD))


def _cost(hypothesis: _Hypothesis) -> float:
    """Misfit of what every hypothesis explains: the rim, the reference and the runs, without the parts."""
    return hypothesis.band.cost_without_parts if hypothesis.band is not None else hypothesis.rim_fit.cost


def _reading(
    picture: Picture,
    rim: RimEdge,
    pair: RunPair | None,
    standing: list[_Hypothesis],
    settings: PhotoSettings,
    *,
    outermost: bool,
) -> PhotoReading:
    first = standing[0]
    remarks: list[str] = []
    share = _covering([h.share for h in standing if h.share is not None]) if first.share is not None else None
    if share is not None and share.std_dev > HOPELESS_SHARE_DOUBT * share.nominal_value:
        share = None
        remarks.append(
            "The whirl's place on its axis cannot be told from here, so no ratio is given. Step to the side, "
            "so that the spindle points past you, and point at the whirl with --whirl X,Y."
        )
    elif share is None:
        remarks.append(str(NO_BAND))
    if len(standing) > 1:
        remarks.append(
            "The wheel may be tilted one way or the other; the interval covers both. A card taped to the "
            "spokes, or a picture from another side, decides it."
        )
    if not picture.focal_known:
        remarks.append("The file does not tell the lens; a picture as the camera saved it would.")
    lengths = _lengths(standing, share, settings)
    if not outermost:
        lengths = replace(lengths, outer_mm=RIM_UNCLEAR)
    return PhotoReading(
        file=picture.name,
        references=_reference_readings(first, settings),
        band_plane=_plane_reading(first, lengths),
        wheel=_wheel_reading(first, rim, lengths),
        whirls=_whirls(first, share, lengths),
        centre_distance_mm=lengths.centre_distance_mm,
        band_runs=_run_evidence(pair),
        drive=NOT_TOLD,
        remarks=tuple(remarks),
    )


@dataclass(frozen=True, slots=True)
class _Lengths:
    """Everything that needs a scale; diameters."""

    outer_mm: Outcome
    pitch_mm: Outcome
    whirl_pitch_mm: Outcome
    centre_distance_mm: Outcome
    distance_mm: Outcome


def _lengths(standing: list[_Hypothesis], share: UFloat | None, settings: PhotoSettings) -> _Lengths:
    first = standing[0]
    if not first.seen.references:
        why = REFERENCE_DECLINED if settings.no_reference else NO_REFERENCE
        return _Lengths(why, why, why, why, why)
    model = ufloat(1.0, LENGTH_DOUBT)
    outer_mm = _covering([2 * h.best.measured("rim_radius")[0] for h in standing]) * model
    distance_mm = float(np.linalg.norm(first.best.scene.plane.origin_mm))
    distance = ufloat(distance_mm, first.seen.picture.relative_focal_doubt * distance_mm)
    if first.band is None or share is None:
        return _Lengths(outer_mm, NO_BAND, NO_BAND, NO_BAND, distance)
    pitch_mm = _covering([2 * h.best.measured("pitch_radius")[0] for h in standing if h.band]) * model
    centres = _covering([h.best.measured("spindle_distance")[0] for h in standing if h.band])
    centres += ufloat(0.0, share.std_dev * pitch_mm.nominal_value)
    return _Lengths(outer_mm, pitch_mm, pitch_mm * share, centres * model, distance)


def _reference_readings(first: _Hypothesis, settings: PhotoSettings) -> tuple[ReferenceReading, ...]:
    return tuple(
        ReferenceReading(
            reference.kind,
            tuple((float(x), float(y)) for x, y in reference.corners_px),
            settings.offset_mm,
        )
        for reference in first.seen.references
    )


def _plane_reading(first: _Hypothesis, lengths: _Lengths) -> BandPlaneReading:
    tilt_x, tilt_y = first.best.measured("tilt_x", "tilt_y")
    tilt_deg = np.degrees(first.best.scene.plane.tilt_rad)
    doubt_deg = np.degrees(np.hypot(tilt_x.std_dev, tilt_y.std_dev))
    return BandPlaneReading(ufloat(float(tilt_deg), float(doubt_deg)), lengths.distance_mm)


def _wheel_reading(first: _Hypothesis, rim: RimEdge, lengths: _Lengths) -> WheelReading:
    scene = first.best.scene
    hub = scene.plane.pixels_from_plane(np.zeros((1, 2)))[0]
    outline = scene.plane.circle_px((0.0, 0.0), scene.values["rim_radius"], scene.values["rim_height"])
    evidence = RimEvidence(outline, rim.points_px, 360.0 * rim.cover, rim.scatter_px)
    hub_px = (float(hub[0]), float(hub[1]))
    return WheelReading(hub_px, lengths.outer_mm, lengths.pitch_mm, OVAL_NOT_TOLD, evidence)


def _whirls(first: _Hypothesis, share: UFloat | None, lengths: _Lengths) -> tuple[WhirlReading, ...]:
    if share is None:
        return ()
    scene = first.best.scene
    spindle = (float(scene.spindle_mm[0]), float(scene.spindle_mm[1]))
    centre = scene.plane.pixels_from_plane(scene.spindle_mm[None])[0]
    return (
        WhirlReading(
            label="whirl",
            centre_px=(float(centre[0]), float(centre[1])),
            outer_mm=NOT_TOLD,
            groove_mm=NOT_TOLD,
            pitch_mm=lengths.whirl_pitch_mm,
            pitch_per_wheel_pitch=share,
            outline_px=scene.plane.circle_px(spindle, share.nominal_value * scene.values["pitch_radius"]),
        ),
    )


def _run_evidence(pair: RunPair | None) -> tuple[BandRunEvidence, ...]:
    if pair is None:
        return ()
    return tuple(
        BandRunEvidence(
            ((float(run.start_px[0]), float(run.start_px[1])), (float(run.end_px[0]), float(run.end_px[1]))),
            round(run.length_px),
            0.0,
        )
        for run in pair.runs
    )


def _nothing_found(picture: Picture) -> PhotoReading:
    return PhotoReading(picture.name, (), NO_RIM, NO_RIM, (), NO_RIM, (), NO_RIM, (str(NO_RIM),))
