"""Two witnesses: put together where they agree, told apart where not, silent where the clock is in doubt."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.vision.drawn_bands import DrawnTurning
from uncertainties import UFloat, ufloat

from whirlwise.vision import clip_sound
from whirlwise.vision.clip_reading import FlyerTurning, OrderPeak, SoundTurning
from whirlwise.vision.clip_sound import (
    CLOCK_UNSURE,
    ONLY_HEARD,
    TIE_BROKEN,
    Clock,
    Witnesses,
    sound_of,
    with_sound,
)
from whirlwise.vision.errors import UnreadableFileError
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.open.sound import SoundBands
from whirlwise.vision.turning.course import turns_of

DRAWN = DrawnTurning(slip_swing=0.0)
LOUD = (1.6, 0.8, 0.4)
NOT_SEEN = NotMeasured("No flyer was seen.", "Film it.")
OPEN = NotMeasured("Two ratios explain the clip.", "Film again.")


def seen(*ratios: UFloat) -> FlyerTurning:
    told = ratios[0] if len(ratios) == 1 else OPEN
    nothing = np.zeros((1, 2))
    peaks = tuple(OrderPeak(ratio, 10.0) for ratio in ratios)
    return FlyerTurning(told, told, told, peaks, (0.0, 0.0), nothing, nothing[0], nothing[0], nothing[0])


def asked(
    monkeypatch: pytest.MonkeyPatch,
    flyer: FlyerTurning | NotMeasured,
    hum: tuple[float, ...] = LOUD,
    stretch: float = 1.0,
    sound_stretch: float = 1.0,
    *,
    given: bool = False,
) -> Witnesses:
    """Witnesses of a drawn clip whose file plays ``stretch`` times longer than reality."""
    sound = DRAWN.bands(DRAWN.hiss() * DRAWN.hum(hum))
    played = replace(sound, seconds=sound.seconds * sound_stretch, times_s=sound.times_s * sound_stretch)
    monkeypatch.setattr(clip_sound, "read_sound", lambda _: played)
    turned = turns_of(DRAWN.pictures_s, DRAWN.path_rad(), 0.003)
    clock = Clock(DRAWN.pictures_s, float(DRAWN.pictures_s[-1]) * stretch, given=given)
    return with_sound(sound_of(Path("drawn.mp4")), clock, turned, flyer)


def heard(witnesses: Witnesses) -> UFloat:
    assert isinstance(witnesses.sound, SoundTurning)
    assert not isinstance(witnesses.sound.ratio, NotMeasured)
    return witnesses.sound.ratio


def both(witnesses: Witnesses) -> UFloat:
    assert not isinstance(witnesses.ratio, NotMeasured)
    return witnesses.ratio


def test_where_they_agree_both_tell_more_than_either(monkeypatch: pytest.MonkeyPatch) -> None:
    told = asked(monkeypatch, seen(ufloat(11.371, 0.003)))
    assert heard(told).n == pytest.approx(11.37, rel=1e-3)
    assert both(told).s < min(0.003, heard(told).s)
    low, high = sorted((11.371, heard(told).n))
    assert low <= both(told).n <= high
    assert told.remarks == ()


def test_uncertainties_that_both_share_do_not_shrink() -> None:
    """By hand: common part 3, own parts 4 and 4, so the mean has sqrt(3^2 + (4^2 / 2)) = 4.123."""
    common = ufloat(0, 3)
    ratio, _ = clip_sound._together(100 + common + ufloat(0, 4), 101 + common + ufloat(0, 4))
    assert not isinstance(ratio, NotMeasured)
    assert (ratio.n, ratio.s) == pytest.approx((100.5, 17**0.5))


def test_the_sound_alone_tells_where_no_flyer_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    told = asked(monkeypatch, NOT_SEEN)
    assert both(told).n == pytest.approx(11.37, rel=1e-3)
    assert told.remarks == (ONLY_HEARD,)


def test_a_faint_sound_alone_leaves_the_double_open(monkeypatch: pytest.MonkeyPatch) -> None:
    told = asked(monkeypatch, NOT_SEEN, hum=(0.3, 0.2))
    assert isinstance(told.sound, SoundTurning)
    assert told.sound.ratio == clip_sound.TWICE_OR_NOT
    assert [each.n for each in told.sound.candidates] == pytest.approx([11.37, 11.37 / 2], rel=2e-3)
    assert told.ratio == NOT_SEEN
    assert told.remarks[0].startswith("In the sound something turns 11.37 or 5.68")


def test_sound_breaks_a_tie(monkeypatch: pytest.MonkeyPatch) -> None:
    told = asked(monkeypatch, seen(ufloat(18.63, 0.01), ufloat(11.37, 0.01)))
    assert isinstance(told.flyer, FlyerTurning)
    assert not isinstance(told.flyer.ratio, NotMeasured)
    assert told.flyer.ratio.n == 11.37
    assert TIE_BROKEN in told.remarks


def test_sound_does_not_choose_between_a_ratio_and_its_half(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two like arms sound twice a turn: what is heard at 11.37 may be a flyer at 5.685."""
    told = asked(monkeypatch, seen(ufloat(5.685, 0.005), ufloat(11.37, 0.01)))
    assert isinstance(told.flyer, FlyerTurning)
    assert told.flyer.ratio == OPEN


