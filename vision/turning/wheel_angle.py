"""The wheel's angle over time, from all angular harmonics of its picture at once.

Spokes alone repeat: where they move more than half their spacing between two pictures, every harmonic of the
spokes allows several speeds. All other harmonics (small differences between spokes, grain of the rim, a tape)
allow one speed only. So: a smooth path of speed through the correlation of neighbouring pictures; then the
same path with the spokes' ambiguities added; the one that makes the texture of the whole clip agree is right.
Then the place of the axle, the tilt, the perspective and the camera's read-out are fitted together with the
angles, and each picture is compared with the texture learnt from all.
"""

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .each_picture import refined, set_right
from .joint_fit import CENTRE_AND_SQUEEZE, coherence, moved, settle, texture_of
from .polar import Cutout, TurningPlane, angular_harmonics, levelled
from .smoothing import local_fit, scatter_about_course
from .steps import FASTEST_RAD_S, ambiguities, neighbour_agreement, smoothest_steps
from .textures import follow_learnt_texture, follow_running_texture

Harmonics = NDArray[np.complex64]
Angles = NDArray[np.float64]

#: Rings that take part, as shares of the radius: near the axle a small shift is a large angle.
RADII = np.linspace(0.4, 1.02, 18)
#: Angular harmonics in which the wheel is followed.
HARMONICS = 48
#: Few of them: less sharp, but less easily led astray.
FEW = 20
#: Angular harmonics of the fits, from those that a badly placed axle leaves whole to the sharp ones.
FIRST_FIT, FULL_FIT = (6, 10, 16, 20, 20), (10, 16, 28, 40, 40, 40)
#: Centres that are tried round the first guess, in radii, until the wheel turns clearly about one.
STAR = ((0.0, 0.0), (0.08, 0.0), (-0.08, 0.0), (0.0, 0.08), (0.0, -0.08))
#: Those that are tried where other things move in the picture too, so that the first guess is a poor one.
WIDE_STAR = tuple(
    (round(reach * math.cos(turn), 3), round(reach * math.sin(turn), 3))
    for reach, points in ((0.0, 1), (0.2, 6), (0.4, 6))
    for turn in (2 * math.pi * i / points for i in range(points))
)
#: So much coherence after the first fit ends the search for a better centre.
CLEARLY = 0.3
#: The speed is taken from the angles over so many seconds to each side.
SPEED_S = 0.12
#: Courses that end so far apart are different readings of the spokes.
DIFFERENT_RAD = 1.0
#: A reading that explains this share of what the best one does, or more than it in any third of the clip, may
#: be the true one.
NEARLY_AS_WELL = 0.9
#: So far beside the spokes' orders nothing of them shows about an axle that is placed roughly.
ASIDE = 3
#: An order is one of the spokes' if it is so many times as strong as the median of so many to either side.
ABOVE_BESIDE, BESIDE = 4.0, 3
#: A harmonic stands out if a turning explains so many times what chance does: of all that are looked at
#: chance brings out less than one, for their powers are spread like a chi-square of two degrees of freedom
#: or more.
OUT_OF_CHANCE = 4.0
#: Courses at which nothing turns, as multiples of the one that was found. What only changes slowly (a hand, a
#: curtain, the light) is explained by them nearly as well.
#: None is a whole number away from 1, for like spokes allow such speeds too.
ELSEWHERE = (-1.31, -0.83, -0.57, 0.43, 1.61)
#: A wheel shows at least this share of its texture an odd number of times round.
LEAST_ODD_SHARE = 0.05
#: Pictures that are used to place the axle: about ten turns say enough.
ENOUGH_PICTURES = 400


@dataclass(frozen=True, slots=True)
class AngleCourse:
    """Wheel angle in each picture, positive anticlockwise, 0 in the first.

    Attributes
    ----------
    coherence : float
        Share of the change in the pictures that this turning explains, from 0 to 1.
    rival_coherence : float
        The same for the best other reading of the spokes.
    rms_rad : float
        Scatter of the angle about its smooth course.
    misplaced_std_rad : float
        Standard uncertainty of an angle that a misplaced plane leaves.
    times_elsewhere : float
        How many times as much this turning explains as other courses at which nothing turns: backwards,
        slower, faster.
    telling_share : float or None
        Of the harmonics that another reading of the spokes would not explain, the share that stands out; None
        where no other reading is a speed at which a wheel turns.
    spokes : tuple of int
        Orders in which the wheel's picture is clearly stronger than in those beside them: as a rule its
        spokes.
    """

    angles_rad: Angles
    coherence: float
    rival_coherence: float
    rms_rad: float = float("nan")
    misplaced_std_rad: float = float("nan")
    times_elsewhere: float = 0.0
    telling_share: float | None = None
    spokes: tuple[int, ...] = ()


