"""Whole clips with known truth: drawn, written as H.264, measured."""

from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_clips import DrawnClip, write_clip
from uncertainties import ufloat

from whirlwise.calc.interval import interval_95
from whirlwise.vision.clip import ClipSettings, measure_clip
from whirlwise.vision.clip_reading import ClipReading, FlyerTurning, WheelTurning
from whirlwise.vision.errors import WrongHintError
from whirlwise.vision.measured import NotMeasured

SMALL = DrawnClip(frames=180)
ALONE = ClipSettings()
HINTS = ClipSettings(hub_px=(209.0, 89.0), flyer_px=(74.0, 66.0))


def reading_of(pictures: NDArray[np.uint8], settings: ClipSettings = ALONE) -> ClipReading:
    with TemporaryDirectory() as folder:
        return measure_clip(write_clip(Path(folder) / "clip.mp4", pictures), settings)


@cache
def measured(drawn: DrawnClip, settings: ClipSettings = ALONE) -> ClipReading:
    return reading_of(drawn.pictures(), settings)


def wheel_of(reading: ClipReading) -> WheelTurning:
    assert isinstance(reading.wheel, WheelTurning)
    return reading.wheel


def flyer_of(reading: ClipReading) -> FlyerTurning:
    assert isinstance(reading.flyer, FlyerTurning)
    return reading.flyer


def true_turns(drawn: DrawnClip) -> float:
    angles = drawn.wheel_rad(np.linspace(0, drawn.times_s()[-1], 5000))
    return float(np.abs(np.diff(angles)).sum() / (2 * np.pi))


@pytest.mark.parametrize("settings", [ALONE, HINTS], ids=["alone", "with clicks"])
def test_turns_and_ratio_within_a_thousandth(settings: ClipSettings) -> None:
    reading = measured(SMALL, settings)
    turns, ratio = interval_95(wheel_of(reading).turns), flyer_of(reading).ratio
    assert turns.value == pytest.approx(true_turns(SMALL), rel=1e-3)
    assert turns.low < true_turns(SMALL) < turns.high
    assert not isinstance(ratio, NotMeasured)
    assert ratio.n == pytest.approx(SMALL.ratio, rel=1e-3)
    assert interval_95(ratio).low < SMALL.ratio < interval_95(ratio).high


def test_angles_follow_the_truth() -> None:
    wheel = wheel_of(measured(SMALL))
    truth = SMALL.wheel_rad(SMALL.times_s())
    assert np.degrees(np.std(wheel.angles_rad - truth)) < 0.5
    assert wheel.hub_px == pytest.approx(SMALL.hub_px, abs=0.05 * SMALL.radius_px)
    assert wheel.direction == "anticlockwise"


def test_outlines_show_where_wheel_and_flyer_were_followed() -> None:
    reading = measured(SMALL)
    for outline_px, middle_px, radius_px in [
        (wheel_of(reading).outline_px, SMALL.hub_px, SMALL.radius_px),
        (flyer_of(reading).outline_px, SMALL.flyer_px, SMALL.flyer_radius_px),
    ]:
        away_px = np.hypot(*(outline_px - middle_px).T)
        # The disc that was followed is no measured rim, yet nothing but the wheel turns in it.
        assert 0.7 * radius_px < away_px.min() <= away_px.max() < 1.4 * radius_px


@pytest.mark.parametrize("size_px", [(16, 16), (64, 16)])
def test_a_clip_of_a_few_pixels_shows_no_wheel(size_px: tuple[int, int]) -> None:
    pictures = np.random.default_rng(5).integers(0, 255, (60, *size_px)).astype(np.uint8)
    assert isinstance(reading_of(pictures).wheel, NotMeasured)


def test_cadence_series_follows_the_truth() -> None:
    wheel = wheel_of(measured(SMALL))
    times_s, per_min = wheel.cadence_series.T
    truth = np.gradient(SMALL.wheel_rad(times_s), times_s) * 30 / np.pi
    assert np.median(np.abs(per_min / truth - 1)) < 0.02


@pytest.mark.parametrize("ratio", [14.21, 17.3])
def test_flyer_that_outruns_the_camera(ratio: float) -> None:
    """At 1.1 turns a second these arms pass faster than half the frame rate, and look alike."""
    drawn = replace(SMALL, ratio=ratio, tape=False)
    found = flyer_of(measured(drawn)).ratio
    assert not isinstance(found, NotMeasured)
    assert found.n == pytest.approx(ratio, rel=1e-3)


