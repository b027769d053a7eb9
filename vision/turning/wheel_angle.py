"""The wheel's angle over time, from all angular harmonics of its picture at once.

Spokes alone repeat: where they move more than half their spacing between two pictures, every harmonic of the
spokes allows several speeds. All other harmonics (small differences between spokes, grain of the rim, a tape)
allow one speed only. So: a smooth path of speed through the correlation of neighbouring pictures; then the
same path with the spokes' ambiguities added; the one that makes the texture of the whole clip agree is right.
Then each picture is compared with the texture learnt from all.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .joint_fit import coherence, moved, settle, texture_of
from .polar import Cutout, TurningPlane, angular_harmonics, levelled
from .smoothing import scatter_about_course

Harmonics = NDArray[np.complex64]
Angles = NDArray[np.float64]

#: Fastest turning that is looked for, in rad/s (4 turns a second: nobody treadles faster).
FASTEST_RAD_S = 8 * np.pi
#: How fast the speed of a heavy wheel may change: standard deviation in rad/s per square root of s.
RESTLESSNESS = 6.0
#: Bins of the circle in which neighbouring pictures are compared.
BINS = 1024
#: Memory of the running texture, in pictures.
MEMORY = 60.0
#: Rings that take part, as shares of the radius: near the axle a small shift is a large angle.
RADII = np.linspace(0.4, 1.02, 18)
#: Angular harmonics in which the wheel is followed.
HARMONICS = 48
#: Few of them: less sharp, but less easily led astray.
FEW = 20
#: Angular harmonics of the fit, from those that a badly placed axle leaves whole to the sharp ones.
COARSE_TO_FINE = (10, 16, 28, 40, 40)
#: Centres that are tried round the first guess, in radii.
STAR = ((0.0, 0.0), (0.05, 0.0), (-0.05, 0.0), (0.0, 0.05), (0.0, -0.05))
#: Standard uncertainty of the axle's place along each direction, in radii.
AXLE_STD = 0.03
#: Courses that end so far apart are different readings of the spokes.
DIFFERENT_RAD = 1.0
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
    """

    angles_rad: Angles
    coherence: float
    rival_coherence: float
    rms_rad: float


def settle_wheel(cutout: Cutout, plane: TurningPlane, times_s: Angles) -> tuple[TurningPlane, AngleCourse]:
    """Place the axle and the tilt, and follow the wheel.

    Parameters
    ----------
    plane : TurningPlane
        First guess: centre within about a tenth of the radius, no tilt.
    """
    first = (len(times_s) - min(len(times_s), ENOUGH_PICTURES)) // 2
    some = slice(first, first + ENOUGH_PICTURES)
    part = replace(cutout, pixels=np.ascontiguousarray(cutout.pixels[:, some]))
    starts = [moved(plane, np.array([*shift, 0.0, 0.0])) for shift in STAR]
    courses = [_follow(part, start, times_s[some]) for start in starts]
    best = int(np.argmax([course.coherence for course in courses]))
    plane, angles = settle(part, starts[best], courses[best].angles_rad, RADII, COARSE_TO_FINE)
    course = _follow(cutout, plane, times_s)
    if len(angles) == len(times_s):
        # Started afresh, the spokes may be read wrongly where the first reading was right.
        kept = _course(_rings(cutout, plane), angles, course.rival_coherence, times_s)
        course = max(course, kept, key=lambda c: c.coherence)
    return plane, course


def repeats_after_half_a_turn(cutout: Cutout, plane: TurningPlane, course: AngleCourse) -> bool:
    """Whether what turns looks the same after half a turn: a flyer does, a wheel's rim and grain do not."""
    texture = texture_of(angular_harmonics(cutout, plane, RADII, HARMONICS), course.angles_rad)
    power = RADII @ np.abs(texture) ** 2
    return bool(power[::2].sum() < LEAST_ODD_SHARE * power.sum())


