"""Axle, tilt, perspective, read-out and the angle in every picture, fitted together.

About the true axle, seen through the true tilt, one texture that turns explains all pictures. A wrong axle
and a wrong angle can hide each other (both bend the angle within the turn), so they are fitted at once:
Gauss-Newton on the angular harmonics, with the texture taken out (it is their mean).

What a small change of the plane does to a picture is reckoned from the texture itself: in a turning frame it
is one of two maps, mixed by the cosine and sine of the wheel's angle (:func:`_maps`). So a step costs one
sampling of the pictures and a few small products, and the noise of single pictures does not enter the slopes.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .polar import Cutout, TurningPlane, ring_spectra
from .unturned import Unturned, turning_back

Floats = NDArray[np.float64]
Harmonics = NDArray[np.complex64]

#: What may be fitted of a plane: numbers of :func:`moved`. A small thing shows no more than these.
CENTRE_AND_SQUEEZE = (0, 1, 2, 3)
#: Standard deviations of these numbers before anything is seen. Perspective: rim radius over distance times
#: the sine of the tilt, here 1/4 and 15 degrees. Read-out: up to 1/20 s over a picture of three radii.
PRIOR_STD = np.array([1.0, 1.0, 0.3, 0.3, 0.07, 0.07, 0.01, 0.01])
#: Neighbouring rings and harmonics share their noise: they count as one part in so many independent.
SHARED_NOISE = 10.0
#: How far a squeeze may be from where it is expected: a spindle that leans by 6 degrees in a wheel turned
#: away by 30, or arms that reach out along the axis.
SQUEEZE_REACH = 0.12
#: A step that does not explain more is tried again at this share, then given up.
SHORTER = 0.4


@dataclass(frozen=True, slots=True)
class SmoothAngles:
    """Angles that may only differ from where they are by a smooth course.

    Attributes
    ----------
    basis : (n, m) array
        Smooth courses that may be added.
    stiffness : (m, m) array
        How unlikely they are: inverse covariance of their coefficients.
    """

    basis: Floats
    stiffness: Floats


def moved(plane: TurningPlane, p: Floats) -> TurningPlane:
    """Plane with other numbers.

    Parameters
    ----------
    p : (8,) array, or fewer
        Added: centre to the right and down (radii), squeeze (2), perspective (2), read-out (2,
        in s per radius).
    """
    right, down, squeeze, aslant, nearer, upper, later, above = [*map(float, p), *[0.0] * (8 - len(p))]
    return TurningPlane(
        (plane.centre_px[0] + right * plane.radius_px, plane.centre_px[1] + down * plane.radius_px),
        plane.radius_px,
        (plane.squeeze[0] + squeeze, plane.squeeze[1] + aslant),
        (plane.perspective[0] + nearer, plane.perspective[1] + upper),
        (plane.readout_s[0] + later, plane.readout_s[1] + above),
    )


def settle(
    cutout: Cutout,
    plane: TurningPlane,
    angles_rad: Floats,
    radii: Floats,
    schedule: tuple[int, ...],
    smooth: SmoothAngles | None = None,
    free: tuple[int, ...] = CENTRE_AND_SQUEEZE,
    speeds_rad_s: Floats | None = None,
    squeeze_about: tuple[float, float] | None = None,
) -> tuple[TurningPlane, Floats]:
    """Gauss-Newton steps in the plane's numbers and all angles at once.

    Parameters
    ----------
    angles_rad : (n,) array
        Angle in every picture, right to about one part in the first number of harmonics, in rad.
    radii : (r,) array
        Rings that take part, as shares of the radius.
    schedule : tuple of int
        Number of angular harmonics of each step, few first: they forgive a badly placed axle.
    smooth : SmoothAngles, optional
        Where given, angles change only along these courses; otherwise each on its own.
    free : tuple of int
        Which numbers of the plane (see :func:`moved`) are fitted.
    speeds_rad_s : (n,) array, optional
        Speed in every picture; without it nothing is known of the read-out.
    squeeze_about : tuple of float, optional
        Where given, the squeeze stays near it: all that the band joins turns in planes side by side.
    """
    most = max(schedule)

    def seen(plane: TurningPlane, angles_rad: Floats) -> Unturned:
        spectra = ring_spectra(cutout, plane, radii, most, speeds_rad_s)
        return Unturned.of(spectra, angles_rad, cutout.taken_out)

    here = seen(plane, angles_rad)
    for harmonics in schedule:
        step = _Step(here, harmonics, angles_rad, radii, smooth, np.array(free), speeds_rad_s)
        by_plane, by_angle = step.solved()
        for share in (1.0, SHORTER):
            new_plane = _held(moved(plane, share * by_plane), squeeze_about)
            new_angles = angles_rad + share * by_angle
            there = seen(new_plane, new_angles)
            if there.coherence(step.weight) > here.coherence(step.weight):
                plane, angles_rad, here = new_plane, new_angles, there
                break
    return plane, angles_rad


def _held(plane: TurningPlane, squeeze_about: tuple[float, float] | None) -> TurningPlane:
    """Plane whose squeeze is no farther from the given one than it may be."""
    if squeeze_about is None:
        return plane
    apart = np.subtract(plane.squeeze, squeeze_about)
    apart *= min(1.0, SQUEEZE_REACH / (float(np.hypot(*apart)) + 1e-12))
    return replace(plane, squeeze=(squeeze_about[0] + float(apart[0]), squeeze_about[1] + float(apart[1])))


def coherence(rings: Harmonics, angles_rad: Floats) -> float:
    """Share of the rings' power (n, r, k) that one turning texture explains, from 0 to 1."""
    explained = float(np.sum(np.abs(texture_of(rings, angles_rad)) ** 2))
    flat = rings.reshape(-1).view(rings.real.dtype)
    return explained / (float(flat @ flat) / len(rings) + 1e-12)


