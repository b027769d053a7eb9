"""The flyer: which changing patch turns at a multiple of the wheel's speed, and at which multiple.

Every peak of the order spectrum is a candidate. Each is followed through the clip and explains something of
the changing picture; the one that explains most is right, unless one of these says otherwise:

- Chance explains a little too. How much, is found out by following ratios at which nothing turns.
- A flyer has two arms (common practice, no source): what winds once or twice round must be strongest.
- Half the ratio is right instead if, at half the speed, something shows an odd number of times a turn: what
  turns twice as fast could not do that.
- What is smeared over a good part of a turn winds but once. Two arms are gone by then, and the bobbin's mark
  looks like one arm: that is no flyer's for sure.
- What changes slowly or goes by the clock may look as if it went with the wheel; it is held against both.
- Two like arms look the same after half a turn, and seen aslant what winds twice round the axis may look as
  if it wound once about a place beside it. So of a ratio and its half only a clear lead counts, or that the
  overtone is stronger than what would be the arms' own order: then the arms go by the overtone.
- A wheel's spokes pass by the patch too: a ratio that keeps step with them is no flyer's.
- Other rivals must be beaten clearly, or else in each third of the clip. One that the even frame rate could
  make out of the winner, or the winner out of it (an alias), must be beaten more clearly still: two like
  arms under an even frame rate wind rightly at the alias too. Rivals that are not beaten are named.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..measured import NotMeasured
from .by_clock import share_by_clock
from .like_arms import half_turns_differ
from .orders import LOWEST, OrderSpectrum, order_spectrum, path_of, peaks
from .phase import (
    PhaseCourse,
    explained_by,
    explained_by_chance,
    flyer_rings,
    follow_ratio,
    quick_look,
    sharpened,
    smooth_slip,
)
from .polar import Cutout, TurningPlane, cut_out, without_orders, without_waves
from .rivals import RARE, RARER_TIMES, SAME, Judge, same_ratio, weight, winds_oddly

Floats = NDArray[np.float64]

#: A candidate explains at least so many times what chance explains.
ABOVE_CHANCE = 4.0
#: A single arm that is not smeared winds more often than once, by more than so many times chance.
NOT_SMEARED = 2.0
#: Axes nearer to each other than this share of the radius are one.
SAME_AXIS = 0.15
#: Ratios at which nothing turns, as multiples of a candidate: no simple fractions.
NOWHERE = (0.7867, 0.9132, 1.0937, 1.2286)
#: Candidates that explain this share of what the best one does after one pass are followed once more.
CLOSE = 0.4
#: Candidates that are followed with care.
FOLLOWED = 4
#: Orders of the wheel that a treadle and its footman show.
WHEEL_ORDERS = 5
#: Waves in time slower than this share of the lowest ratio's are no flyer's.
SLOW_SHARE = 0.5
#: What is left of a flyer when such waves are taken out of the pictures is still so many times chance.
LEFT_ABOVE_CHANCE = 2.0
#: What goes by the clock (a fan) shows so many times more against the clock than against the wheel.
BY_CLOCK = 6.0
#: Whether a phase goes by the clock is told if the share of the wheel's unevenness that it lacks is known so
#: well (standard deviation); it then lies nearer to the whole than to nothing.
CLEAR_SHARE = 0.25
#: What departs from a whole order of the wheel by less than so many turns over the clip keeps step with it.
IN_STEP_TURNS = 0.1
#: The patch is cut out with some room round it: the axis may lie off its middle.
ROOM = 1.6
NOTHING_TURNS = NotMeasured(
    "Nothing outside the wheel turns at a fixed multiple of its speed.",
    "Take the whole flyer into the picture, stick a short strip of light tape on one of its arms, "
    "and film in more light.",
)
SMEARED = NotMeasured(
    "What turns beside the wheel is so smeared that the flyer can't be told from the bobbin.",
    "Film in much more light, or in slow motion, so that the arms are seen.",
)


@dataclass(frozen=True, slots=True)
class Candidate:
    """A followed ratio, and how many times it explains what chance explains."""

    course: PhaseCourse
    strength: float


@dataclass(frozen=True, slots=True)
class FlyerFound:
    """One candidate where the clip decides, otherwise those that stay; and the spectrum (ratios, power)."""

    candidates: tuple[Candidate, ...]
    ratios: Floats
    power: Floats


def find_flyer(
    gray: NDArray[np.uint8],
    patches: list[TurningPlane],
    angles_rad: Floats,
    times_s: Floats,
    angle_std_rad: float,
    squeeze: tuple[float, float] = (0.0, 0.0),
    spokes: tuple[int, ...] = (),
) -> FlyerFound | NotMeasured:
    """Find what turns at a multiple of the wheel's speed.

    Parameters
    ----------
    patches : list of TurningPlane
        Where something changes outside the wheel, the likeliest first.
    angles_rad : (n,) array
        The wheel's angle in every picture.
    times_s : (n,) array
        When each picture was taken.
    angle_std_rad : float
        Its standard uncertainty. It blurs high orders, so that a low alias may explain more than the truth.
    squeeze : tuple of float
        That of the wheel's plane: the flyer turns about an axis beside the wheel's.
    spokes : tuple of int
        Orders that the wheel's own picture shows more than those beside them.
    """
    looks = [_look(gray, replace(patch, squeeze=squeeze), angles_rad) for patch in patches]
    looks.sort(key=lambda look: -float(look.spectrum.power.max()))
    undecided: FlyerFound | NotMeasured = NOTHING_TURNS
    for look in looks:
        found = _decide(look, angles_rad, angle_std_rad, spokes)
        if isinstance(found, FlyerFound):
            best = found.candidates[0]
            found = NOTHING_TURNS if _goes_otherwise(look, best, angles_rad, times_s) else found
        if isinstance(found, FlyerFound) and len(found.candidates) == 1:
            return found
        if undecided is NOTHING_TURNS or (found is not NOTHING_TURNS and undecided is SMEARED):
            undecided = found
    return undecided


@dataclass(frozen=True, slots=True)
class _Look:
    """A patch, cut out and freed of the wheel's own orders, and its order spectrum."""

    cutout: Cutout
    patch: TurningPlane
    spectrum: OrderSpectrum


