"""From fitted hypotheses to the reading: what is said, and what is not said and why."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, ufloat

from .find.rim import RimEdge
from .fit.bare_groove import pitch_in_groove_mm
from .fit.budget import shares_of_doubt
from .fit.hypothesis import Hypothesis, band_outside_rim, covering
from .measured import NotMeasured, Outcome
from .open.picture import Picture
from .photo_correlations import Tied, tied
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
from .photo_settings import PhotoSettings

#: A ratio this well known, as a share (standard deviation), needs no better picture; a cause of less than so
#: much of its variance is not named.
WORTH_ADVICE, WORTH_NAMING = 0.006, 0.3
#: What narrows the interval most, for each cause of doubt.
REMEDIES = {
    "spindle": "Most of the ratio's doubt is where the spindle crosses the plane of the band. A second "
    "picture from another side, with the whirl's flange in view, would narrow it most.",
    "cords": "Most of the ratio's doubt is where the middle of the cord runs. A second picture with the "
    "light from the other side, or of a tied-on string unlike the wall in colour, would narrow it most.",
    "tilt": "Most of the ratio's doubt is how the wheel is tilted. A second picture from farther away, with "
    "a card taped to the spokes, would narrow it most.",
    "lens": "Most of the ratio's doubt is the lens. A second picture from twice as far, zoomed in, with the "
    "wheel in the middle, would narrow it most.",
}
#: More doubt of the ratio than this share is no answer.
HOPELESS_SHARE_DOUBT = 0.35
#: A spinning wheel turns its flyer or spindle at least three times (common practice, no source).
MOST_SHARE = 1 / 3

#: A band runs so near to the rim's outer edge, as shares of its diameter: grooves are a few mm deep (common
#: practice, no source), and a fit of the rim's front edge is off by a little.
LEAST_PITCH_SHARE, MOST_PITCH_SHARE = 0.94, 1.01

NO_RIM = NotMeasured(
    "No wheel rim was found: nothing large and round stands out all the way round.",
    "Take the picture square to the wheel with the whole rim in view, or point at the axle with --hub X,Y.",
)
RIM_UNCLEAR = NotMeasured(
    "The rim shows several round edges, and which of them is the outermost is not clear.",
    "Take the picture against a plain wall of another colour, or point at its outer edge with --rim X,Y.",
)
NO_REFERENCE = NotMeasured(
    "Nothing of known size was found in the picture.",
    "Tape a bank card to the spokes, or name two points and their distance with "
    "--reference points=X1,Y1,X2,Y2,300mm.",
)
REFERENCE_DECLINED = NotMeasured(
    "You asked to use no reference.", "Lay a bank card in the plane of the wheel to get lengths."
)
WHIRL_UNCLEAR = NotMeasured(
    "The whirl's place on its axis cannot be told from here, so no ratio is given.",
    "Step to the side, so that the spindle points past you, and point at the whirl with --whirl X,Y.",
)
NO_SPINNING_WHEEL = NotMeasured(
    "What was taken for wheel and whirl is no spinning wheel: the whirl would be more than a third as large "
    "as the wheel.",
    "Move clocks, plates and baskets out of the picture, or point at the wheel's middle with --hub X,Y and "
    "at the whirl with --whirl X,Y.",
)
NO_BAND = NotMeasured(
    "The two straight runs of a drive band were not found.",
    "Tie any string tightly round wheel and whirl, and point at the whirl with --whirl X,Y. Or give the "
    "depth of the wheel's groove, such as --groove 5mm, and measure the whirl in a picture from the side "
    "with 'whirlwise profile': both in one file, by --add-to, tell the ratio.",
)
PITCH_FROM_GROOVE = (
    "Where the band runs on the wheel is reckoned from its outer edge, the depth of its groove and the "
    "band's thickness, for no band was seen on it."
)
GROOVE_NOT_TOLD = NotMeasured(
    "A picture from the front does not tell how deep the whirl's groove is.",
    "Take one from the side of the whirl for that.",
)
DRIVE_NOT_TOLD = NotMeasured(
    "A picture from the front does not tell surely whether the band runs once or twice round.",
    "Look at the groove of the wheel: two cords in it are a double drive.",
)
OVAL_NOT_TOLD = NotMeasured(
    "One picture cannot tell an oval rim from a tilted one.", "Take a second picture from another side."
)


def answer(
    picture: Picture,
    rim: RimEdge,
    standing: Sequence[Hypothesis],
    settings: PhotoSettings,
    missing: Sequence[NotMeasured] = (),
    *,
    outermost: bool,
) -> PhotoReading:
    """What the standing hypotheses, the best first, agree on.

    ``missing`` says why something of known size that was asked for was not found, ``outermost`` tells whether
    the rim's clearest edge is its outermost one.
    """
    first = standing[0]
    if first.disagreement is not None:
        missing = (first.disagreement, *missing)
    share = covering([h.share for h in standing if h.share is not None]) if first.share is not None else None
    hopeless = share is not None and share.std_dev > HOPELESS_SHARE_DOUBT * share.nominal_value
    absurd = share is not None and share.nominal_value > MOST_SHARE and not settings.whirls_px
    numbers = tied(standing, None if hopeless or absurd else share)
    if absurd or (hopeless and not _in_the_rim(numbers)):
        numbers = replace(numbers, pitch_mm=None)
    lengths = _lengths(first, numbers, settings, missing)
    if not outermost or band_outside_rim(first):
        pitch_mm = RIM_UNCLEAR if _bare(numbers, lengths) else lengths.pitch_mm
        lengths = replace(lengths, outer_mm=RIM_UNCLEAR, pitch_mm=pitch_mm)
    if absurd and settings.hub_px is None:
        # Then the rim is another round thing, too.
        lengths = _Lengths(*(NO_SPINNING_WHEEL,) * 5)
    return PhotoReading(
        file=picture.name,
        references=_reference_readings(first, settings),
        # A pose that explains something else than a band is not the wheel's.
        band_plane=NO_SPINNING_WHEEL if absurd else _plane_reading(first, lengths),
        wheel=_wheel_reading(first, rim, lengths),
        whirls=_whirls(first, numbers.share, _bobbin_share(standing), lengths),
        centre_distance_mm=lengths.centre_distance_mm,
        band_runs=_run_evidence(first),
        drive="double" if _bobbin_share(standing) is not None else DRIVE_NOT_TOLD,
        remarks=(
            *_remarks(picture, standing, _no_ratio(share, absurd=absurd, hopeless=hopeless)),
            *((PITCH_FROM_GROOVE,) if _bare(numbers, lengths) else ()),
            *map(str, missing),
        ),
        advice=_advice(first, numbers.share),
        no_ratio=_no_ratio(share, absurd=absurd, hopeless=hopeless),
    )


def _in_the_rim(numbers: Tied) -> bool:
    """Whether a band whose whirl is not told runs where the rim's groove must be; else it is no band."""
    if numbers.pitch_mm is None:
        return False
    share = (numbers.pitch_mm / numbers.outer_mm).nominal_value
    return bool(LEAST_PITCH_SHARE < share < MOST_PITCH_SHARE)


