"""Pictures of what turns, each turned back by its angle, and the texture that they have in common."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex64]

#: Of a harmonic that kept less than this share when courses were taken out of the pictures, too little is
#: left to reckon the rest from.
LEAST_KEPT = 0.5


def turning_back(angles_rad: Floats, harmonics: int) -> Complexes:
    """(k, n) factors exp(i k angle), by repeated products."""
    once = np.exp(1j * angles_rad)
    return np.asarray(np.cumprod(np.repeat(once[None], harmonics, axis=0), axis=0), np.complex64)


@dataclass(frozen=True, slots=True)
class Unturned:
    """Pictures turned back, and what a fit asks of them again and again.

    Attributes
    ----------
    rings : (r, k, n) array
        Angular harmonics of every ring and picture, turned back.
    texture : (r, k) array
        Their mean: what turns.
    power : (r, k) array
        Mean of their squares.
    """

    rings: Complexes
    texture: Complexes
    power: NDArray[np.float32]

    @classmethod
    def of(cls, spectra: Complexes, angles_rad: Floats, taken_out: Floats | None = None) -> "Unturned":
        """Turn the spectra (r, k, n) of :func:`.polar.ring_spectra` back.

        What was taken out of a turning texture together with the courses of a cutout is put back: what turns
        nearly in step with the camera (half a turn a picture, with two arms) hardly moves in the pictures.
        Taking out each pixel's mean takes part of it along, and would pull its angle.
        """
        turn = turning_back(angles_rad, spectra.shape[1])
        rings = spectra * turn
        texture = rings.mean(axis=2)
        if taken_out is not None:
            gone = (np.conj(turn) @ taken_out) @ taken_out.T
            kept = 1 - np.mean(np.abs(gone) ** 2, axis=1)
            texture = np.where(kept > LEAST_KEPT, texture / kept, 0).astype(np.complex64)
            rings += texture[:, :, None] * (gone * turn).astype(np.complex64)
            texture = rings.mean(axis=2)
        flat = rings.view(np.float32)
        power = np.einsum("rkn,rkn->rk", flat, flat) / np.float32(len(angles_rad))
        return cls(rings, texture, power)

    def noise(self, harmonics: int) -> NDArray[np.float32]:
        """(r, k) variance about the texture, of the first harmonics."""
        texture = self.texture[:, :harmonics]
        apart = self.power[:, :harmonics] - texture.real**2 - texture.imag**2
        return np.asarray(np.maximum(apart, np.float32(1e-6) * self.power[:, :harmonics]), np.float32)

    def coherence(self, weight: NDArray[np.float32]) -> float:
        """Share of the power that the texture explains, where rings and first harmonics count by a weight."""
        square, harmonics = weight.astype(np.float64) ** 2, weight.shape[1]
        texture = self.texture[:, :harmonics]
        explained = float(np.sum(square * (texture.real**2 + texture.imag**2)))
        return explained / (float(np.sum(square * self.power[:, :harmonics])) + 1e-12)
