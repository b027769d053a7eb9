"""Clips of a turning wheel and flyer, drawn with known angles.

A wheel with slightly unlike spokes stands before a patterned wall; a two-armed flyer turns beside it.
Everything is a smooth function of the angle at the time at which a row is exposed, so that the truth is
exact. What makes real clips hard can be added one by one: a tilt, a hand that shakes, a shutter that rolls
or stays open, lamps that flicker, a post before the wheel, one arm or a bare spindle, a bobbin, slip.
"""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

import av
import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Course = Callable[[Floats], Floats]


@dataclass(frozen=True)
class DrawnClip:
    """What is drawn. Angles are positive anticlockwise as seen; the ratio is flyer turns per wheel turn.

    ``unlike`` is how much spokes and rim differ all round (0: not at all), ``arms`` 2, 1 or 0 (a bare
    spindle), ``slip`` the share by which the flyer's speed sways about the ratio, once in four seconds,
    ``bobbin_ratio`` 0 where there is no bobbin, ``lamp_per_s`` twice the mains frequency.
    """

    size_px: tuple[int, int] = (320, 180)
    frames: int = 240
    per_s: int = 30
    turns_per_s: float = 1.1
    unevenness: float = 0.12
    ratio: float = 9.37
    spokes: int = 10
    unlike: float = 1.0
    tape: bool = True
    flyer: bool = True
    arms: int = 2
    bobbin_ratio: float = 0.0
    slip: float = 0.0
    noise: float = 2.0
    hub_px: tuple[float, float] = (205.0, 92.0)
    radius_px: float = 70.0
    flyer_px: tuple[float, float] = (70.0, 70.0)
    flyer_radius_px: float = 32.0
    exposure_s: float = 0.006
    exposed: int = 1
    readout_s: float = 0.0
    squeeze: float = 0.0
    shake_px: float = 0.0
    lamp_per_s: float = 0.0
    post: bool = False
    seed: int = 7

    def times_s(self) -> Floats:
        return np.arange(self.frames) / self.per_s

    def wheel_rad(self, t_s: Floats) -> Floats:
        """Angle of the wheel: a mean speed, once and twice a turn faster and slower, and a slow drift."""
        mean = 2 * np.pi * self.turns_per_s * t_s * (1 + 0.04 * np.sin(0.5 * t_s))
        return np.asarray(mean + self.unevenness * (np.sin(mean + 0.4) + 0.4 * np.sin(2 * mean + 1)))

    def flyer_rad(self, t_s: Floats, course: Course | None = None) -> Floats:
        """Angle of the flyer, with the slip that varies."""
        wheel = (course or self.wheel_rad)(t_s)
        sway = self.slip * np.sin(2 * np.pi * t_s / 4) * 4 / (2 * np.pi)
        return np.asarray(self.ratio * (wheel + 2 * np.pi * self.turns_per_s * sway))

    def pictures(self, wheel_rad: Course | None = None) -> NDArray[np.uint8]:
        """All pictures (n, height, width); another course of the wheel may be given."""
        course = wheel_rad or self.wheel_rad
        rng = np.random.default_rng(self.seed)
        wall = self._wall(rng)
        shaken = np.cumsum(rng.normal(0, 1, (self.frames, 3)), axis=0)
        shaken = (shaken - shaken.mean(axis=0)) / (shaken.std(axis=0) + 1e-9) * [1, 1, 0.004]
        drawn = np.empty((self.frames, *wall.shape))
        for i, t in enumerate(self.times_s()):
            parts = [self._at(wall, course, t + lag) for lag in self._lags_s()]
            picture = np.mean(parts, axis=0)
            if self.lamp_per_s:
                # A lamp on alternating current: bright twice a period, whatever the row.
                row_s = t + self.exposure_s / 2 + self._rows_s(slice(None))
                picture *= 1 + 0.12 * np.cos(2 * np.pi * self.lamp_per_s * row_s)
            if self.shake_px:
                picture = _shifted(picture, self.shake_px * shaken[i])
            drawn[i] = picture
        drawn += rng.normal(0, self.noise, drawn.shape)
        return np.round(np.clip(drawn, 0, 255)).astype(np.uint8)

    def _lags_s(self) -> Floats:
        """Moments of one exposure that are averaged."""
        return (np.arange(self.exposed) + 0.5) / self.exposed * self.exposure_s

    def _rows_s(self, rows: slice) -> Floats:
        """(rows, 1) how much later each row is read out than the middle one."""
        height = self.size_px[1]
        return ((np.arange(height) / height - 0.5) * self.readout_s)[rows, None]

    def _at(self, wall: Floats, course: Course, t_s: float) -> Floats:
        picture = wall.copy()
        wheel = self._square(self.hub_px, self.radius_px)
        row_s = t_s + self._rows_s(wheel.window[0])
        picture[wheel.window] = self._with_wheel(wall[wheel.window], wheel, course(row_s))
        if self.flyer:
            flyer = self._square(self.flyer_px, self.flyer_radius_px)
            row_s = t_s + self._rows_s(flyer.window[0])
            turned = self.flyer_rad(row_s, course)
            picture[flyer.window] = self._with_flyer(wall[flyer.window], flyer, turned, course(row_s))
        if self.post:
            x, y = (round(v) for v in self.hub_px)
            picture[y:, x - 6 : x + 6] = 90.0
        return picture

    def _wall(self, rng: np.random.Generator) -> Floats:
        width, height = self.size_px
        y, x = np.mgrid[:height, :width]
        grain = cv2.GaussianBlur(rng.normal(0, 1, x.shape), (0, 0), 1.5) * 12
        return np.asarray(
            120 + 12 * np.sin(x / 17) + 10 * np.cos(y / 11 + x / 40) + rng.normal(0, 3, x.shape) + grain
        )

    @cache  # noqa: B019 (a drawn clip is frozen, and there are few)
    def _square(self, centre_px: tuple[float, float], radius_px: float) -> "_Square":
        x, y = (round(v) for v in centre_px)
        reach = round(radius_px) + 3
        window = (slice(max(y - reach, 0), y + reach), slice(max(x - reach, 0), x + reach))
        width, height = self.size_px
        rows, columns = (grid[window] for grid in np.mgrid[:height, :width])
        across, up = (columns - centre_px[0]) / (1 - self.squeeze), centre_px[1] - rows
        return _Square(window, np.hypot(across, up), np.arctan2(up, across))

    def _with_wheel(self, wall: Floats, square: "_Square", angle: Floats) -> Floats:
        r, turned = square.radii_px, square.angles_rad - angle
        inner = 0.86 * self.radius_px
        rim = _soft(r - inner) * _soft(self.radius_px - r)
        grain = 60 + self.unlike * (6 * np.cos(turned) + 5 * np.sin(3 * turned) + 5 * np.cos(7 * turned + 1))
        picture = wall * (1 - rim) + grain * rim
        # The nearest spoke, and which of them it is: the spokes differ a little in brightness.
        spacing = 2 * np.pi / self.spokes
        number = np.round(turned / spacing)
        spoke = _soft(3.0 - r * np.abs(np.sin(turned - number * spacing))) * _soft(inner - r) * _soft(r - 4)
        shade = 70 + self.unlike * 4 * np.cos(2.4 * (number % self.spokes))
        return np.asarray(picture * (1 - spoke) + shade * spoke)

    def _with_flyer(self, wall: Floats, square: "_Square", angle: Floats, wheel_rad: Floats) -> Floats:
        r, turned = square.radii_px, square.angles_rad - angle
        reach = self.flyer_radius_px if self.arms else 0.3 * self.flyer_radius_px
        arm = _soft(4 - r * np.abs(np.sin(turned))) * _soft(reach - r)
        if self.arms == 1:
            arm = arm * (np.cos(turned) > 0)
        if self.arms == 0:
            arm = _soft(reach - r)
        tape = _soft(r - 0.6 * reach) * (np.cos(turned) > 0) if self.tape else 0.0
        picture = wall * (1 - arm) + (60 + 150 * tape) * arm
        if self.bobbin_ratio:
            bobbin = _soft(0.45 * self.flyer_radius_px - r)
            knots = np.cos(square.angles_rad - self.bobbin_ratio * wheel_rad)
            picture = picture * (1 - bobbin) + (110 + 20 * knots) * bobbin
        return np.asarray(picture)