def angle_std(cutout: Cutout, plane: TurningPlane, course: AngleCourse) -> float:
    """Estimate the standard uncertainty (rad) of the angle between two pictures that a misplaced axle leaves.

    The axle is placed to a few hundredths of the radius. Moving it by so much and reading the angles
    again shows how much the angle between the first and the last picture can depend on it.
    """
    changes = []
    for shift in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        shifted = moved(plane, np.array([*shift, 0, 0]) * AXLE_STD)
        angles = _refine(_rings(cutout, shifted), course.angles_rad, rounds=2)
        apart = (angles - angles[0]) - course.angles_rad
        changes.append(np.sqrt(np.mean(apart**2) * 2))
    return float(np.sqrt(np.mean(np.square(changes)) * 2))


def follow_wheel(rings: Harmonics, times_s: Angles) -> AngleCourse:
    """Angle of the wheel in every picture.

    Parameters
    ----------
    rings : (n, r, k) complex array
        Angular harmonics of :func:`.polar.angular_harmonics`.
    times_s : (n,) array
    """
    agreement = _neighbour_agreement(rings)
    steps = _smoothest_steps(agreement, np.diff(times_s))
    courses = []
    for shift in _ambiguities(agreement, steps):
        angles = _follow_running_texture(rings, steps + shift)
        courses.append((coherence(rings, angles), angles))
    courses.sort(key=lambda c: -c[0])
    # Two readings of the spokes may end in the same course: only a different one is a rival.
    best = courses[0][1]
    rival = max((c for c, angles in courses if abs(angles[-1] - best[-1]) > DIFFERENT_RAD), default=0.0)
    return _course(rings, courses[0][1], rival, times_s)


def _course(rings: Harmonics, angles: Angles, rival_coherence: float, times_s: Angles) -> AngleCourse:
    angles = _refine(rings, angles)
    return AngleCourse(
        angles_rad=angles - angles[0],
        coherence=coherence(rings, angles),
        rival_coherence=rival_coherence,
        rms_rad=scatter_about_course(times_s, angles),
    )


def _follow(cutout: Cutout, plane: TurningPlane, times_s: Angles) -> AngleCourse:
    """Follow by many harmonics and by few (which forgive more); what explains more is right."""
    rings = _rings(cutout, plane)
    few = follow_wheel(rings[:, :, :FEW], times_s)
    courses = [follow_wheel(rings, times_s), _course(rings, few.angles_rad, few.rival_coherence, times_s)]
    return max(courses, key=lambda c: c.coherence)


def _rings(cutout: Cutout, plane: TurningPlane) -> Harmonics:
    return levelled(angular_harmonics(cutout, plane, RADII, HARMONICS))


