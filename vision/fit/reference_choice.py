"""Which of the things of known size are used, and whether several of them agree.

What agrees enters one fit together. If two do not agree none is used: the picture cannot tell which is wrong.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations, islice, product

import numpy as np

from ..geometry.circle_pose import CirclePose
from ..measured import NotMeasured
from ..references import FoundReference, ReferenceRequest
from .joint import Fit
from .reference_check import ScaledRim, believed, surest
from .wheel_fit import WheelPicture, fit_rim

#: Two references disagree if the rim's sizes by them are further apart than so many standard deviations.
DISAGREE = 3.0
#: Two candidates of a kind whose middles are nearer than this share of their length are one thing.
SAME_THING = 0.15
#: Of so many ways to give sizes to things the best is taken.
MOST_WAYS = 256

CHECK_THEM = (
    "Check the sizes that you gave and that all lie flat and equally far in front of the band (--offset), or "
    "name only the one that you trust."
)


@dataclass(frozen=True, slots=True)
class Choice:
    """The picture with the references that are used, its fit, and why there are none if they disagree."""

    seen: WheelPicture
    fit: Fit
    disagreement: NotMeasured | None = None


def chosen_references(
    unscaled: WheelPicture,
    pose: CirclePose,
    rim_fit: Fit,
    candidates: Sequence[FoundReference],
    requests: Sequence[ReferenceRequest],
) -> Choice:
    """All references that settle in one pose of the rim, if they agree.

    Parameters
    ----------
    unscaled : WheelPicture
        The picture without any.
    pose : CirclePose
    rim_fit : Fit
        Of the rim alone, from this pose.
    candidates : sequence of FoundReference
    requests : sequence of ReferenceRequest
        A kind that is named twice may lie there twice.
    """
    groups: dict[tuple[str, float, float], list[ScaledRim]] = defaultdict(list)
    for candidate in candidates:
        scaled = believed(unscaled, pose, rim_fit, candidate)
        if scaled is not None:
            # Two rules, or two edges of one, may show different lengths and are one kind all the same.
            size = (0.0, 0.0) if candidate.ticks is not None else (candidate.width_mm, candidate.height_mm)
            groups[(candidate.kind, *size)].append(scaled)
    asked = [request.kind for request in requests]
    settled = [one for (kind, *_), group in groups.items() for one in _of_one_kind(group, asked.count(kind))]
    used = _sized_to_agree(settled)
    if len(used) < 2:
        return Choice(used[0].seen, used[0].fit) if used else Choice(unscaled, rim_fit)
    disagreement = _disagreement(used)
    if disagreement is not None:
        return Choice(unscaled, rim_fit, disagreement)
    radius_mm = float(np.mean([one.seen.rim_radius_mm for one in used]))
    references = tuple(_reference(one) for one in used)
    seen = replace(unscaled, references=references, rim_radius_mm=radius_mm)
    return Choice(seen, fit_rim(seen, pose, rim_fit))


def _reference(scaled: ScaledRim) -> FoundReference:
    return scaled.seen.references[0]


def _of_one_kind(group: Sequence[ScaledRim], wanted: int) -> list[ScaledRim]:
    """All that cannot be anything else; of those that can, the surest ones, as many as were named."""
    certain = [one for one in group if _reference(one).certain]
    if certain:
        return _distinct(certain)
    best = surest(group)
    if best is None:
        return []
    others = sorted((one for one in group if one is not best), key=lambda one: -one.merit)
    return _distinct([best, *others])[: max(wanted, 1)]


def _distinct(ones: Sequence[ScaledRim]) -> list[ScaledRim]:
    """Each thing once, though it may have been found more than once."""
    distinct: list[ScaledRim] = []
    for one in ones:
        if not any(_same_thing(one, other) for other in distinct):
            distinct.append(one)
    return distinct


def _same_thing(one: ScaledRim, other: ScaledRim) -> bool:
    (middle, reach), (other_middle, other_reach) = _place(one), _place(other)
    near = np.hypot(*(middle - other_middle)) < SAME_THING * min(reach, other_reach)
    return bool(near) and _reference(one).kind == _reference(other).kind


def _sized_to_agree(ones: Sequence[ScaledRim]) -> list[ScaledRim]:
    """Each thing with one of the sizes it may have (two markers, two sizes): those that agree best."""
    things: list[list[ScaledRim]] = []
    for one in ones:
        same = next((thing for thing in things if _same_thing(thing[0], one)), None)
        if same is None:
            things.append([one])
        else:
            same.append(one)
    if not things:
        return []
    ways = islice(product(*things), MOST_WAYS)
    return list(min(ways, key=lambda way: float(np.ptp([np.log(one.seen.rim_radius_mm) for one in way]))))


def _place(scaled: ScaledRim) -> tuple[np.ndarray[tuple[int], np.dtype[np.float64]], float]:
    corners = _reference(scaled).corners_px
    return corners.mean(axis=0), float(np.hypot(*(corners[1] - corners[0])))


def _disagreement(used: Sequence[ScaledRim]) -> NotMeasured | None:
    """The two references that are furthest apart, as a reason; None if all agree."""
    radii = [one.fit.measured("rim_radius")[0] for one in used]
    logs = np.log([radius.nominal_value for radius in radii])
    doubts = [radius.std_dev / radius.nominal_value for radius in radii]
    apart = {
        (i, k): abs(logs[i] - logs[k]) / float(np.hypot(doubts[i], doubts[k]))
        for i, k in combinations(range(len(used)), 2)
    }
    i, k = max(apart, key=lambda pair: apart[pair])
    if apart[i, k] < DISAGREE:
        return None
    (small, one), (large, other) = sorted(
        (2 * radii[n].nominal_value, _reference(used[n]).kind) for n in (i, k)
    )
    whom = f"one {one}" if one == other else f"the {one}", "another" if one == other else f"the {other}"
    return NotMeasured(
        f"What you laid down does not agree, so no sizes are given: by {whom[0]} the rim is {small:.0f} mm "
        f"across, by {whom[1]} {large:.0f} mm, {100 * (large / small - 1):.1f} % more.",
        CHECK_THEM,
    )
