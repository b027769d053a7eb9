"""Reading a sound: loudness against sums written out, times, kinds of file, troubles."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import welch
from tests.vision.drawn_clips import DrawnClip, write_clip
from tests.vision.drawn_sounds import SAMPLES_PER_S, knocks, noise, write_sound

from whirlwise.vision.errors import UnreadableFileError
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.open.sound import (
    BAND_EDGES_HZ,
    NO_SOUND,
    TOO_SHORT,
    SoundBands,
    is_only_heard,
    read_sound,
)

RNG = np.random.default_rng(5)


def bands_of(path: Path) -> SoundBands:
    sound = read_sound(path)
    assert not isinstance(sound, NotMeasured)
    return sound


def test_power_is_that_of_scipys_spectrum(tmp_path: Path) -> None:
    """SciPy's Welch estimate, summed over each band, is an independent mean square."""
    made = noise(RNG, 8.0, 0.1)
    sound = bands_of(write_sound(tmp_path / "noise.wav", made))
    frequency, density = welch(made, SAMPLES_PER_S, nperseg=4096)
    for band, (low, high) in enumerate(pairwise(BAND_EDGES_HZ[:4])):
        inside = (frequency >= low) & (frequency < high)
        expected = float(density[inside].sum() * frequency[1])
        # Bands end at whole bins of 94 Hz, which matters in the narrow lowest one.
        assert float(sound.power[:, band].mean()) == pytest.approx(expected, rel=0.1 if band else 0.3)


@pytest.mark.parametrize(("name", "codec"), [("k.wav", "pcm_s16le"), ("k.m4a", "aac"), ("k.flac", "flac")])
def test_a_knock_is_heard_when_it_came(tmp_path: Path, name: str, codec: str) -> None:
    made = noise(RNG, 4.0, 0.001) + knocks(RNG, 4.0, np.array([2.5]), 0.3)
    sound = bands_of(write_sound(tmp_path / name, made, codec=codec))
    loud = sound.times_s[sound.power[:, 1] > 0.2 * sound.power[:, 1].max()]
    assert loud[0] == pytest.approx(2.5, abs=0.012)
    assert sound.seconds == pytest.approx(4.0, abs=0.05)


def test_pieces_join_without_a_seam(tmp_path: Path) -> None:
    """Longer than a batch: a steady noise stays steady, and time goes on in even steps."""
    sound = bands_of(write_sound(tmp_path / "long.wav", noise(RNG, 25.0, 0.1)))
    level = 10 * np.log10(sound.power[:, 2])
    assert np.ptp(level[: len(level) // 400 * 400].reshape(-1, 400).mean(axis=1)) < 1.0
    np.testing.assert_allclose(np.diff(sound.times_s), 1 / 400, atol=1e-9)
    assert len(sound.times_s) == pytest.approx(25 * 400, abs=6)


def test_a_pause_of_the_recording_keeps_its_time(tmp_path: Path) -> None:
    made = noise(RNG, 6.0, 0.001) + knocks(RNG, 6.0, np.array([1.0, 5.0]), 0.3)
    sound = bands_of(write_sound(tmp_path / "pause.mka", made, codec="flac", gap_s=2.0))
    assert sound.seconds == pytest.approx(8.0, abs=0.1)
    loud = sound.times_s[sound.power[:, 1] > 0.2 * sound.power[:, 1].max()]
    assert loud[0] == pytest.approx(1.0, abs=0.02)
    assert loud[-1] == pytest.approx(7.0, abs=0.15)


def test_a_clip_without_sound_says_so(tmp_path: Path) -> None:
    clip = write_clip(tmp_path / "clip.mp4", DrawnClip(frames=10).pictures())
    assert read_sound(clip) == NO_SOUND
    assert not is_only_heard(clip)


def test_a_moment_is_too_short(tmp_path: Path) -> None:
    assert read_sound(write_sound(tmp_path / "short.wav", noise(RNG, 0.5))) == TOO_SHORT


def test_what_is_no_sound_is_refused_in_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "words.wav"
    path.write_text("no sound at all")
    with pytest.raises(UnreadableFileError) as refused:
        read_sound(path)
    assert str(refused.value) == (
        f"{path}: got a file that cannot be decoded (another kind of file, or one that was cut off), "
        "expected a sound file such as .wav, .m4a or .ogg, or a clip with sound; record it again, or copy "
        "it again from the camera."
    )
    assert not is_only_heard(path)
    assert not is_only_heard(tmp_path / "missing.wav")
    assert is_only_heard(write_sound(tmp_path / "sound.wav", noise(RNG, 2.0)))