def _shifted(picture: Floats, shake: Floats) -> Floats:
    """Picture as a hand sees it that moved by (x, y) px and turned by the third (rad per px of movement)."""
    height, width = picture.shape
    across, down, turn = shake
    matrix = cv2.getRotationMatrix2D((width / 2, height / 2), float(np.degrees(turn)), 1.0)
    matrix[:, 2] += (across, down)
    return np.asarray(cv2.warpAffine(picture, matrix, (width, height), borderMode=cv2.BORDER_REFLECT))


@dataclass(frozen=True)
class _Square:
    """Part of the picture round an axis, in polar coordinates about it."""

    window: tuple[slice, slice]
    radii_px: Floats
    angles_rad: Floats


def _soft(distance_px: Floats) -> Floats:
    """Edge that is half a pixel soft."""
    return np.asarray(1 / (1 + np.exp(-np.clip(distance_px * 3, -30, 30))))


@contextmanager
def as_urgent_as_before() -> Iterator[None]:
    """Take back the urgency that an encoder took for itself.

    SVT-AV1, where root runs it, puts the thread that calls it before everything else on the machine
    (SCHED_FIFO), and every process begun by it later, a whole browser as well, would inherit that.
    """
    if not hasattr(os, "sched_getscheduler"):
        yield
        return
    policy, urgency = os.sched_getscheduler(0), os.sched_getparam(0)
    try:
        yield
    finally:
        os.sched_setscheduler(0, policy, urgency)


def write_clip(
    path: Path,
    pictures: NDArray[np.uint8],
    *,
    times: list[Fraction] | None = None,
    per_s: int = 30,
    tags: dict[str, str] | None = None,
    crf: int = 18,
    codec: str = "libx264",
    pix_fmt: str = "yuv420p",
    options: dict[str, str] | None = None,
) -> Path:
    """Write gray pictures, as H.264 where nothing else is asked, with exact time stamps."""
    options_of_file = {"movflags": "use_metadata_tags"}
    with as_urgent_as_before(), av.open(str(path), "w", options=options_of_file) as container:
        container.metadata.update(tags or {})
        stream = container.add_stream(codec, rate=per_s)
        assert isinstance(stream, av.VideoStream)
        stream.height, stream.width = pictures.shape[1:]
        stream.pix_fmt = pix_fmt
        stream.options = dict[str, object](options or {"crf": str(crf), "preset": "veryfast"})
        stream.time_base = stream.codec_context.time_base = Fraction(1, 90_000)
        for i, picture in enumerate(pictures):
            frame = av.VideoFrame.from_ndarray(picture, format="gray")
            time = Fraction(i, per_s) if times is None else times[i]
            frame.pts = round(time * 90_000)
            frame.time_base = Fraction(1, 90_000)
            container.mux(stream.encode(frame))
        container.mux(stream.encode())
    return path
