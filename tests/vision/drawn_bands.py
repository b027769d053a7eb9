"""Loudness in bands as a sound track of a turning wheel would give it, with known truth.

Drawn as it is kept (power in bands, 400 times a second), because that is much faster than drawing samples.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from whirlwise.vision.open.sound import SoundBands

Floats = NDArray[np.float64]

#: How loud each band is against the others.
TINT = np.array([0.5, 1.0, 1.0, 0.3])


@dataclass(frozen=True)
class DrawnTurning:
    """A wheel that is treadled, and a flyer that slips a little, more at times and less at others."""

    seconds: float = 12.0
    turns_per_s: float = 1.1
    unevenness: float = 0.07
    ratio: float = 11.37
    slip_swing: float = 0.003
    seed: int = 1

    @property
    def moments_s(self) -> Floats:
        return np.arange(round(self.seconds * 400)) / 400

    @property
    def pictures_s(self) -> Floats:
        return np.arange(0, self.seconds, 1 / 30)

    def wheel_turns(self, t_s: Floats) -> Floats:
        even = 2 * np.pi * self.turns_per_s * t_s * (1 + 0.01 * np.sin(0.5 * t_s))
        uneven = self.unevenness * (np.sin(even + 0.4) + 0.4 * np.sin(2 * even + 1))
        return np.asarray((even + uneven - self.unevenness * (np.sin(0.4) + 0.4 * np.sin(1))) / (2 * np.pi))

    def flyer_turns(self, t_s: Floats) -> Floats:
        way = self.wheel_turns(t_s)
        return np.asarray(self.ratio * (way + self.slip_swing * 0.8 * np.sin(2 * np.pi * way / 5)))

    @property
    def effective_ratio(self) -> float:
        last = self.pictures_s[-1:]
        return float(self.flyer_turns(last)[0] / self.wheel_turns(last)[0])

    def path_rad(self) -> Floats:
        return 2 * np.pi * self.wheel_turns(self.pictures_s)

    def hiss(self) -> Floats:
        """(m, 4) power of a steady noise: chi-square with 5 degrees of freedom."""
        return np.random.default_rng(self.seed).gamma(2.5, 1 / 2.5, (len(self.moments_s), 4))

    def hum(self, strengths: tuple[float, ...] = (0.6, 0.4, 0.2)) -> Floats:
        """(m, 1) factor by which hum and whoosh go up and down: strength at 1, 2, 3 ... times the flyer."""
        turned = 2 * np.pi * self.flyer_turns(self.moments_s)
        waves = [s * np.cos((k + 1) * turned + k) for k, s in enumerate(strengths)]
        return np.asarray(np.exp(np.sum(waves, axis=0))[:, None])

    def creaks(self, loudness: float = 100.0, length_s: float = 0.05, every: float = 1.0) -> Floats:
        """(m, 4) power of a creak that comes again after ``every`` turns of the wheel."""
        rng = np.random.default_rng(self.seed + 1)
        way, total = self.wheel_turns(self.moments_s), np.zeros((len(self.moments_s), 4))
        for place in np.arange(0.3, way[-1], every):
            total += burst(self.moments_s, self.moments_s[np.searchsorted(way, place)], length_s) * (
                loudness * rng.uniform(0.5, 1.5) * TINT
            )
        return total

    def bands(self, power: Floats) -> SoundBands:
        return SoundBands("drawn.mp4", 0.0, 0.0, self.seconds, self.moments_s, power.astype(np.float32))


def burst(moments_s: Floats, begin_s: float, length_s: float) -> Floats:
    """(m, 1) what begins at once and dies away."""
    after_s = np.maximum(moments_s - begin_s, 0)
    return (np.exp(-after_s / length_s) * (moments_s >= begin_s))[:, None]
