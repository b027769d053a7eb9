"""The two ways in which a picture of a wheel can be understood, and which of them it leaves standing.

A tilted circle looks the same leaning one way and the other. So everything is fitted twice, and what the
picture does not rule out must lie in the interval.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from uncertainties import UFloat, ufloat

from ..measured import HALF_WIDTH_95, NotMeasured
from .band_fit import WheelFit
from .joint import Fit
from .spindle import LEAST_CROSSING, SpindlePlace
from .wheel_fit import WheelPicture
from .wheel_scene import USUAL_CORD_MM

#: A pose that fits worse than the other by so much (half a chi-square) is ruled out.
RULED_OUT_COST = 12.0
#: In a wrong pose hardly any parts agree on a spindle; one for which they say less than this share of what
#: they say for the other is ruled out.
LEAST_AGREEMENT = 0.5
#: Where all speaks so much more for another pose, one is ruled out: the logarithm of odds of fifty to one.
RULED_OUT_ODDS = 4.0
#: So much of a misfit speaks then, as points err together. In drawn rooms the right pose fits better by 11 in
#: the median, and chance parts in a wrong one say up to 17.
MISFIT_SPEAKS = 0.5
#: A reference that only one pose explains says so much for it: all 215 such poses were right (by the rule of
#: succession) in drawn rooms, most of them counted twice, with clicks and without.
REFERENCE_ODDS = 5.4
#: A pose that stretches what is known of wheels so far, and so much farther than the other one, is ruled out.
FAR_STRAINED, FAR_MORE = 3.0, 1.5
#: References that carry a code are never something else; a rectangle may be a brick, a circle a plate.
CODED_KINDS = frozenset({"marker", "sheet"})
#: Things of known size whose middles are nearer to each other than this share of a side are one.
SAME_THING = 0.15
#: Poses nearer to each other than this are one.
SAME_POSE_RAD = np.radians(3.0)
#: What the model leaves out: moulded edges taken for round parts of the spindle move the whirl's place. Set
#: from 94 drawn rooms whose spindles lean by up to 1.5 degrees: in two of three the ratio then is off by less
#: than one standard deviation, as it should.
SHARE_DOUBT = 0.003
#: Likewise along the line hub - whirl, which tells on a small whirl more than on a large one.
PLACE_DOUBT_MM = 0.25
#: Where the spindle's axis crosses that line at less than this sine, its parts tell the place badly: they
#: may all be off across the line by so much, which moves the place along it. Set from pictures with known
#: truth, as well.
ASLANT_CROSSING, ACROSS_DOUBT_MM = 0.2, 0.3
#: Parts of which none is clear may agree by chance: the doubt that they leave is the greater by so much.
VAGUE_DOUBT = 3.5
#: The cords of the second loop lie close beside or behind those of the first, which pulls them together.
SECOND_SHARE_DOUBT = 0.05


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One pose of the rim with all that was fitted from it.

    ``share`` is whirl pitch / wheel pitch, in double drive that of the flyer's whirl; ``bobbin_share`` that
    of the bobbin's. ``disagreement`` says why no reference is used although there are several;
    ``reference_cost`` is the part of the fit's cost that is the references'.
    """

    seen: WheelPicture
    rim_fit: Fit
    band: WheelFit | None
    share: UFloat | None
    bobbin_share: UFloat | None = None
    disagreement: NotMeasured | None = None
    reference_cost: float = 0.0

    @property
    def best(self) -> Fit:
        """The fit of as much as was found."""
        return self.band.fit if self.band is not None else self.rim_fit


def band_outside_rim(hypothesis: Hypothesis) -> bool:
    """Whether the band runs outside what was taken for the rim's edge, which then is a ring on its face.

    A groove is turned into the rim, so the middle of the band stands over the rim by half a cord at the most.
    """
    if hypothesis.band is None:
        return False
    rim, wheel = hypothesis.band.fit.measured("rim_radius", "pitch_radius")
    over = wheel - rim
    half_cord_mm = 0.5 * (hypothesis.band.band.thickness_mm or USUAL_CORD_MM)
    return bool(over.nominal_value > half_cord_mm + HALF_WIDTH_95 * over.std_dev)


