"""A fan beside a wheel is no flyer: what goes by the clock lacks the wheel's unevenness."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_clips import Course, DrawnClip, write_clip

from whirlwise.vision.clip import ClipSettings, measure_clip
from whirlwise.vision.clip_reading import FlyerTurning, WheelTurning
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.turning.by_clock import share_by_clock
from whirlwise.vision.turning.orders import path_of
from whirlwise.vision.turning.phase import smooth_slip
from whirlwise.vision.turning.repeating import pull_of

Floats = NDArray[np.float64]

RATIO = 9.37
TIMES_S = np.arange(300) / 30
EVEN: Floats = np.asarray(2 * np.pi * 1.1 * TIMES_S)
ANGLES: Floats = np.asarray(EVEN + 0.02 * np.sin(EVEN + 0.4))


@pytest.mark.parametrize("share", [0.0, 0.3, 1.0])
def test_the_share_of_unevenness_that_a_phase_lacks(share: float) -> None:
    """In closed form: pictures of a phase that shares all, some or nothing of the wheel's unevenness."""
    rng = np.random.default_rng(3)
    texture = rng.normal(size=(6, 3)) + 1j * rng.normal(size=(6, 3))
    phase = RATIO * (ANGLES + share * (EVEN - ANGLES))
    wave = np.exp(-1j * np.outer(phase, np.arange(1, 4)))[:, None, :]
    grain = rng.normal(0, 0.2, (2, len(phase), *texture.shape))
    rings = np.asarray(wave * texture + grain[0] + 1j * grain[1], np.complex64)
    pull = pull_of(rings, RATIO * ANGLES, None)
    found = share_by_clock(pull, smooth_slip(path_of(ANGLES), RATIO), ANGLES, TIMES_S, RATIO)
    assert found.s < 0.05
    # A swing of a fifth of a rad is pulled back nearly in proportion.
    assert found.n == pytest.approx(share, abs=3 * found.s + 0.03 * share)


@dataclass(frozen=True)
class BesideAFan(DrawnClip):
    """What turns beside the wheel keeps the mean speed of a flyer, whatever the wheel does."""

    def flyer_rad(self, t_s: Floats, course: Course | None = None) -> Floats:
        return np.asarray(self.ratio * 2 * np.pi * self.turns_per_s * t_s)


@pytest.mark.parametrize("kind", [BesideAFan, DrawnClip])
def test_a_fan_is_no_flyer(kind: type[DrawnClip], tmp_path: Path) -> None:
    drawn = kind(size_px=(224, 128), hub_px=(150.0, 66.0), radius_px=50.0, flyer_px=(48.0, 50.0))
    even = 2 * np.pi * drawn.turns_per_s
    pictures = drawn.pictures(lambda t_s: even * t_s + 0.04 * np.sin(even * t_s))
    clicked = ClipSettings(hub_px=drawn.hub_px, flyer_px=drawn.flyer_px)
    reading = measure_clip(write_clip(tmp_path / "clip.mp4", pictures), clicked)
    assert isinstance(reading.wheel, WheelTurning)
    if kind is BesideAFan:
        assert isinstance(reading.flyer, NotMeasured)
    else:
        assert isinstance(reading.flyer, FlyerTurning)
        assert not isinstance(reading.flyer.ratio, NotMeasured)
        assert abs(reading.flyer.ratio.n - drawn.ratio) < 3 * reading.flyer.ratio.s
