"""Following the phase of what turns at a ratio to the wheel, and with it the course of the slip.

The order spectrum's peak is broad, because slip varies. So the peak only starts the search: the ratio is
followed from window to window, integrated to a phase, and the phase is fitted to all pictures together with
the place of the axis. All turns of the one over all turns of the other is the effective ratio.
"""

from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from .joint_fit import SmoothAngles, coherence, moved, settle, texture_of
from .orders import path_of, winding_power, window_weights
from .polar import Cutout, TurningPlane, angular_harmonics, harmonics_about_each, levelled
from .repeating import Pull, refined
from .smoothing import memory_of

Floats = NDArray[np.float64]

#: Slip varies by up to about this share while one spins (standard deviation).
SLIP_VARIES = 0.005
#: One free knot of the slip's course for so many turns of the wheel.
KNOT_TURNS = 1.5
#: Rings and harmonics in which the flyer is seen.
RADII = np.linspace(0.25, 1.0, 10)
HARMONICS = 8
ROUNDS = (2, 4, 8, 8)
#: Few of them, for a first look at many places.
FEW_RADII, FEW_HARMONICS = RADII[::2], 4


@dataclass(frozen=True, slots=True)
class PhaseCourse:
    """What turns at a ratio to the wheel, followed through the clip.

    Attributes
    ----------
    phase_rad : (n,) array
        Its angle in every picture, positive anticlockwise.
    ratio : float
        Its way over the wheel's way; negative where it turns against the wheel.
    explained : (k,) array
        How much of the changing picture turns with this phase and winds k = 1, 2, ... times round the axis,
        per unit of area, in units of the pixels' own spread.
    turns_std : float
        Standard uncertainty of its turns from the first picture to the last; infinite until it is
        :func:`sharpened`.
    pull : Pull, optional
        How far each picture departs from this course, once it is sharpened.
    """

    plane: TurningPlane
    phase_rad: Floats
    ratio: float
    explained: Floats
    turns_std: float = float("inf")
    pull: Pull | None = None


def flyer_rings(cutout: Cutout, plane: TurningPlane) -> NDArray[np.complex64]:
    """Angular harmonics of the flyer, each brought to the same level."""
    return levelled(_seen(cutout, plane))


def _seen(cutout: Cutout, plane: TurningPlane) -> NDArray[np.complex64]:
    """Angular harmonics of the flyer: many ratios are looked for about the same few places."""
    return cutout.remembered(plane, lambda: angular_harmonics(cutout, plane, RADII, HARMONICS))


def explained_by(cutout: Cutout, plane: TurningPlane, phase_rad: Floats, some: slice = slice(None)) -> Floats:
    """(k,) what a texture that turns with a phase explains, in ``some`` of the pictures."""
    rings = _seen(cutout, plane)[some]
    texture = texture_of(rings, phase_rad[some])
    return np.asarray(RADII @ np.abs(texture) ** 2 / RADII.sum(), dtype=np.float64)


def quick_look(cutout: Cutout, plane: TurningPlane, angles_rad: Floats, ratio: float) -> float:
    """Tell roughly what turning at about ``ratio`` explains, before the axis is placed well."""
    phase = _phase_along_ridge(cutout, plane, angles_rad, ratio)
    return float(explained_by(cutout, _best_start(cutout, plane, phase, (0.2,)), phase).sum())


def follow_ratio(
    cutout: Cutout, plane: TurningPlane, angles_rad: Floats, ratio: float, passes: int = 2
) -> PhaseCourse:
    """Follow what turns at about ``ratio`` (within two per cent) to the wheel; one pass is rougher."""
    path = path_of(angles_rad)
    smooth = smooth_slip(path, ratio)
    plane, phase = _settled(cutout, plane, angles_rad, ratio, smooth, passes)
    return PhaseCourse(
        plane=plane,
        phase_rad=phase - phase[0],
        ratio=float(np.sum(np.abs(np.diff(phase))) / path[-1]) * float(np.sign(ratio)),
        explained=explained_by(cutout, plane, phase),
    )


def explained_by_chance(cutout: Cutout, plane: TurningPlane, angles_rad: Floats, ratio: float) -> Floats:
    """(k,) what is explained at a ratio at which nothing turns, about an axis that was found at another."""
    phase = _phase_along_ridge(cutout, plane, angles_rad, ratio)
    smooth = smooth_slip(path_of(angles_rad), ratio)
    settled = settle(cutout, plane, phase, RADII, ROUNDS, smooth, squeeze_about=plane.squeeze)
    return explained_by(cutout, *settled)


def sharpened(cutout: Cutout, course: PhaseCourse, angles_rad: Floats) -> PhaseCourse:
    """Refine a course by what each place shows again and again, and weigh what speaks against it.

    Its uncertainty is the noise of single pictures, how much the inner and the outer half of the picture
    disagree, and how far the refinement led.
    """
    path = path_of(angles_rad)
    smooth = smooth_slip(path, course.ratio)
    rings, middle = flyer_rings(cutout, course.plane), len(RADII) // 2
    phase, pull = refined(rings, course.phase_rad, smooth, cutout.taken_out)
    inner, outer, first = (
        float(p[-1] - p[0]) / (2 * np.pi)
        for p in (
            refined(rings[:, :middle], phase, smooth, cutout.taken_out)[0],
            refined(rings[:, middle:], phase, smooth, cutout.taken_out)[0],
            course.phase_rad,
        )
    )
    led = float(phase[-1] - phase[0]) / (2 * np.pi) - first
    doubts = np.array([_turns_std(pull, smooth), (inner - outer) / np.sqrt(2), led / np.sqrt(2)])
    return replace(
        course,
        phase_rad=phase - phase[0],
        ratio=float(np.sum(np.abs(np.diff(phase))) / path[-1]) * float(np.sign(course.ratio)),
        turns_std=float(np.linalg.norm(doubts)),
        pull=pull,
    )