def share_of(fitted: WheelFit, loop: str = "loop1") -> UFloat:
    """Whirl pitch as a share of the wheel's, with the doubt of the model and of other places."""
    wheel, whirl, distance = fitted.fit.measured("pitch_radius", f"{loop}_radius", "spindle_distance")
    share = whirl / wheel
    doubts = [(SHARE_DOUBT if loop == "loop1" else SECOND_SHARE_DOUBT) * share.nominal_value]
    sine = (wheel.nominal_value - whirl.nominal_value) / distance.nominal_value
    doubts.append(PLACE_DOUBT_MM * sine / wheel.nominal_value)
    if fitted.place is not None:
        meeting = wheel.nominal_value * distance.nominal_value / (wheel.nominal_value - whirl.nominal_value)
        for along_mm, support in fitted.place.rivals_mm:
            doubts.append(support * abs(along_mm - fitted.place.along_mm) / meeting / HALF_WIDTH_95)
        doubts.append(_doubt_aslant_mm(fitted, fitted.place) / meeting)
        if fitted.place.vague:
            doubts.append(VAGUE_DOUBT * share.std_dev)
    return share + ufloat(0.0, float(np.hypot.reduce(doubts)))


def _doubt_aslant_mm(fitted: WheelFit, place: SpindlePlace) -> float:
    """Doubt of the spindle's place where its axis, as it is seen, lies nearly along the line hub - whirl.

    There tilt, lean and heights may carry the fit far off the place on which the parts agreed before; then
    neither is to be believed alone.
    """
    scene = fitted.fit.scene
    spindle = scene.spindle_mm
    sight = spindle - scene.plane.camera_foot_mm
    area = abs(float(sight[0] * spindle[1] - sight[1] * spindle[0]))
    crossing = max(area / float(np.hypot(*sight) * np.hypot(*spindle)), LEAST_CROSSING)
    aslant = max(1.0 - crossing / ASLANT_CROSSING, 0.0)
    carried_mm = abs(scene.values["spindle_distance"] - place.along_mm)
    return aslant * float(np.hypot(carried_mm / HALF_WIDTH_95, ACROSS_DOUBT_MM / crossing))


def covering(numbers: Sequence[UFloat]) -> UFloat:
    """The first and likeliest number, its doubt widened until the 95 % interval covers those of all others.

    It is returned as it is if it is the only one.
    """
    if len(numbers) == 1:
        return numbers[0]
    value = numbers[0].nominal_value
    reach = max(abs(n.nominal_value - value) + HALF_WIDTH_95 * n.std_dev for n in numbers)
    return ufloat(value, reach / HALF_WIDTH_95)


def spanning(numbers: Sequence[UFloat]) -> UFloat:
    """The middle of all 95 % intervals together, its own reaching from the lowest to the highest end."""
    low = min(n.nominal_value - HALF_WIDTH_95 * n.std_dev for n in numbers)
    high = max(n.nominal_value + HALF_WIDTH_95 * n.std_dev for n in numbers)
    return ufloat(0.5 * (low + high), 0.5 * (high - low) / HALF_WIDTH_95)


def standing(hypotheses: Sequence[Hypothesis]) -> list[Hypothesis]:
    """The hypotheses that the picture does not rule out, the better fitting one first."""
    complete = [h for h in hypotheses if h.band is not None] or hypotheses
    complete = [h for h in complete if not _outdone(h, complete)]
    if len(complete) > 1 and all(_same_references(h, complete[0]) for h in complete):
        # What they add to the misfit is not left out where every pose has to explain it.
        complete = [replace(h, reference_cost=0.0) for h in complete]
    ranked = sorted(complete, key=_cost)
    # First strain: in a pose that is out of the question, what agrees on a spindle agrees by chance.
    least = min(map(_strain, ranked))
    ranked = [h for h in ranked if _strain(h) < max(FAR_STRAINED, FAR_MORE * least)]
    agreeing = [h for h in ranked if not _disagreed_with(h, ranked)]
    said = list(map(_speaks, agreeing))
    ranked = [h for h, speaks in zip(agreeing, said, strict=True) if speaks > max(said) - RULED_OUT_ODDS]
    rivals = [
        h for h in ranked[1:] if _cost(h) < _cost(ranked[0]) + RULED_OUT_COST and not _same_pose(h, ranked[0])
    ]
    return [_with_twins(h, agreeing) for h in (ranked[0], *rivals)]


