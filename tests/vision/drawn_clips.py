"""Clips of a turning wheel and flyer, drawn with known angles.

A wheel with slightly unlike spokes stands before a patterned wall; a two-armed flyer turns beside it.
Everything is a smooth function of the angle in the middle of the exposure, so that the truth is exact.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class DrawnClip:
    """What is drawn. Angles are positive anticlockwise as seen; the ratio is flyer turns per wheel turn."""

    size_px: tuple[int, int] = (320, 180)
    frames: int = 240
    per_s: int = 30
    turns_per_s: float = 1.1
    unevenness: float = 0.12
    ratio: float = 9.37
    spokes: int = 10
    tape: bool = True
    flyer: bool = True
    noise: float = 2.0
    hub_px: tuple[float, float] = (205.0, 92.0)
    radius_px: float = 70.0
    flyer_px: tuple[float, float] = (70.0, 70.0)
    flyer_radius_px: float = 32.0
    exposure_s: float = 0.006

    def times_s(self) -> Floats:
        return np.arange(self.frames) / self.per_s

    def wheel_rad(self, t_s: Floats) -> Floats:
        """Angle of the wheel: a mean speed, once and twice a turn faster and slower, and a slow drift."""
        mean = 2 * np.pi * self.turns_per_s * t_s * (1 + 0.04 * np.sin(0.5 * t_s))
        return np.asarray(mean + self.unevenness * (np.sin(mean + 0.4) + 0.4 * np.sin(2 * mean + 1)))

    def pictures(self, wheel_rad: Callable[[Floats], Floats] | None = None) -> NDArray[np.uint8]:
        """All pictures (n, height, width); another course of the wheel may be given."""
        course = wheel_rad or self.wheel_rad
        rng = np.random.default_rng(7)
        wall = self._wall(rng)
        wheel, flyer = (
            self._square(self.hub_px, self.radius_px),
            self._square(self.flyer_px, self.flyer_radius_px),
        )
        drawn = np.repeat(wall[None], self.frames, axis=0)
        for i, angle in enumerate(course(self.times_s() + self.exposure_s / 2)):
            drawn[i][wheel.window] = self._with_wheel(wall[wheel.window], wheel, float(angle))
            if self.flyer:
                turned = self.ratio * float(angle)
                drawn[i][flyer.window] = self._with_flyer(wall[flyer.window], flyer, turned)
        drawn += rng.normal(0, self.noise, drawn.shape)
        return np.round(np.clip(drawn, 0, 255)).astype(np.uint8)

    def _wall(self, rng: np.random.Generator) -> Floats:
        width, height = self.size_px
        y, x = np.mgrid[:height, :width]
        return np.asarray(
            120 + 12 * np.sin(x / 17) + 10 * np.cos(y / 11 + x / 40) + rng.normal(0, 3, x.shape)
        )

    def _square(self, centre_px: tuple[float, float], radius_px: float) -> "_Square":
        x, y = (round(v) for v in centre_px)
        reach = round(radius_px) + 3
        window = (slice(max(y - reach, 0), y + reach), slice(max(x - reach, 0), x + reach))
        width, height = self.size_px
        rows, columns = (grid[window] for grid in np.mgrid[:height, :width])
        across, up = columns - centre_px[0], centre_px[1] - rows
        return _Square(window, np.hypot(across, up), np.arctan2(up, across))

    def _with_wheel(self, wall: Floats, square: "_Square", angle: float) -> Floats:
        r, turned = square.radii_px, square.angles_rad - angle
        inner = 0.86 * self.radius_px
        rim = _soft(r - inner) * _soft(self.radius_px - r)
        grain = 60 + 6 * np.cos(turned) + 5 * np.sin(3 * turned) + 5 * np.cos(7 * turned + 1)
        picture = wall * (1 - rim) + grain * rim
        # The nearest spoke, and which of them it is: the spokes differ a little in brightness.
        spacing = 2 * np.pi / self.spokes
        number = np.round(turned / spacing)
        spoke = _soft(3.0 - r * np.abs(np.sin(turned - number * spacing))) * _soft(inner - r) * _soft(r - 4)
        return np.asarray(picture * (1 - spoke) + (70 + 4 * np.cos(2.4 * (number % self.spokes))) * spoke)

    def _with_flyer(self, wall: Floats, square: "_Square", angle: float) -> Floats:
        r, turned = square.radii_px, square.angles_rad - angle
        arm = _soft(4 - r * np.abs(np.sin(turned))) * _soft(self.flyer_radius_px - r)
        tape = _soft(r - 0.6 * self.flyer_radius_px) * (np.cos(turned) > 0) if self.tape else 0.0
        return np.asarray(wall * (1 - arm) + (60 + 150 * tape) * arm)


@dataclass(frozen=True)
class _Square:
    """Part of the picture round an axis, in polar coordinates about it."""

    window: tuple[slice, slice]
    radii_px: Floats
    angles_rad: Floats


def _soft(distance_px: Floats) -> Floats:
    """Edge that is half a pixel soft."""
    return np.asarray(1 / (1 + np.exp(-np.clip(distance_px * 3, -30, 30))))


def write_clip(
    path: Path,
    pictures: NDArray[np.uint8],
    *,
    times: list[Fraction] | None = None,
    per_s: int = 30,
    tags: dict[str, str] | None = None,
    turned_cw_deg: int = 0,
) -> Path:
    """Write gray pictures as H.264 with exact time stamps."""
    with av.open(str(path), "w", options={"movflags": "use_metadata_tags"}) as container:
        container.metadata.update(tags or {})
        stream = container.add_stream("libx264", rate=per_s)
        stream.height, stream.width = pictures.shape[1:]
        stream.pix_fmt = "yuv420p"
        stream.options = {"crf": "18", "preset": "veryfast"}
        stream.time_base = stream.codec_context.time_base = Fraction(1, 90_000)
        for i, picture in enumerate(pictures):
            frame = av.VideoFrame.from_ndarray(picture, format="gray")
            time = Fraction(i, per_s) if times is None else times[i]
            frame.pts = round(time * 90_000)
            frame.time_base = Fraction(1, 90_000)
            container.mux(stream.encode(frame))
        container.mux(stream.encode())
    return path