def _no_ratio(share: UFloat | None, *, absurd: bool, hopeless: bool) -> NotMeasured | None:
    """Why no ratio is given; None if one is."""
    if absurd:
        return NO_SPINNING_WHEEL
    if hopeless:
        return WHIRL_UNCLEAR
    return NO_BAND if share is None else None


def _remarks(picture: Picture, standing: Sequence[Hypothesis], no_ratio: NotMeasured | None) -> Iterator[str]:
    if no_ratio is not None:
        yield str(no_ratio)
    if len(standing) > 1:
        yield (
            "The wheel may be tilted one way or the other; the interval covers both. A card taped to the "
            "spokes, or a picture from another side, decides it."
        )
    if not picture.focal_known:
        yield "The file does not tell the lens; a picture as the camera saved it would."


def _advice(first: Hypothesis, share: UFloat | None) -> str | None:
    """What would narrow the ratio's interval most, by what its doubt is made; None if it is good."""
    if first.band is None or first.band.place is None or share is None:
        return None
    if share.std_dev < WORTH_ADVICE * share.nominal_value:
        return None
    shares = shares_of_doubt(first.best)
    most = max(shares, key=lambda cause: shares[cause], default=None)
    return REMEDIES[most] if most is not None and shares[most] > WORTH_NAMING else None


@dataclass(frozen=True, slots=True)
class _Lengths:
    """Everything that needs a scale; diameters."""

    outer_mm: Outcome
    pitch_mm: Outcome
    whirl_pitch_mm: Outcome
    centre_distance_mm: Outcome
    distance_mm: Outcome


def _lengths(
    first: Hypothesis, numbers: Tied, settings: PhotoSettings, missing: Sequence[NotMeasured]
) -> _Lengths:
    if not first.seen.references:
        why = REFERENCE_DECLINED if settings.no_reference else next(iter(missing), NO_REFERENCE)
        return _Lengths(why, why, why, why, why)
    distance_mm = float(np.linalg.norm(first.best.scene.plane.origin_mm))
    distance = ufloat(distance_mm, first.seen.picture.relative_focal_doubt * distance_mm)
    if numbers.pitch_mm is None:
        return _Lengths(numbers.outer_mm, _bare_pitch(numbers.outer_mm, settings), NO_BAND, NO_BAND, distance)
    if numbers.share is None or numbers.centre_distance_mm is None:
        return _Lengths(numbers.outer_mm, numbers.pitch_mm, WHIRL_UNCLEAR, WHIRL_UNCLEAR, distance)
    whirl_pitch_mm = numbers.pitch_mm * numbers.share
    return _Lengths(numbers.outer_mm, numbers.pitch_mm, whirl_pitch_mm, numbers.centre_distance_mm, distance)