def test_twice_a_turn_is_heard_of_two_like_arms(monkeypatch: pytest.MonkeyPatch) -> None:
    told = asked(monkeypatch, seen(ufloat(5.685, 0.005)))
    assert heard(told).n == pytest.approx(5.685, rel=1e-3)


def test_where_they_disagree_nothing_is_put_together(monkeypatch: pytest.MonkeyPatch) -> None:
    told = asked(monkeypatch, seen(ufloat(14.2, 0.01)))
    assert told.ratio == NotMeasured(
        "Pictures and sound disagree on the ratio (14.2 and 11.37 turns), so they were not put together.",
        "Film again, for longer and closer to the flyer.",
    )


def test_a_small_difference_is_covered(monkeypatch: pytest.MonkeyPatch) -> None:
    told = asked(monkeypatch, seen(ufloat(11.43, 0.001)))
    assert both(told).n - 1.96 * both(told).s < 11.371
    assert both(told).n + 1.96 * both(told).s > 11.429
    assert len(told.remarks) == 1


@pytest.mark.parametrize("sound_stretch", [1.0, 4.0], ids=["at its own speed", "stretched along"])
def test_sound_of_slow_motion_must_be_borne_out(
    monkeypatch: pytest.MonkeyPatch, sound_stretch: float
) -> None:
    agreeing = asked(monkeypatch, seen(ufloat(11.37, 0.01)), stretch=4.0, sound_stretch=sound_stretch)
    assert heard(agreeing).n == pytest.approx(11.37, rel=1e-3)
    alone = asked(monkeypatch, NOT_SEEN, stretch=4.0, sound_stretch=sound_stretch)
    assert isinstance(alone.sound, SoundTurning)
    assert alone.sound.ratio == CLOCK_UNSURE


def test_sound_with_a_clock_of_its_own_tells_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    assert asked(monkeypatch, NOT_SEEN, stretch=4.0, sound_stretch=2.0).sound == CLOCK_UNSURE


def test_lengths_that_differ_are_remarked(monkeypatch: pytest.MonkeyPatch) -> None:
    told = asked(monkeypatch, NOT_SEEN, sound_stretch=0.5)
    assert told.remarks[0] == (
        "The sound lasts 6.00 s, the pictures 11.97 s: their clocks do not agree. If this is slow motion, "
        "say at which rate it was taken (--captured-at)."
    )
    assert isinstance(told.sound, NotMeasured) or isinstance(told.sound.ratio, NotMeasured)


@pytest.mark.parametrize("stretch", [4.0, 0.25], ids=["slow motion", "quick motion"])
def test_sound_may_speak_against_a_rate_that_was_given(
    monkeypatch: pytest.MonkeyPatch, stretch: float
) -> None:
    told = asked(monkeypatch, NOT_SEEN, stretch=stretch, sound_stretch=stretch, given=True)
    assert told.remarks[0] == (
        "The sound lasts as long as the file plays. If you hear it at its natural pitch, the clip was not "
        "taken at the rate that you gave; then leave it out (--captured-at)."
    )
    silent = asked(monkeypatch, NOT_SEEN, stretch=stretch, sound_stretch=1.0, given=True)
    assert not any("natural pitch" in remark for remark in silent.remarks)


def test_a_spoilt_sound_leaves_the_pictures_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    def spoilt(path: Path) -> SoundBands:
        raise UnreadableFileError(f"{path}: got sound in an encoding unknown here")

    monkeypatch.setattr(clip_sound, "read_sound", spoilt)
    flyer = seen(ufloat(11.37, 0.01))
    turned = turns_of(DRAWN.pictures_s, DRAWN.path_rad(), 0.003)
    told = with_sound(sound_of(Path("clip.mp4")), Clock(DRAWN.pictures_s, 11.97), turned, flyer)
    assert told == Witnesses(flyer, clip_sound.SPOILT, flyer.ratio, ())


def test_silence_is_no_witness(monkeypatch: pytest.MonkeyPatch) -> None:
    assert isinstance(asked(monkeypatch, seen(ufloat(11.37, 0.01)), hum=(0.0,)).sound, NotMeasured)
    nothing = SoundBands("s", 0.0, 0.0, 12.0, DRAWN.moments_s, np.zeros((4800, 4), np.float32))
    monkeypatch.setattr(clip_sound, "read_sound", lambda _: nothing)
    turned = turns_of(DRAWN.pictures_s, DRAWN.path_rad(), 0.003)
    clock = Clock(DRAWN.pictures_s, float(DRAWN.pictures_s[-1]))
    assert isinstance(with_sound(sound_of(Path("s.mp4")), clock, turned, NOT_SEEN).sound, NotMeasured)