def _phase_along_ridge(cutout: Cutout, plane: TurningPlane, angles_rad: Floats, ratio: float) -> Floats:
    """First phase: the local ratio, integrated over the wheel's angle."""
    path = path_of(angles_rad)
    local = _local_ratios(flyer_rings(cutout, plane), angles_rad, ratio)
    steps = np.interp((path[1:] + path[:-1]) / 2, *local) * np.diff(angles_rad)
    return np.concatenate([[0.0], np.cumsum(steps)])


def _settled(
    cutout: Cutout,
    plane: TurningPlane,
    angles_rad: Floats,
    ratio: float,
    smooth: SmoothAngles,
    passes: int,
) -> tuple[TurningPlane, Floats]:
    """Fit from the best of many centres, then once more with the phase taken afresh there.

    About a better axis the ratio can be followed better too.
    """
    found: list[tuple[TurningPlane, Floats]] = []
    squeeze = plane.squeeze
    for _ in range(passes):
        phase = _phase_along_ridge(cutout, plane, angles_rad, ratio)
        plane = plane if found else _best_start(cutout, plane, phase)
        found.append(settle(cutout, plane, phase, RADII, ROUNDS, smooth, squeeze_about=squeeze))
        plane = found[-1][0]
    return max(found, key=lambda fit: float(explained_by(cutout, *fit).sum()))


def _best_start(
    cutout: Cutout, plane: TurningPlane, phase: Floats, reaches: tuple[float, ...] = (0.2, 0.08)
) -> TurningPlane:
    """Take the best of many centres: what changes is only roughly centred on the axis."""
    for reach in reaches:
        star = [moved(plane, reach * np.array([i, j])) for i in (-1, 0, 1) for j in (-1, 0, 1)]
        seen = cutout.remembered(
            (plane, reach),
            partial(harmonics_about_each, cutout, star, FEW_RADII, FEW_HARMONICS),
        )
        plane = star[int(np.argmax([coherence(levelled(rings), phase) for rings in seen]))]
    return plane


def _local_ratios(rings: NDArray[np.complex64], angles_rad: Floats, ratio: float) -> tuple[Floats, Floats]:
    """Way turned (rad) in the middle of each window, and the ratio there: the smoothest strong ridge."""
    path = path_of(angles_rad)
    weights = window_weights(path)
    near = ratio * np.linspace(0.97, 1.03, 61)
    power = winding_power(rings, angles_rad, near, weights).sum(axis=1)
    gain = power / (power.mean() + 1e-12) * 3.0
    centres = (weights @ path) / (weights.sum(axis=1) + 1e-12)
    moves = np.subtract.outer(near, near) / (abs(ratio) * SLIP_VARIES)
    cost = np.asarray(0.5 * moves**2, dtype=np.float64)
    best, back = gain[0], []
    for row in gain[1:]:
        offers = best[None, :] - cost
        back.append(offers.argmax(axis=1))
        best = offers.max(axis=1) + row
    track = [int(best.argmax())]
    for choice in reversed(back):
        track.append(int(choice[track[-1]]))
    return centres, near[track[::-1]]


def smooth_slip(path_rad: Floats, ratio: float) -> SmoothAngles:
    """Cubic splines over the way turned; their slope is the departure of the local ratio."""
    whole = float(path_rad[-1])
    pieces = max(2, round(whole / (2 * np.pi * KNOT_TURNS)))
    knots = np.concatenate([[0.0] * 3, np.linspace(0, whole, pieces + 1), [whole] * 3])
    inside = np.clip(path_rad, 0, whole * (1 - 1e-12))
    basis = BSpline.design_matrix(inside, knots, 3).toarray()
    fine = np.linspace(0, whole * (1 - 1e-12), 40 * pieces)
    slope = np.asarray(np.gradient(BSpline.design_matrix(fine, knots, 3).toarray(), fine, axis=0))
    stiffness = slope.T @ slope / len(fine) * pieces / (ratio * SLIP_VARIES * 2) ** 2
    return SmoothAngles(basis, stiffness + 1e-9 * np.eye(stiffness.shape[0]))


def _turns_std(pull: Pull, smooth: SmoothAngles) -> float:
    """Estimate from the scatter of each picture's own phase about the smooth course."""
    noise = _slow_noise(pull.own_rad * np.sqrt(pull.weight), smooth.basis.shape[1])
    normal = smooth.basis.T @ (smooth.basis * pull.weight[:, None]) / noise
    covariance = np.linalg.inv(normal + smooth.stiffness)
    ends = smooth.basis[-1] - smooth.basis[0]
    return float(np.sqrt(ends @ covariance @ ends) / (2 * np.pi))


def _slow_noise(own: Floats, courses: int) -> float:
    """Variance that the noise would have if all of it were as strong as its slow part.

    Slow noise looks like slip, and the fit has swallowed it. Of two readings of how strong it was the larger
    counts: the scatter times its memory, and the spectrum in the octave above what so many courses follow.
    """
    density = np.abs(np.fft.rfft(own - own.mean())) ** 2 / len(own)
    octave = density[courses // 2 : 2 * (courses // 2)]
    return max(float(np.var(own)) * memory_of(own), float(octave.mean()) if len(octave) else 0.0)