def texture_of(rings: Harmonics, angles_rad: Floats) -> NDArray[np.complex128]:
    """(r, k) mean of the rings, each picture turned back by its angle."""
    turn = turning_back(angles_rad, rings.shape[2]).T
    return np.asarray(np.mean(rings * turn[:, None, :], axis=0), dtype=np.complex128)


class _Step:
    """One Gauss-Newton step: the maps, how every picture departs along them, and the normal equations."""

    def __init__(
        self,
        seen: Unturned,
        harmonics: int,
        angles_rad: Floats,
        radii: Floats,
        smooth: SmoothAngles | None,
        free: NDArray[np.int_],
        speeds_rad_s: Floats | None,
    ) -> None:
        self.angles_rad, self.smooth, self.free = angles_rad, smooth, free
        self.harmonics = harmonics
        noise = seen.noise(harmonics)
        #: Every part of the texture counts by its noise.
        self.weight = np.asarray(1 / np.sqrt(noise + 1e-3 * noise.max() + 1e-12), np.float32)
        texture = seen.texture[:, :harmonics]
        maps = _maps(texture, radii) * self.weight
        flat = maps.reshape(len(maps), -1)
        self.gram = np.real(flat @ np.conj(flat).T).astype(np.float64)
        weighted = np.conj(flat) * self.weight.ravel()
        rings = seen.rings[:, :harmonics].reshape(flat.shape[1], -1)
        # Departures from the texture, without making them one by one.
        along = np.real(weighted @ rings) - np.real(weighted @ texture.ravel())[:, None]
        self.along = np.asarray(along.T, np.float64)
        self.top_speed_rad_s = 0.0 if speeds_rad_s is None else float(np.abs(speeds_rad_s).max())
        self.mixing = _mixing(angles_rad, speeds_rad_s)[free]
        self.mixing -= self.mixing.mean(axis=1, keepdims=True)

    def solved(self) -> tuple[Floats, Floats]:
        """Changes of the plane's eight numbers and of the angles, each of no more than the fit can see."""
        count, plane = len(self.along), len(self.free)
        basis = np.eye(count) if self.smooth is None else self.smooth.basis
        basis = basis - basis.mean(axis=0)
        grip = self.gram[0, 0]
        by_angle = -(self.mixing @ self.gram[:, 0])
        flat = self.mixing.reshape(plane, -1)
        plane_plane = (self.mixing @ self.gram).reshape(plane, -1) @ flat.T
        plane_plane += SHARED_NOISE * np.diag(PRIOR_STD[self.free] ** -2.0)
        right_plane = flat @ self.along.ravel()
        right_angle = -(basis.T @ self.along[:, 0])
        if self.smooth is None:
            # Every angle moves its own picture alone: it is eliminated by hand.
            spring = 1.001 * grip
            by_plane = np.linalg.solve(
                plane_plane - by_angle @ by_angle.T / spring, right_plane - by_angle @ right_angle / spring
            )
            turned = (right_angle - by_plane @ by_angle) / spring
        else:
            angle_angle = grip * (basis.T @ basis + 1e-6 * np.eye(basis.shape[1]))
            angle_angle += self.smooth.stiffness * SHARED_NOISE
            coupled = by_angle @ basis
            normal = np.block([[plane_plane, coupled], [coupled.T, angle_angle]])
            found = np.linalg.solve(normal, np.concatenate([right_plane, right_angle]))
            by_plane, turned = found[:plane], self.smooth.basis @ found[plane:]
        limit = 1.0 / self.harmonics
        # The read-out shifts the picture by its lag times the speed; all others by their own size.
        reach = np.abs(by_plane * np.where(self.free < 6, 1.0, self.top_speed_rad_s)).max() + 1e-12
        full = np.zeros(8)
        full[self.free] = by_plane * min(1.0, limit / reach)
        return full, np.clip(turned, -2 * limit, 2 * limit)