def _neighbour_agreement(rings: Harmonics) -> NDArray[np.float32]:
    """(n - 1, BINS): correlation of each picture, turned by every bin's angle, with the next one."""
    count = rings.shape[2]
    cross = np.einsum("trk,trk->tk", rings[:-1], np.conj(rings[1:]))
    norm = np.sqrt(np.sum(np.abs(rings) ** 2, axis=(1, 2)))
    spectrum = np.zeros((len(cross), BINS // 2 + 1), np.complex64)
    spectrum[:, 1 : count + 1] = np.conj(cross)
    turned = np.fft.irfft(spectrum, n=BINS, axis=1) * (BINS / 2)
    return np.asarray(turned / (norm[:-1] * norm[1:] + 1e-9)[:, None], dtype=np.float32)


def _smoothest_steps(agreement: NDArray[np.float32], gaps_s: Angles) -> Angles:
    """Best path (Viterbi) of the speed through the agreement of neighbours; returns angle steps."""
    usual = float(np.median(gaps_s))
    fine = 2 * np.pi / BINS / usual
    half = int(min(FASTEST_RAD_S, 0.9 * np.pi / usual) / fine)
    speeds = np.arange(-half, half + 1) * fine
    bins = np.round(speeds[None, :] * gaps_s[:, None] / (2 * np.pi) * BINS).astype(int)
    gain = np.take_along_axis(agreement, bins % BINS, axis=1) * 20.0
    reach = max(2, int(4 * RESTLESSNESS * np.sqrt(usual) / fine))
    moves = np.arange(-reach, reach + 1)
    best = gain[0].astype(float)
    back = np.zeros((len(gain), len(speeds)), int)
    for t in range(1, len(gain)):
        cost = 0.5 * (moves * fine) ** 2 / (RESTLESSNESS**2 * gaps_s[t])
        padded = np.pad(best, reach, constant_values=-np.inf)
        offers = np.lib.stride_tricks.sliding_window_view(padded, len(moves)) - cost
        choice = offers.argmax(axis=1)
        back[t] = np.arange(len(speeds)) + moves[choice]
        best = offers[np.arange(len(speeds)), choice] + gain[t]
    path = np.zeros(len(gain), int)
    path[-1] = int(best.argmax())
    for t in range(len(gain) - 1, 0, -1):
        path[t - 1] = back[t, path[t]]
    return np.asarray(speeds[path] * gaps_s, dtype=np.float64)


def _ambiguities(agreement: NDArray[np.float32], steps: Angles, most: int = 7) -> Angles:
    """Angles per picture that could be added to every step: 0 and the other peaks of the agreement."""
    bins = np.round(steps / (2 * np.pi) * BINS).astype(int)
    columns = (bins[:, None] + np.arange(BINS)[None, :]) % BINS
    total = np.take_along_axis(agreement, columns, axis=1).mean(axis=0)
    peak = (total > np.roll(total, 1)) & (total >= np.roll(total, -1)) & (total > 0.2 * total.max())
    shifts = np.flatnonzero(peak)
    shifts = shifts[np.argsort(-total[shifts])][:most]
    angles = (shifts + BINS // 2) % BINS - BINS // 2
    moving = np.abs(steps + angles[:, None] * 2 * np.pi / BINS).max(axis=1) < 0.95 * np.pi
    return np.unique(np.append(angles[moving], 0)) * (2 * np.pi / BINS)


def _follow_running_texture(rings: Harmonics, steps: Angles) -> Angles:
    """Turn each picture onto the texture of those before it, starting from the angle that the steps give."""
    count, _, harmonics = rings.shape
    k = np.arange(1, harmonics + 1)
    offsets = np.linspace(-1, 1, 41) * (np.pi / 36)
    turn = np.exp(1j * np.outer(k, offsets))
    texture = rings[0].astype(np.complex128)
    angles = np.zeros(count)
    drift = 0.0
    for t in range(1, count):
        guess = angles[t - 1] + steps[t - 1] + drift
        cross = np.sum(rings[t] * np.conj(texture), axis=0) * np.exp(1j * k * guess)
        offset = _peak(np.real(cross @ turn), offsets)
        angles[t] = guess + offset
        drift += 0.1 * (offset - drift)
        texture += (rings[t] * np.exp(1j * k * angles[t]) - texture) / min(t + 1, MEMORY)
    return angles


def _refine(rings: Harmonics, angles: Angles, rounds: int = 4) -> Angles:
    """Compare every picture with the texture learnt from the whole clip, until it settles."""
    k = np.arange(1, rings.shape[2] + 1)
    offsets = np.linspace(-1, 1, 61) * (np.pi / 36)
    turn = np.exp(1j * np.outer(k, offsets))
    for _ in range(rounds):
        texture = texture_of(rings, angles)
        weight = np.abs(texture) ** 2
        weight = weight / (weight + np.median(weight) + 1e-12)
        cross = np.einsum("trk,rk->tk", rings, np.conj(texture) * weight) * np.exp(1j * np.outer(angles, k))
        curves = np.real(cross @ turn)
        angles = angles + np.array([_peak(curve, offsets) for curve in curves])
    return angles


def _peak(curve: NDArray[np.float64], at: Angles) -> float:
    """Place of the highest point of an evenly sampled curve, between samples by a parabola."""
    i = int(np.argmax(curve))
    if i in (0, len(curve) - 1):
        return float(at[i])
    left, mid, right = curve[i - 1 : i + 2]
    bend = left - 2 * mid + right
    shift = 0.0 if bend == 0 else 0.5 * (left - right) / bend
    return float(at[i] + shift * (at[1] - at[0]))
