"""The flyer by ear: spectra against SciPy and a slow oracle, ratios with known turns, sounds without any."""

import numpy as np
import pytest
from scipy.signal import welch
from tests.vision.drawn_bands import TINT, DrawnTurning, Floats, burst

from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.turning.sound_flyer import NOT_HEARD, TOO_FEW_TURNS, HeardFlyer, hear_flyer
from whirlwise.vision.turning.sound_orders import STEPS_PER_TURN, AngleSound, by_wheel_angle, order_spectrum


def heard(drawn: DrawnTurning, power: Floats, seen: tuple[float, ...] = ()) -> HeardFlyer | NotMeasured:
    sound = drawn.bands(power)
    return hear_flyer(sound, sound.times_s, drawn.pictures_s, drawn.path_rad(), list(seen))


def flyer_of(outcome: HeardFlyer | NotMeasured) -> HeardFlyer:
    assert isinstance(outcome, HeardFlyer)
    return outcome


def test_loudness_over_the_way_is_the_mean_of_each_step() -> None:
    """Slow oracle: a fine sum over the time in which the wheel passes each step; at rest nothing is heard."""
    times_s = np.linspace(0, 4, 121)
    path = 2 * np.pi * np.where(times_s < 2, times_s, np.maximum(times_s - 1, 2))
    moments_s = np.arange(1600) / 400
    levels = np.column_stack([np.sin(5 * moments_s), np.where((moments_s > 2) & (moments_s < 3), 50.0, 0.0)])
    found = by_wheel_angle(moments_s, levels, times_s, path, 400.0)
    assert found.levels.shape == (2, pytest.approx(3 * STEPS_PER_TURN, abs=2))
    fine_s = np.linspace(0, 4, 400_001)
    way, fine = np.interp(fine_s, times_s, path) / (2 * np.pi), np.sin(5 * fine_s)
    steps = np.floor(way * STEPS_PER_TURN).astype(int)
    slow = np.array([np.average(fine[steps == s], weights=np.gradient(way)[steps == s]) for s in (40, 700)])
    difference = found.levels[0, 700] - found.levels[0, 40]
    assert difference == pytest.approx(slow[1] - slow[0], abs=0.01)
    # The loud rest of the wheel is left out.
    assert np.ptp(found.levels[1]) < 1e-6


