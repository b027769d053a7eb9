"""What a profile across a round cord looks like, and how well a cord at some place explains one.

A profile is a sloping background, and between the cord's two edges a curved brightness of its own (light
falls on one side of a round cord), all blurred a little by the lens.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.special import erf

#: Blur of lightness, and of the two chroma channels, which pictures store at half the resolution.
CHANNEL_BLURS_PX = (0.9, 1.7, 1.7)
#: So much background is looked at beside the cord.
BACKGROUND_PX = 4.0
#: Grey values squared below which a misfit is noise.
NOISE_FLOOR = 1.0
#: A cord is there if it explains a profile so many times better than background alone.
FAR_BETTER = 4.0


def share_with_cord(
    profiles: NDArray[np.float64], across_px: NDArray[np.float64], thickness_px: float
) -> float:
    """Share of profiles (n, columns, 3) that a cord in their middle explains far better than background."""
    return float(np.mean(with_cord(profiles, across_px, thickness_px)))


def with_cord(
    profiles: NDArray[np.float64], across_px: NDArray[np.float64], thickness_px: float
) -> NDArray[np.bool_]:
    """Whether a cord in their middle explains profiles (n, columns, 3) far better than background, (n,)."""
    window = np.abs(across_px) <= 1.2 * thickness_px + BACKGROUND_PX
    x = across_px[window]
    better = np.zeros(len(profiles))
    for channel, blur_px in enumerate(CHANNEL_BLURS_PX):
        model = _models(x, np.zeros(1), np.array([thickness_px]), blur_px)[0, 0]
        seen = profiles[:, window, channel].T
        rests = [seen - q @ (q.T @ seen) for q in (np.linalg.qr(model[:, :2])[0], np.linalg.qr(model)[0])]
        without, with_cord = ((rest**2).sum(axis=0) + NOISE_FLOOR * len(x) for rest in rests)
        better = np.maximum(better, without / with_cord)
    return np.asarray(better > FAR_BETTER)


def _models(
    x: NDArray[np.float64], shifts: NDArray[np.float64], thicknesses: NDArray[np.float64], blur_px: float
) -> NDArray[np.float64]:
    """Columns (shifts, thicknesses, len(x), 5) whose sums are the profiles that a cord can have."""
    half = 0.5 * thicknesses[None, :, None]
    u = x[None, None, :] - shifts[:, None, None]
    inside = 0.5 * (erf((u + half) / (np.sqrt(2) * blur_px)) - erf((u - half) / (np.sqrt(2) * blur_px)))
    share = np.clip(u / half, -1.5, 1.5)
    background = np.broadcast_to(np.stack([np.ones_like(x), x / x.max()], axis=-1), (*inside.shape, 2))
    cord = np.stack([inside, inside * share, inside * share**2], axis=-1)
    return np.concatenate([background, cord], axis=-1)