def _with_twins(hypothesis: Hypothesis, others: Sequence[Hypothesis]) -> Hypothesis:
    """The hypothesis with all that fits of the same pose leave open of the whirl.

    Either start may lead to one pose, and yet to other parts that agree on another place of the spindle. What
    they say tells poses apart, not such places: if one speaks less loud, it is still left open.
    """
    shares = [h.share for h in others if h.share is not None and _same_pose(h, hypothesis)]
    if hypothesis.share is None or len(shares) < 2:
        return hypothesis
    return replace(hypothesis, share=spanning(shares))


def surely_strained(strains: Sequence[float], others: Sequence[float]) -> bool:
    """Whether a pose is ruled out by its strain, as far as that is known before parts are looked for.

    ``strains`` and ``others`` are those of all ways to fit the band from this pose and from the other one;
    whichever of them will be taken, the pose must be ruled out.
    """
    return bool(strains and others) and min(strains) >= max(FAR_STRAINED, FAR_MORE * max(others))


def _outdone(hypothesis: Hypothesis, others: Sequence[Hypothesis]) -> bool:
    """Whether another pose explains a reference that this one does not, and is to be believed for it.

    That is so if it is the same pose after all, if the spindle's parts say no less for it, or if the
    reference carries a code.
    """
    return not hypothesis.seen.references and any(
        other.seen.references
        and (
            _agreement(other) >= _agreement(hypothesis)
            or _same_pose(other, hypothesis)
            or any(reference.kind in CODED_KINDS for reference in other.seen.references)
        )
        for other in others
    )


def _same_references(hypothesis: Hypothesis, other: Hypothesis) -> bool:
    """Whether both explain the same things of known size."""
    ours, theirs = hypothesis.seen.references, other.seen.references
    return len(ours) == len(theirs) and all(
        one.kind == another.kind
        and np.hypot(*(one.corners_px.mean(axis=0) - another.corners_px.mean(axis=0)))
        < SAME_THING * np.hypot(*(one.corners_px[1] - one.corners_px[0]))
        for one, another in zip(ours, theirs, strict=True)
    )


def _disagreed_with(hypothesis: Hypothesis, others: Sequence[Hypothesis]) -> bool:
    """Whether parts say so much more for another pose that this one is ruled out.

    Some agree by chance in a wrong pose now and then. So they must say more for it than all that both poses
    explain says against it.
    """
    return any(
        _agreement(hypothesis) < LEAST_AGREEMENT * _agreement(other)
        and _agreement(other) - _agreement(hypothesis) > _cost(other) - _cost(hypothesis)
        for other in others
    )


def _speaks(hypothesis: Hypothesis) -> float:
    """What all says for a pose beside the other one, as the logarithm of odds."""
    by_reference = REFERENCE_ODDS if hypothesis.seen.references else 0.0
    against = 0.5 * _strain(hypothesis) ** 2 + MISFIT_SPEAKS * _cost(hypothesis)
    return _agreement(hypothesis) + by_reference - against


def _agreement(hypothesis: Hypothesis) -> float:
    """What round parts that agree on one spindle say for it, as the logarithm of odds."""
    if hypothesis.band is None or hypothesis.band.place is None:
        return 0.0
    return hypothesis.band.place.log_odds


def _same_pose(one: Hypothesis, other: Hypothesis) -> bool:
    """Whether both starts have led to one pose."""
    cosine = one.best.scene.plane.axes[:, 2] @ other.best.scene.plane.axes[:, 2]
    return bool(cosine > np.cos(SAME_POSE_RAD))


def _shared(hypothesis: Hypothesis) -> Fit:
    """The fit of what every hypothesis explains, rim and runs, without the parts that only one may see."""
    return hypothesis.band.without_parts if hypothesis.band is not None else hypothesis.rim_fit


def _strain(hypothesis: Hypothesis) -> float:
    return _shared(hypothesis).strain


def _cost(hypothesis: Hypothesis) -> float:
    """Misfit of what every hypothesis explains; references are left out where one of them does not."""
    return _shared(hypothesis).cost - hypothesis.reference_cost
