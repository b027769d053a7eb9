"""Rates from sound alone: drawn knocks with known times, chance, doubts about double counts."""

from pathlib import Path

import numpy as np
import pytest
from tests.vision.drawn_sounds import Floats, knocks, noise, write_sound

from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.open.sound import SoundBands
from whirlwise.vision.sound_only import (
    BETWEEN,
    EVERY_OTHER,
    MAY_BE_DOUBLE,
    NOTHING_REGULAR,
    count_events,
    measure_sound,
)
from whirlwise.vision.turning.sound_events import self_agreement

EVEN_S: Floats = 0.5 + np.arange(20.0)


def bands(rng: np.random.Generator, seconds: float, times_s: Floats, loudness: Floats | float) -> SoundBands:
    """Loudness as it is kept: a steady noise (chi-square, 5 degrees of freedom) and knocks that die away."""
    moments_s = np.arange(round(seconds * 400)) / 400
    power = rng.gamma(2.5, 1 / 2.5, (len(moments_s), 4))
    for time_s, loud in zip(times_s, np.broadcast_to(loudness, len(times_s)), strict=True):
        after_s = np.maximum(moments_s - time_s, 0)
        power += (loud * np.exp(-after_s / 0.03) * (moments_s >= time_s))[:, None] * rng.uniform(0.3, 1, 4)
    return SoundBands("drawn", 0.0, 0.0, seconds, moments_s, power.astype(np.float32))


@pytest.mark.parametrize("unevenness", [0.0, 0.02, 0.04])
def test_rate_of_knocks_lies_in_its_interval(unevenness: float) -> None:
    rng = np.random.default_rng(3)
    inside = 0
    for _ in range(20):
        gaps_s = rng.uniform(0.4, 1.4) * (1 + unevenness * rng.standard_normal(15))
        times_s = 0.3 + np.cumsum(gaps_s)
        true_per_min = 60 * 14 / (times_s[-1] - times_s[0])
        reading = count_events(bands(rng, times_s[-1] + 0.4, times_s, 300.0))
        rate = reading.events_per_min
        if isinstance(rate, NotMeasured):
            # An uneven foot may be left uncounted, an even one not.
            assert unevenness > 0.01
            continue
        assert rate.n == pytest.approx(true_per_min, rel=0.02)
        inside += abs(rate.n - true_per_min) < 1.96 * rate.s
    assert inside >= 16


def test_chance_is_no_rhythm() -> None:
    """Steady noise, and knocks strewn at random (Poisson), give no answer."""
    rng = np.random.default_rng(4)
    answered = 0
    for mean_per_s in (0.0, 1.0, 2.0, 4.0):
        for _ in range(25):
            seconds = rng.uniform(4, 15)
            times_s = rng.uniform(0, seconds, rng.poisson(mean_per_s * seconds))
            reading = count_events(bands(rng, seconds, times_s, 10 ** rng.uniform(1, 3, len(times_s))))
            answered += bool(reading.candidates)
    assert answered <= 2


def test_several_clicks_in_a_tick_count_once(tmp_path: Path) -> None:
    rng = np.random.default_rng(6)
    ticks_s = 0.4 + np.arange(10) * 0.8
    both_s = np.sort(np.concatenate([ticks_s, ticks_s + 0.045]))
    made = noise(rng, 8.4) + knocks(rng, 8.4, both_s, np.tile([0.2, 0.15], 10))
    reading = measure_sound(write_sound(tmp_path / "ticks.wav", made))
    assert not isinstance(reading.events_per_min, NotMeasured)
    assert reading.events_per_min.n == pytest.approx(75.0, rel=0.005)
    assert reading.remarks == (MAY_BE_DOUBLE,)
    assert np.array(reading.times_s) == pytest.approx(ticks_s, abs=0.03)


def test_every_other_weaker_names_both_rates() -> None:
    rng = np.random.default_rng(7)
    reading = count_events(bands(rng, 11.0, EVEN_S / 2, np.tile([2000.0, 200.0], 10)))
    assert not isinstance(reading.events_per_min, NotMeasured)
    assert [each.n for each in reading.candidates] == pytest.approx([120.0, 60.0], rel=0.005)
    assert reading.remarks == (EVERY_OTHER,)


def test_faint_ones_between_leave_the_rate_open() -> None:
    rng = np.random.default_rng(8)
    reading = count_events(bands(rng, 21.0, EVEN_S, np.tile([20000.0, 15.0], 10)))
    assert reading.events_per_min == BETWEEN
    assert [each.n for each in reading.candidates] == pytest.approx([30.0, 60.0], rel=0.005)


def test_silence_and_noise_say_why(tmp_path: Path) -> None:
    silence = measure_sound(write_sound(tmp_path / "silence.wav", np.zeros(24_000 * 6)))
    assert silence.events_per_min == NOTHING_REGULAR
    hiss = measure_sound(write_sound(tmp_path / "hiss.wav", noise(np.random.default_rng(9), 6.0)))
    assert hiss.events_per_min == NOTHING_REGULAR


def test_self_agreement_against_the_sum_written_out() -> None:
    """Slow oracle: the correlation coefficient (about the whole mean) of the overlapping parts."""
    course = np.random.default_rng(1).gamma(1.0, 1.0, 60)
    fast, apart = self_agreement(course), course - course.mean()
    for shift in (1, 7, 30, 55):
        early, late = apart[: 60 - shift], apart[shift:]
        slow = np.sum(early * late) / np.sqrt(np.sum(early**2) * np.sum(late**2))
        assert fast[shift] == pytest.approx(slow, abs=1e-9)