def _maps(texture: NDArray[np.complex64], radii: Floats) -> NDArray[np.complex64]:
    """Slopes (9, r, k) of the turning texture: by its angle, then two each for every pair of plane numbers.

    About a picture point at radius r and angle a, a centre farther right shows what lies farther left: the
    texture changes by -(T_r cos a - T_a sin a / r), and so on. With a = (angle in the texture) + (angle of
    the wheel), each is the real or imaginary part of W exp(i m (angle of the wheel)); the maps are the real
    and the imaginary part of W.
    """
    rings, harmonics = texture.shape
    points = 4 * harmonics
    angle = np.linspace(0, 2 * np.pi, points, endpoint=False)
    spectrum = np.zeros((rings, points // 2 + 1), np.complex128)
    spectrum[:, 1 : harmonics + 1] = texture
    by_angle = np.fft.irfft(1j * np.arange(points // 2 + 1) * spectrum, n=points, axis=1)
    by_radius = np.gradient(np.fft.irfft(spectrum, n=points, axis=1), radii, axis=0)
    r, once = radii[:, None], np.exp(1j * angle)
    mixed = (
        -(by_radius + 1j * by_angle / r) * once,
        (r * by_radius + 1j * by_angle) * once**2 / 2,
        r**2 * by_radius * once,
        -r * by_angle * once,
    )
    slopes = np.stack([by_angle, *(part for w in mixed for part in (w.real, w.imag))])
    return np.asarray(np.fft.rfft(slopes, axis=2)[:, :, 1 : harmonics + 1], np.complex64)


def _mixing(angles_rad: Floats, speeds_rad_s: Floats | None) -> Floats:
    """(8, n, 9): by how much of each map every picture changes with each number of the plane."""
    speeds = np.zeros(len(angles_rad)) if speeds_rad_s is None else speeds_rad_s
    mixing = np.zeros((8, len(angles_rad), 9))
    for pair, (wave, factor) in enumerate([(1, 1.0), (2, 1.0), (1, 1.0), (1, speeds)]):
        cos, sin = factor * np.cos(wave * angles_rad), factor * np.sin(wave * angles_rad)
        one, other = 1 + 2 * pair, 2 + 2 * pair
        mixing[2 * pair, :, one], mixing[2 * pair, :, other] = cos, -sin
        mixing[2 * pair + 1, :, one], mixing[2 * pair + 1, :, other] = sin, cos
    # The centre's second number counts downwards.
    mixing[1] *= -1
    return mixing