def _look(gray: NDArray[np.uint8], patch: TurningPlane, angles_rad: Floats) -> _Look:
    cutout = without_orders(cut_out(gray, patch, ROOM), angles_rad, WHEEL_ORDERS)
    return _Look(cutout, patch, order_spectrum(flyer_rings(cutout, patch), angles_rad))


def _goes_otherwise(look: _Look, best: Candidate, angles_rad: Floats, times_s: Floats) -> bool:
    """Whether a candidate is better explained by what changes slowly, or by what goes by the clock.

    What changes slowly (a person, a curtain, the light) is to an even row of pictures the same as what turns
    as often as pictures are taken. And a fan may turn in any proportion to a wheel, though not for long.
    """
    course, way = best.course, float(path_of(angles_rad)[-1])
    if _by_clock(course, angles_rad, times_s):
        return True
    waves = np.arange(1, int(SLOW_SHARE * LOWEST * way / (2 * np.pi)) + 1)
    steady = without_waves(look.cutout, np.outer(waves, 2 * np.pi * times_s / times_s[-1]))
    left = explained_by(steady, course.plane, course.phase_rad).sum() / course.explained.sum()
    if left * best.strength < LEFT_ABOVE_CHANCE:
        return True
    clock = order_spectrum(flyer_rings(steady, look.patch), way * times_s / times_s[-1])
    away = np.abs(np.abs(look.spectrum.ratios) - abs(course.ratio))
    here = look.spectrum.power[away <= max(SAME * abs(course.ratio), float(away.min()))]
    return bool(clock.power.max() > BY_CLOCK * here.max())


def _by_clock(course: PhaseCourse, angles_rad: Floats, times_s: Floats) -> bool:
    """Whether a phase lacks what the wheel's unevenness would do to it, as far as that can be told."""
    assert course.pull is not None
    smooth = smooth_slip(path_of(angles_rad), course.ratio)
    lacks = share_by_clock(course.pull, smooth, angles_rad, times_s, course.ratio)
    return bool(lacks.s < CLEAR_SHARE and lacks.n > 0.5)


def _decide(
    look: _Look, angles_rad: Floats, angle_std_rad: float, spokes: tuple[int, ...]
) -> FlyerFound | NotMeasured:
    """Candidates of one patch that stay, or why there is none."""
    courses = _followed(look.cutout, look.patch, angles_rad, look.spectrum)
    if not courses:
        return NOTHING_TURNS
    chance = _chance(look.cutout, courses[0], angles_rad)
    if courses[0].explained.sum() < ABOVE_CHANCE * chance.sum():
        return NOTHING_TURNS
    unlike = half_turns_differ(look.cutout, courses[0].phase_rad)
    best = _whole_turns(courses, chance, unlike)
    if best is None or not _believable(best, chance, spokes, angles_rad):
        return NOTHING_TURNS
    if best.explained[1:].sum() < NOT_SMEARED * chance[1:].sum():
        return SMEARED
    pictures_per_turn = len(angles_rad) * 2 * np.pi / float(np.sum(np.abs(np.diff(angles_rad))))
    judge = Judge(look.cutout, best, chance, pictures_per_turn, angle_std_rad, unlike, tuple(courses))
    doubles = [c for c in courses if same_ratio(c.ratio, 2 * best.ratio) and not judge.stays(c)]
    rivals = [
        c
        for c in courses
        if c is not best
        and judge.stays(c)
        and not _falls_with(c, doubles)
        and not _in_step(c.ratio, spokes, angles_rad)
    ]
    kept = tuple(
        Candidate(sharpened(look.cutout, c, angles_rad), float(c.explained.sum() / chance.sum()))
        for c in [best, *rivals]
    )
    forward = look.spectrum.ratios > 0
    # The spectrum that is shown says nothing of the way round.
    power = np.maximum(look.spectrum.power[forward], look.spectrum.power[~forward][::-1])
    return FlyerFound(kept, look.spectrum.ratios[forward], power)