def _bare_pitch(outer_mm: UFloat, settings: PhotoSettings) -> Outcome:
    """The wheel's pitch diameter without a band on it, where the depth of its groove is known."""
    if settings.groove_depth_mm is None:
        return NO_BAND
    return pitch_in_groove_mm(outer_mm, settings.groove_depth_mm, settings.band_mm)


def _bare(numbers: Tied, lengths: _Lengths) -> bool:
    """Whether the wheel's pitch diameter is told although no band was found."""
    return numbers.pitch_mm is None and not isinstance(lengths.pitch_mm, NotMeasured)


def _reference_readings(first: Hypothesis, settings: PhotoSettings) -> tuple[ReferenceReading, ...]:
    return tuple(
        ReferenceReading(
            reference.kind,
            tuple(map(_point, reference.corners_px)),
            settings.offset_mm,
            () if reference.ticks is None else tuple(map(_point, reference.ticks.points_px)),
            () if reference.circle is None else tuple(map(_point, reference.circle.outline_px)),
        )
        for reference in first.seen.references
    )


def _plane_reading(first: Hypothesis, lengths: _Lengths) -> BandPlaneReading:
    tilt_x, tilt_y = first.best.measured("tilt_x", "tilt_y")
    tilt_deg = np.degrees(first.best.scene.plane.tilt_rad)
    doubt_deg = np.degrees(np.hypot(tilt_x.std_dev, tilt_y.std_dev))
    return BandPlaneReading(ufloat(float(tilt_deg), float(doubt_deg)), lengths.distance_mm)


def _wheel_reading(first: Hypothesis, rim: RimEdge, lengths: _Lengths) -> WheelReading:
    scene = first.best.scene
    hub = scene.plane.pixels_from_plane(np.zeros((1, 2)))[0]
    outline = scene.plane.circle_px((0.0, 0.0), scene.values["rim_radius"], scene.values["rim_height"])
    evidence = RimEvidence(outline, rim.points_px, 360.0 * rim.cover, rim.scatter_px)
    return WheelReading(_point(hub), lengths.outer_mm, lengths.pitch_mm, OVAL_NOT_TOLD, evidence)


def _bobbin_share(standing: Sequence[Hypothesis]) -> UFloat | None:
    """What the hypotheses agree on for the bobbin's whirl; None unless all see a double drive."""
    shares = [h.bobbin_share for h in standing if h.bobbin_share is not None]
    return covering(shares) if len(shares) == len(standing) else None


def _whirls(
    first: Hypothesis, share: UFloat | None, bobbin: UFloat | None, lengths: _Lengths
) -> tuple[WhirlReading, ...]:
    if share is None:
        return ()
    if bobbin is None:
        return (_whirl("whirl", first, share, lengths.whirl_pitch_mm),)
    pitch_mm = lengths.pitch_mm if isinstance(lengths.pitch_mm, NotMeasured) else lengths.pitch_mm * bobbin
    return (
        _whirl("flyer whirl", first, share, lengths.whirl_pitch_mm),
        _whirl("bobbin whirl", first, bobbin, pitch_mm, first.best.scene.values["loop2_whirl_height"]),
    )


def _whirl(
    label: str, first: Hypothesis, share: UFloat, pitch_mm: Outcome, height_mm: float = 0.0
) -> WhirlReading:
    scene = first.best.scene
    spindle_mm = scene.spindle_at(height_mm)
    spindle = (float(spindle_mm[0]), float(spindle_mm[1]))
    radius_mm = share.nominal_value * scene.values["pitch_radius"]
    return WhirlReading(
        label=label,
        centre_px=_point(scene.plane.pixels_from_plane(spindle_mm[None], height_mm)[0]),
        outer_mm=GROOVE_NOT_TOLD,
        groove_mm=GROOVE_NOT_TOLD,
        pitch_mm=pitch_mm,
        pitch_per_wheel_pitch=share,
        outline_px=scene.plane.circle_px(spindle, radius_mm, height_mm),
    )


def _run_evidence(first: Hypothesis) -> tuple[BandRunEvidence, ...]:
    if first.band is None:
        return ()
    return tuple(
        BandRunEvidence(
            (_point(cord.points_px[0]), _point(cord.points_px[-1])), len(cord.points_px), cord.scatter_px
        )
        for cord in first.band.band.cords
    )


def _point(pixel: NDArray[np.float64]) -> Point:
    return float(pixel[0]), float(pixel[1])


def nothing_found(picture: Picture) -> PhotoReading:
    """The reading of a picture in which no wheel was found."""
    return PhotoReading(picture.name, (), NO_RIM, NO_RIM, (), NO_RIM, (), NO_RIM, (str(NO_RIM),))