def test_spokes_that_seem_to_stand_still() -> None:
    """They move on by about one spacing per picture: the spokes alone show next to no turning."""
    drawn = replace(SMALL, spokes=16, turns_per_s=1.9)
    assert wheel_of(measured(drawn)).turns.n == pytest.approx(true_turns(drawn), rel=2e-3)


def test_wheel_that_turns_back() -> None:
    def back_and_forth(t_s: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(10 * np.sin(2 * np.pi * t_s / 6))

    wheel = wheel_of(reading_of(SMALL.pictures(back_and_forth)))
    truth = float(
        np.abs(np.diff(back_and_forth(np.linspace(0, SMALL.times_s()[-1], 5000)))).sum() / (2 * np.pi)
    )
    assert wheel.direction == "both"
    assert wheel.turns.n == pytest.approx(truth, rel=5e-3)


def test_wheel_that_starts_from_rest() -> None:
    def from_rest(t_s: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(-1.2 * np.maximum(t_s - 1, 0) ** 2)

    wheel = wheel_of(reading_of(SMALL.pictures(from_rest)))
    truth = 1.2 * (SMALL.times_s()[-1] - 1) ** 2 / (2 * np.pi)
    low, high = interval_95(wheel.turns).low, interval_95(wheel.turns).high
    assert wheel.direction == "clockwise"
    assert wheel.turns.n == pytest.approx(truth, rel=5e-3)
    assert low - 0.01 < truth < high + 0.01


def test_wheel_without_flyer_gives_no_ratio() -> None:
    reading = measured(replace(SMALL, flyer=False))
    assert isinstance(reading.wheel, WheelTurning)
    assert isinstance(reading.flyer, NotMeasured)


def test_nothing_turns() -> None:
    reading = reading_of(SMALL.pictures(lambda t_s: 0 * t_s))
    assert isinstance(reading.wheel, NotMeasured)
    assert isinstance(reading.flyer, NotMeasured)
    assert isinstance(reading.rhythm, NotMeasured)


@pytest.mark.parametrize("seed", range(3))
def test_pure_noise_gives_no_result(seed: int) -> None:
    noise = np.random.default_rng(seed).integers(60, 190, (120, 120, 200), np.uint8)
    assert isinstance(reading_of(noise).wheel, NotMeasured)


def test_known_ratio_does_not_steer(tmp_path: Path) -> None:
    # One file for both, because an encoder need not write the same twice.
    clip = write_clip(tmp_path / "clip.mp4", SMALL.pictures())
    told = measure_clip(clip, ClipSettings(known_ratio=ufloat(12.0, 0.001)))
    one, other = flyer_of(told).ratio, flyer_of(measure_clip(clip, ALONE)).ratio
    assert not isinstance(one, NotMeasured)
    assert not isinstance(other, NotMeasured)
    assert one.n == other.n


def test_click_outside_the_picture() -> None:
    with pytest.raises(WrongHintError) as error:
        reading_of(SMALL.pictures()[:3], ClipSettings(hub_px=(900, 40)))
    assert str(error.value) == (
        "axle: got 900,40, expected a point in the picture, 0,0 to 319,179; "
        "click in the first picture as it is shown upright."
    )


def test_capture_rate_below_zero() -> None:
    with pytest.raises(WrongHintError, match="capture rate: got -30, expected pictures a second above 0"):
        reading_of(SMALL.pictures()[:3], ClipSettings(captured_at_per_s=-30))


@pytest.mark.parametrize("tape", [False, True])
def test_flyer_is_not_taken_for_the_wheel(tape: bool) -> None:
    """The spokes stand exactly still from picture to picture, so that the flyer changes far more."""
    drawn = DrawnClip(frames=200, per_s=24, turns_per_s=24 / 14, spokes=14, tape=tape)

    def even(t_s: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(2 * np.pi * drawn.turns_per_s * t_s)

    wheel = wheel_of(reading_of(drawn.pictures(even)))
    assert wheel.turns.n == pytest.approx(drawn.turns_per_s * drawn.times_s()[-1], rel=2e-3)
    assert wheel.hub_px == pytest.approx(drawn.hub_px, abs=3)