def _believable(best: PhaseCourse, chance: Floats, spokes: tuple[int, ...], angles_rad: Floats) -> bool:
    """Whether the best course is neither the spokes' nor too weak for so rare a ratio."""
    rare = abs(best.ratio) > RARE and best.explained.sum() < RARER_TIMES * ABOVE_CHANCE * chance.sum()
    return not rare and not _in_step(best.ratio, spokes, angles_rad)


def _in_step(ratio: float, spokes: tuple[int, ...], angles_rad: Floats) -> bool:
    """Whether a ratio keeps step with an order that the wheel's own picture shows."""
    turns = float(np.sum(np.abs(np.diff(angles_rad)))) / (2 * np.pi)
    return any(abs(abs(ratio) - order) * turns < IN_STEP_TURNS for order in spokes)


def _chance(cutout: Cutout, best: PhaseCourse, angles_rad: Floats) -> Floats:
    """Usual explained power (k,) of ratios at which nothing turns."""
    nothing = [explained_by_chance(cutout, best.plane, angles_rad, best.ratio * m) for m in NOWHERE]
    return np.asarray(np.median(nothing, axis=0), dtype=np.float64)


def _whole_turns(courses: list[PhaseCourse], chance: Floats, unlike: bool) -> PhaseCourse | None:
    """Return the best course, or that at half its ratio where half turns differ; None if it was not found."""
    best = courses[0]
    halved = next((c for c in courses if same_ratio(2 * c.ratio, best.ratio)), None)
    if halved is not None and (unlike or winds_oddly(halved, chance)):
        return halved
    return None if unlike and not winds_oddly(best, chance) else best


def _followed(
    cutout: Cutout, patch: TurningPlane, angles_rad: Floats, spectrum: OrderSpectrum
) -> list[PhaseCourse]:
    """Follow the likeliest candidates; keep those that look like something with two arms, the best first.

    Of courses with the same ratio (either way round) only the best is kept.
    """
    looks = sorted(_ratios_to_try(spectrum), key=lambda r: -quick_look(cutout, patch, angles_rad, r))
    tried = looks[:FOLLOWED]
    tried += [
        r for r in looks[FOLLOWED:] if any(same_ratio(2 * r, t) or same_ratio(r, 2 * t) for t in looks[:1])
    ]
    courses = [follow_ratio(cutout, patch, angles_rad, ratio, passes=1) for ratio in tried]
    # A second pass sharpens those that may win; where it leads away from what explains more, it is left.
    enough = CLOSE * max((weight(c) for c in courses), default=0.0)
    for i, first in enumerate(courses):
        if weight(first) > enough:
            plane = replace(first.plane, squeeze=patch.squeeze)
            courses[i] = max(first, follow_ratio(cutout, plane, angles_rad, first.ratio), key=weight)
    kept: list[PhaseCourse] = []
    for course in sorted(courses, key=lambda c: -weight(c)):
        if np.argmax(course.explained) < 2 and not any(same_ratio(course.ratio, k.ratio) for k in kept):
            kept.append(course)
    return kept


def _ratios_to_try(spectrum: OrderSpectrum) -> list[float]:
    """Take the spectrum's peaks, and half and twice the highest."""
    tops = [float(spectrum.ratios[i]) for i in peaks(spectrum)]
    low, high = np.abs(spectrum.ratios).min(), np.abs(spectrum.ratios).max()
    for ratio in [tops[0] * m for m in (0.5, 2.0)] if tops else []:
        if low <= abs(ratio) <= high and not any(ratio * top > 0 and same_ratio(ratio, top) for top in tops):
            tops.append(ratio)
    return tops


def _falls_with(rival: PhaseCourse, doubles: list[PhaseCourse]) -> bool:
    """Whether a rival is only a weaker reading of a double that fell, about the same wrong axis."""
    return any(
        math.dist(rival.plane.centre_px, double.plane.centre_px) < SAME_AXIS * double.plane.radius_px
        and weight(rival) < weight(double)
        for double in doubles
    )