def settle_wheel(
    cutout: Cutout,
    plane: TurningPlane,
    times_s: Angles,
    rows_across: bool = False,
    star: tuple[tuple[float, float], ...] = STAR,
) -> tuple[TurningPlane, AngleCourse]:
    """Place the axle and all else that the picture tells of the plane, and follow the wheel.

    Parameters
    ----------
    plane : TurningPlane
        First guess: centre within about a tenth of the radius, no tilt.
    rows_across : bool
        Whether the camera reads out from side to side of the upright picture, not from top to bottom.
    star : tuple of tuple of float
        Where the centre may be instead, in radii from the first guess.
    """
    first = (len(times_s) - min(len(times_s), ENOUGH_PICTURES)) // 2
    some = slice(first, first + ENOUGH_PICTURES)
    part = replace(cutout, pixels=np.ascontiguousarray(cutout.pixels[:, some]))
    plane, angles = _placed(part, plane, times_s[some], star)
    free = (*CENTRE_AND_SQUEEZE, 4, 5, 6 if rows_across else 7)
    speeds = local_fit(times_s[some], angles, SPEED_S)[1]
    plane, angles = settle(part, plane, angles, RADII, FULL_FIT, free=free, speeds_rad_s=speeds)
    course = _follow(cutout, plane, times_s, angles if len(angles) == len(times_s) else None)
    return plane, replace(
        course,
        rms_rad=scatter_about_course(times_s, course.angles_rad),
        spokes=_spokes(cutout, plane, course.angles_rad),
    )


def _spokes(cutout: Cutout, plane: TurningPlane, angles: Angles) -> tuple[int, ...]:
    """Orders of the wheel's texture that stand above those beside them."""
    texture = texture_of(angular_harmonics(cutout, plane, RADII, HARMONICS), angles)
    power = np.sum(np.abs(texture) ** 2, axis=0)
    beside = np.lib.stride_tricks.sliding_window_view(np.pad(power, BESIDE, mode="reflect"), 2 * BESIDE + 1)
    return tuple(int(k) + 1 for k in np.flatnonzero(power > ABOVE_BESIDE * np.median(beside, axis=1)))


def _placed(
    cutout: Cutout, plane: TurningPlane, times_s: Angles, star: tuple[tuple[float, float], ...]
) -> tuple[TurningPlane, Angles]:
    """Find the first centre of the star about which the wheel turns clearly, or the best; fitted coarsely."""
    best: tuple[float, TurningPlane, Angles] | None = None
    for shift in star:
        start = moved(plane, np.array(shift))
        first = follow_wheel(_rings(cutout, start)[:, :, :FEW], times_s)
        start, angles = settle(cutout, start, first.angles_rad, RADII, FIRST_FIT)
        rings = _rings(cutout, start)[:, :, :FEW]
        found = _course(rings, angles, first.rival_coherence)
        if found.coherence < CLEARLY or found.rival_coherence > 0:
            # About a better axle another course may come out.
            found = follow_wheel(rings, times_s)
        if best is None or found.coherence > best[0]:
            best = (found.coherence, start, found.angles_rad)
        if best[0] > CLEARLY:
            break
    assert best is not None
    return best[1], best[2]


def repeats_after_half_a_turn(cutout: Cutout, plane: TurningPlane, course: AngleCourse) -> bool:
    """Whether what turns has two arms and looks the same after half a turn: a flyer does.

    A wheel's rim and grain do not, and where its spokes are all alike there are more of them than two.
    """
    texture = texture_of(angular_harmonics(cutout, plane, RADII, HARMONICS), course.angles_rad)
    power = RADII @ np.abs(texture) ** 2
    return bool(power[::2].sum() < LEAST_ODD_SHARE * power.sum() and np.argmax(power) == 1)


def follow_wheel(rings: Harmonics, times_s: Angles) -> AngleCourse:
    """Angle of the wheel in every picture.

    Parameters
    ----------
    rings : (n, r, k) complex array
        Angular harmonics of :func:`.polar.angular_harmonics`.
    times_s : (n,) array
    """
    gap_s = float(np.median(np.diff(times_s)))
    agreement = neighbour_agreement(rings, gap_s)
    steps = smoothest_steps(agreement, np.diff(times_s))
    readings = steps[None, :] + ambiguities(agreement, steps, gap_s)[:, None]
    followed = follow_running_texture(rings, readings)
    courses = [(coherence(rings, angles), angles) for angles in followed]
    order = sorted(range(len(courses)), key=lambda i: -courses[i][0])
    best = courses[order[0]]
    rival = max((courses[i][0] for i in order[1:] if _rivals(rings, courses[i][1], best)), default=0.0)
    again = follow_learnt_texture(rings, readings[order[0]], best[1])
    return _course(rings, again if coherence(rings, again) > best[0] else best[1], rival)