def test_spectrum_is_that_of_scipy() -> None:
    """SciPy's Welch estimate over the way is an independent order spectrum (one-sided: twice ours)."""
    levels = np.random.default_rng(2).normal(0, 1, (1, 10 * STEPS_PER_TURN))
    ours = order_spectrum(AngleSound(levels, 200.0))
    size = 4 * STEPS_PER_TURN
    orders, theirs = welch(levels[0], STEPS_PER_TURN, "hann", size, size // 2, 4 * size)
    some = slice(20, 160)
    # SciPy's window is a sample longer.
    density = (ours.power * ours.noise)[0, some]
    np.testing.assert_allclose(density, theirs[some] / 2, rtol=0.02, atol=1e-3 * density.max())
    assert ours.step == pytest.approx(orders[1])
    # A white noise of variance 1 has the density 1 / steps.
    assert np.median(ours.noise) == pytest.approx(1 / STEPS_PER_TURN, rel=0.1)


def test_a_line_against_the_sum_written_out() -> None:
    """Slow oracle: |sum of the windowed course times exp(-i order angle)|^2, number by number."""
    drawn = DrawnTurning()
    sound = drawn.bands(drawn.hiss() * drawn.hum())
    levels = np.log(sound.power.astype(np.float64))
    course = by_wheel_angle(sound.times_s, levels, drawn.pictures_s, drawn.path_rad(), 400.0)
    spectrum, size = order_spectrum(course), 4 * STEPS_PER_TURN
    shape = np.hanning(size)
    for order in (3.25, 8.5):
        slow = []
        for first in range(0, course.levels.shape[1] - size + 1, size // 2):
            part = course.levels[1, first : first + size]
            turn = np.exp(-2j * np.pi * order * np.arange(size) / STEPS_PER_TURN)
            slow.append(abs(np.sum((part - part.mean()) * shape * turn)) ** 2)
        place = spectrum.bins(np.array([order]))[0]
        fast = (spectrum.power * spectrum.noise)[1, place] * np.sum(shape**2) * STEPS_PER_TURN
        assert fast == pytest.approx(np.mean(slow), rel=1e-6)


@pytest.mark.parametrize("ratio", [5.63, 11.37, 17.81])
def test_ratio_by_ear_within_a_thousandth(ratio: float) -> None:
    inside = 0
    for seed in range(6):
        drawn = DrawnTurning(ratio=ratio, seed=seed, seconds=10.0)
        course = flyer_of(heard(drawn, drawn.hiss() * drawn.hum() + drawn.creaks())).course
        assert course.ratio == pytest.approx(drawn.effective_ratio, rel=1e-3)
        turns = drawn.effective_ratio * (course.way_turns[-1] - course.way_turns[0])
        inside += abs(course.turned[-1] - course.turned[0] - turns) < 1.96 * course.turns_std
    assert inside >= 4


def test_slip_is_followed_over_the_clip() -> None:
    drawn = DrawnTurning(slip_swing=0.006, seconds=16.0)
    course = flyer_of(heard(drawn, drawn.hiss() * drawn.hum())).course
    times_s = np.interp(course.way_turns, drawn.wheel_turns(drawn.moments_s), drawn.moments_s)
    apart = course.turned - drawn.flyer_turns(times_s)
    assert np.std(apart) < 0.03


@pytest.mark.parametrize("seed", range(4))
def test_chance_creaks_knots_and_talk_tell_nothing(seed: int) -> None:
    """Noise, and sounds that know nothing of the flyer, must give no ratio (16 sounds of each kind)."""
    rng = np.random.default_rng(seed)
    told = 0
    for number in range(4):
        drawn = DrawnTurning(
            seconds=rng.uniform(6, 20), turns_per_s=rng.uniform(0.6, 1.6), seed=10 * seed + number
        )
        at_random = sum(
            (
                burst(drawn.moments_s, begin_s, 0.02) * 10 ** rng.uniform(0.5, 2.5) * rng.uniform(0.1, 1, 4)
                for begin_s in rng.uniform(0, drawn.seconds, rng.poisson(3 * drawn.seconds))
            ),
            np.zeros((len(drawn.moments_s), 4)),
        )
        for more in (
            0.0,
            drawn.creaks(),
            drawn.creaks(length_s=0.004),
            drawn.creaks(length_s=0.01, every=rng.uniform(0.55, 0.9)),
            at_random,
            _talk(drawn, rng),
        ):
            told += isinstance(heard(drawn, drawn.hiss() + more), HeardFlyer)
    assert told == 0


def _talk(drawn: DrawnTurning, rng: np.random.Generator) -> Floats:
    """Syllables of changing loudness with a voice that glides about 120 Hz."""
    moments_s = drawn.moments_s
    swell = np.convolve(rng.standard_normal(len(moments_s)), np.exp(-np.arange(200) / 30) / 4, "same")
    voice = np.cumsum(2 * np.pi * 120 * np.exp(0.1 * np.sin(np.pi * moments_s)) / 400)
    return np.asarray((20 * np.exp(1.5 * swell) * (1 + 0.8 * np.cos(voice)))[:, None] * TINT)


def test_music_goes_by_the_clock() -> None:
    """Beats at even times are told from the flyer by the wheel's own unevenness."""
    for seed in range(6):
        drawn = DrawnTurning(seed=seed, seconds=10.0)
        beats_s = np.arange(0.1, 10, 0.27 + 0.02 * seed)
        music = sum((burst(drawn.moments_s, b, 0.05) * 100 for b in beats_s), np.zeros((4000, 1))) * TINT
        outcome = heard(drawn, drawn.hiss() + music)
        assert not isinstance(outcome, HeardFlyer) or outcome.by_clock
    drawn = DrawnTurning()
    assert not flyer_of(heard(drawn, drawn.hiss() * drawn.hum())).by_clock


def test_only_a_loud_flyer_shows_that_half_the_order_is_silent() -> None:
    drawn = DrawnTurning(slip_swing=0.0)
    loud = flyer_of(heard(drawn, drawn.hiss() * drawn.hum((1.6, 0.8, 0.4))))
    assert loud.half_silent
    faint = flyer_of(heard(drawn, drawn.hiss() * drawn.hum((0.3, 0.2))))
    assert not faint.half_silent


def test_of_what_is_heard_the_ratio_that_is_seen_comes_first() -> None:
    """Two things turn: without pictures the louder one is told, with them the one that they name."""
    drawn, other = DrawnTurning(), DrawnTurning(ratio=7.43)
    both = drawn.hiss() * drawn.hum() * other.hum((0.5, 0.3, 0.2))
    for seen in (drawn, other):
        course = flyer_of(heard(drawn, both, (seen.ratio,))).course
        assert course.ratio == pytest.approx(seen.effective_ratio, rel=1e-3)


def test_what_cannot_be_heard_is_said() -> None:
    drawn = DrawnTurning()
    assert heard(drawn, drawn.hiss()) == NOT_HEARD
    short = DrawnTurning(seconds=2.0)
    assert heard(short, short.hiss() * short.hum()) == TOO_FEW_TURNS
