"""Clips that are hard in one way each, drawn with known truth.

Each is told, and not far outside its interval, or is honestly left open: which, stands in the table.
"""

from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_clips import DrawnClip, write_clip
from uncertainties import UFloat

from whirlwise.vision.clip import measure_clip
from whirlwise.vision.clip_reading import FlyerTurning
from whirlwise.vision.measured import NotMeasured

PLAIN = DrawnClip(
    frames=150,
    size_px=(224, 128),
    hub_px=(144.0, 66.0),
    radius_px=50.0,
    flyer_px=(48.0, 50.0),
    flyer_radius_px=23.0,
    turns_per_s=1.2,
)


@dataclass(frozen=True)
class Hard:
    """What makes the clip hard; and what is said where nothing can be told, otherwise all must be told."""

    changed: dict[str, Any] = field(default_factory=dict)
    crf: int = 18
    dropped: bool = False
    left_open: str = ""


HARD = {
    "eight like spokes": Hard({"spokes": 8, "unlike": 0.1}, left_open="The spokes look alike"),
    "one spoke": Hard({"spokes": 1}),
    "a hand": Hard({"shake_px": 1.0}),
    "rolling shutter": Hard({"readout_s": 0.03}),
    "long exposure": Hard({"exposure_s": 1 / 60, "exposed": 4}),
    "oblique": Hard({"squeeze": 0.15}),
    "a lamp that flickers": Hard({"lamp_per_s": 100.0}),
    "heavy compression": Hard(crf=33, left_open="The spokes look alike"),
    "pictures dropped": Hard(dropped=True),
    "a post before the wheel": Hard({"post": True}),
    "one arm": Hard({"arms": 1}),
    "slip that varies": Hard({"slip": 0.01}),
    "a bobbin of its own": Hard({"bobbin_ratio": 11.0}),
    "a bare spindle with tape": Hard({"arms": 0, "flyer_radius_px": 40.0}),
}

#: Standard deviations beyond which an answer is wrong and too sure of itself.
FAR = 6.0


def deviations(found: UFloat, truth: float) -> float:
    return float(abs(found.n - truth) / found.s)


@pytest.mark.parametrize("name", HARD)
def test_hard_clips(name: str, tmp_path: Path) -> None:
    hard = HARD[name]
    drawn = replace(PLAIN, **hard.changed)
    pictures, times_s = drawn.pictures(), drawn.times_s()
    kept = np.arange(len(pictures))
    if hard.dropped:
        kept = np.flatnonzero(np.random.default_rng(1).random(len(pictures)) > 0.07)
        kept = np.unique(np.append(kept, 0))
    times = [Fraction(int(i), drawn.per_s) for i in kept]
    reading = measure_clip(write_clip(tmp_path / "hard.mp4", pictures[kept], times=times, crf=hard.crf))
    fine_s = np.linspace(0, times_s[kept[-1]], 20_000) + drawn.exposure_s / 2
    wheel_turns, flyer_turns = (
        float(np.abs(np.diff(angles)).sum() / (2 * np.pi))
        for angles in (drawn.wheel_rad(fine_s), drawn.flyer_rad(fine_s))
    )
    if hard.left_open:
        for outcome in (reading.wheel, reading.flyer):
            assert isinstance(outcome, NotMeasured)
            assert outcome.reason.startswith(hard.left_open)
        return
    assert not isinstance(reading.wheel, NotMeasured)
    assert reading.wheel.turns.n == pytest.approx(wheel_turns, rel=5e-3)
    assert deviations(reading.wheel.turns, wheel_turns) < FAR
    assert isinstance(reading.flyer, FlyerTurning)
    assert not isinstance(reading.flyer.ratio, NotMeasured)
    assert deviations(reading.flyer.ratio, flyer_turns / wheel_turns) < FAR


def walking(pictures: int) -> NDArray[np.uint8]:
    """A dark shape that crosses the room and sways, before the same wall."""
    gray = replace(PLAIN, flyer=False, frames=1).pictures(lambda t_s: 0 * t_s)[0].astype(float)
    y, x = np.mgrid[: gray.shape[0], : gray.shape[1]]
    rng = np.random.default_rng(2)
    film = []
    for i in range(pictures):
        middle = 20 + 1.3 * i + 3 * np.sin(i / 4)
        shape = np.hypot((x - middle) / 14, (y - 70) / 40) < 1
        film.append(np.where(shape, 70 + 20 * np.sin(y / 5), gray) + rng.normal(0, 2, gray.shape))
    return np.asarray(np.round(np.clip(film, 0, 255)), np.uint8)


def swinging(pictures: int) -> NDArray[np.uint8]:
    """A pendulum: a bob on a rod, 20 degrees to either side."""
    gray = replace(PLAIN, flyer=False, frames=1).pictures(lambda t_s: 0 * t_s)[0].astype(float)
    y, x = np.mgrid[: gray.shape[0], : gray.shape[1]]
    rng = np.random.default_rng(3)
    film = []
    for i in range(pictures):
        angle = 0.35 * np.sin(2 * np.pi * i / 30)
        bob = np.hypot(x - 60 - 70 * np.sin(angle), y - 10 - 70 * np.cos(angle)) < 12
        film.append(np.where(bob, 60, gray) + rng.normal(0, 2, gray.shape))
    return np.asarray(np.round(np.clip(film, 0, 255)), np.uint8)


@pytest.mark.parametrize("film", [walking, swinging])
def test_what_moves_and_does_not_turn_is_no_wheel(film: Any, tmp_path: Path) -> None:
    reading = measure_clip(write_clip(tmp_path / "other.mp4", film(120)))
    assert isinstance(reading.wheel, NotMeasured)
    assert isinstance(reading.flyer, NotMeasured)