def _rivals(rings: Harmonics, angles: Angles, best: tuple[float, Angles]) -> bool:
    """Whether another reading of the spokes might be the true one.

    Two readings may end in the same course; then they are one. And like spokes explain much of the picture at
    any reading, but the little that differs between them speaks for the true one from beginning to end.
    """
    if abs(angles[-1] - best[1][-1]) < DIFFERENT_RAD:
        return False
    if coherence(rings, angles) > NEARLY_AS_WELL * best[0]:
        return True
    ends = np.linspace(0, len(rings), 4).astype(int)
    return any(
        coherence(rings[a:b], angles[a:b]) > coherence(rings[a:b], best[1][a:b]) for a, b in pairwise(ends)
    )


def _course(rings: Harmonics, angles: Angles, rival_coherence: float, *, stay: bool = False) -> AngleCourse:
    angles = refined(rings, angles, stay=stay)
    return AngleCourse(angles - angles[0], coherence(rings, angles), rival_coherence)


def _follow(cutout: Cutout, plane: TurningPlane, times_s: Angles, known: Angles | None = None) -> AngleCourse:
    """Follow by many harmonics, and by few (which forgive more) or from known angles; keep the better.

    With the speed known, what the read-out bends is set right, and the angles are refined once more.
    """
    rings = _rings(cutout, plane)
    afresh = follow_wheel(rings, times_s)
    other = follow_wheel(rings[:, :, :FEW], times_s).angles_rad if known is None else known
    courses = [afresh, _course(rings, other, afresh.rival_coherence)]
    best = max(courses, key=lambda c: c.coherence)
    rings = _rings(cutout, plane, local_fit(times_s, best.angles_rad, SPEED_S)[1])
    course = _course(rings, set_right(rings, best.angles_rad, times_s), best.rival_coherence, stay=True)
    telling_share = _telling_share(rings, course.angles_rad, times_s)
    return replace(
        course,
        misplaced_std_rad=_misplaced_std_rad(rings, course.angles_rad),
        times_elsewhere=_times_elsewhere(rings, course.angles_rad),
        telling_share=telling_share,
    )


def _times_elsewhere(rings: Harmonics, angles: Angles) -> float:
    """How many times as much a course explains as the best of those at which nothing turns."""
    elsewhere = max(coherence(rings, share * angles) for share in ELSEWHERE)
    return coherence(rings, angles) / (elsewhere + 1e-12)


def _telling_share(rings: Harmonics, angles: Angles, times_s: Angles) -> float | None:
    """Of the harmonics that tell this reading of the spokes from others, the share that stands out.

    What repeats s times round is explained as well by a turning that is 1/s turn faster a picture: such
    spokes leave open which it is, however clear they are, unless that would be too fast for a wheel. About a
    misplaced axle, or aslant, they show in the orders beside theirs too, which tell no more.
    """
    by_chance = np.mean(np.abs(rings) ** 2, axis=0).sum(axis=0) / len(rings)
    times_chance = np.sum(np.abs(texture_of(rings, angles)) ** 2, axis=0) / (by_chance + 1e-30)
    out = times_chance > OUT_OF_CHANCE
    alike = 1 + int(np.argmax(times_chance > times_chance.max() / 2))
    speed = float(np.median(np.abs(np.diff(angles) / np.diff(times_s))))
    apart = 2 * np.pi / alike / float(np.median(np.diff(times_s)))
    if abs(speed - apart) > FASTEST_RAD_S:
        return None
    order = np.arange(1, len(out) + 1)
    beside = np.abs(order - alike * np.maximum(np.round(order / alike), 1))
    return float(out[beside >= min(ASIDE, (alike + 1) // 2)].mean()) if alike > 1 else 1.0


def _misplaced_std_rad(rings: Harmonics, angles: Angles) -> float:
    """Estimate the standard uncertainty of an angle that a misplaced plane leaves.

    A wrong axle bends the angle most near the axle, a wrong read-out most at the rim. So the inner and the
    outer rings are read by themselves: by how much they differ shows how wrong both may be.
    """
    middle = len(RADII) // 2
    inner, outer = (refined(part, angles, rounds=2) for part in (rings[:, :middle], rings[:, middle:]))
    return float(np.std(inner - outer))


def _rings(cutout: Cutout, plane: TurningPlane, speeds_rad_s: Angles | None = None) -> Harmonics:
    return levelled(angular_harmonics(cutout, plane, RADII, HARMONICS, speeds_rad_s))
