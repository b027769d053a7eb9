"""Axle, tilt and angle in every picture, fitted together.

About the true axle, and seen as a circle squeezed by the true tilt, one texture that turns explains all
pictures. A wrong axle and a wrong angle can hide each other (both bend the angle within the turn), so they
are fitted at once: Gauss-Newton on the angular harmonics, with the texture taken out (it is their mean).
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .polar import Cutout, TurningPlane, angular_harmonics, levelled

Floats = NDArray[np.float64]

#: Step of the finite differences, in radii.
STEP = 0.01


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
    """Plane with the centre moved by (p0, p1) radii and squeezed by (p2, p3) more."""
    centre = (plane.centre_px[0] + p[0] * plane.radius_px, plane.centre_px[1] + p[1] * plane.radius_px)
    return replace(plane, centre_px=centre, squeeze=(plane.squeeze[0] + p[2], plane.squeeze[1] + p[3]))


def settle(
    cutout: Cutout,
    plane: TurningPlane,
    angles_rad: Floats,
    radii: Floats,
    schedule: tuple[int, ...],
    smooth: SmoothAngles | None = None,
) -> tuple[TurningPlane, Floats]:
    """Gauss-Newton steps in the plane's centre and squeeze and all angles at once.

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
    """
    for harmonics in schedule:
        step_plane, step_angle = _step(cutout, plane, angles_rad, radii, harmonics, smooth)
        here = _agreement(cutout, plane, angles_rad, radii, harmonics)
        for share in (1.0, 0.4):
            new_plane, new_angles = moved(plane, share * step_plane), angles_rad + share * step_angle
            if _agreement(cutout, new_plane, new_angles, radii, harmonics) > here:
                plane, angles_rad = new_plane, new_angles
                break
    return plane, angles_rad


def coherence(rings: NDArray[np.complex64], angles_rad: Floats) -> float:
    """Share of the rings' power (n, r, k) that one turning texture explains, from 0 to 1."""
    explained = float(np.sum(np.abs(texture_of(rings, angles_rad)) ** 2))
    return explained / float(np.mean(np.abs(rings) ** 2, axis=0).sum() + 1e-12)


def texture_of(rings: NDArray[np.complex64], angles_rad: Floats) -> NDArray[np.complex128]:
    """(r, k) mean of the rings, each picture turned back by its angle."""
    k = np.arange(1, rings.shape[2] + 1)
    turn = np.exp(1j * np.outer(angles_rad, k))
    return np.asarray(np.einsum("trk,tk->rk", rings, turn) / len(rings), dtype=np.complex128)


def _agreement(
    cutout: Cutout, plane: TurningPlane, angles_rad: Floats, radii: Floats, harmonics: int
) -> float:
    return coherence(levelled(angular_harmonics(cutout, plane, radii, harmonics)), angles_rad)


def _step(
    cutout: Cutout,
    plane: TurningPlane,
    angles_rad: Floats,
    radii: Floats,
    harmonics: int,
    smooth: SmoothAngles | None,
) -> tuple[Floats, Floats]:
    """Work out the changes of the plane's four numbers and of the angles."""
    k = np.arange(1, harmonics + 1)
    turn = np.exp(1j * np.outer(angles_rad, k))[:, None, :]

    def unturned(p: Floats) -> NDArray[np.complex128]:
        return np.asarray(angular_harmonics(cutout, moved(plane, p), radii, harmonics) * turn, np.complex128)

    here = unturned(np.zeros(4))
    level = np.sqrt(np.mean(np.abs(here) ** 2, axis=(0, 1))) + 1e-9
    here /= level
    by_angle = 1j * k * here.mean(axis=0)
    by_plane = [
        _without_noise(
            (unturned(STEP * axis) - unturned(-STEP * axis)) / (2 * STEP * level), angles_rad, waves
        )
        for axis, waves in zip(np.eye(4), (1, 1, 2, 2), strict=True)
    ]
    step_angle, step_plane = _solve(
        _flat(here), _flat(by_angle[None])[0], [_flat(d) for d in by_plane], smooth
    )
    limit = 1.0 / harmonics
    step_plane *= min(1.0, limit / (np.abs(step_plane).max() + 1e-12))
    return step_plane, np.clip(step_angle, -2 * limit, 2 * limit)


def _without_noise(slopes: NDArray[np.complex128], angles_rad: Floats, waves: int) -> NDArray[np.complex128]:
    """Keep what a turning texture can show of a shift (once round a turn) or a squeeze (twice round).

    The pictures' noise has slopes too. Left in, they would make every step of the fit too short.
    """
    kept = np.zeros_like(slopes)
    for wave in (-waves, waves):
        wheel = np.exp(1j * wave * angles_rad)[:, None, None]
        kept += wheel * np.mean(slopes * np.conj(wheel), axis=0)
    return kept


def _flat(values: NDArray[np.complex128]) -> Floats:
    return np.ascontiguousarray(values).reshape(len(values), -1).view(np.float64)


def _solve(
    here: Floats, by_angle: Floats, by_plane: list[Floats], smooth: SmoothAngles | None
) -> tuple[Floats, Floats]:
    """Least squares for the departures (n, d) of every picture from the mean of all.

    The angle of a picture moves that picture alone; taking out the mean couples the angles weakly.
    """
    count = len(here)
    apart = here - here.mean(axis=0)
    planes = [d - d.mean(axis=0) for d in by_plane]
    basis = np.eye(count) if smooth is None else smooth.basis
    free = basis - basis.mean(axis=0)
    grip = float(by_angle @ by_angle)
    # A common turn of all angles and of the texture changes nothing: a weak spring holds it.
    spring = 1e-3 * np.eye(count) if smooth is None else 1e-6 * np.eye(basis.shape[1])
    angle_angle = grip * (free.T @ free + spring)
    if smooth is not None:
        # Neighbouring rings and harmonics share their noise: count them as one part in ten independent.
        angle_angle += smooth.stiffness * 10 * float(np.mean(apart**2))
    angle_plane = np.stack([free.T @ (d @ by_angle) for d in planes], axis=1)
    flat = np.stack([d.ravel() for d in planes])
    normal = np.block([[angle_angle, angle_plane], [angle_plane.T, flat @ flat.T]])
    right = -np.concatenate([free.T @ (apart @ by_angle), flat @ apart.ravel()])
    solved = np.linalg.solve(normal, right)
    return basis @ solved[: basis.shape[1]], solved[basis.shape[1] :]
