"""Clicks to treadle by: each at its sample, over nothing that is there."""

from __future__ import annotations

import wave
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from tests.cli.conftest import Whirlwise


def read(path: Path) -> tuple[NDArray[np.int16], int]:
    with wave.open(str(path), "rb") as track:
        assert (track.getnchannels(), track.getsampwidth()) == (1, 2)
        return np.frombuffer(track.readframes(track.getnframes()), "<i2").astype(
            np.int16
        ), track.getframerate()


def onsets_heard(samples: NDArray[np.int16]) -> NDArray[np.intp]:
    """First sample of every sound after a hundredth of a second of silence."""
    loud = np.flatnonzero(samples)
    return np.asarray(loud[np.concatenate([[True], np.diff(loud) > 220])])


@pytest.mark.parametrize(
    ("cadence", "minutes", "clicks"), [("60", "1", 1), ("61.3", "2", 1), ("97", "0.5", 2), ("200", "0.2", 2)]
)
def test_each_click_begins_at_the_sample_next_to_its_time(
    whirlwise: Whirlwise, tmp_path: Path, cadence: str, minutes: str, clicks: int
) -> None:
    path = tmp_path / "click.wav"
    done = whirlwise("practice", "--cadence", cadence, "--minutes", minutes, "--clicks", clicks, "--to", path)
    assert done.status == 0
    samples, rate = read(path)
    assert len(samples) == round(float(minutes) * 60 * rate)
    heard = onsets_heard(samples)
    true_s = np.arange(len(heard)) * 60 / (float(cadence) * clicks)
    # Half a sample, from the first click to the last: nothing adds up.
    assert np.abs(heard / rate - true_s).max() * rate <= 0.5 + 1e-6
    assert f"{len(heard)} in {float(minutes):g} minutes" in done.out
    # No click is left out but those that would be cut off.
    assert 0.09 <= float(minutes) * 60 - true_s[-1] < 60 / (float(cadence) * clicks) + 0.09


def test_accents_are_louder_and_deeper(whirlwise: Whirlwise, tmp_path: Path) -> None:
    path = tmp_path / "click.wav"
    whirlwise("practice", "--cadence", 60, "--minutes", 0.2, "--accent", 3, "--to", path)
    samples, rate = read(path)
    sounds = [samples[at : at + rate // 12].astype(float) for at in onsets_heard(samples)]
    loud = np.array([np.abs(sound).max() for sound in sounds])
    deep = np.array([np.argmax(np.abs(np.fft.rfft(sound))) for sound in sounds])
    accented = np.arange(len(sounds)) % 3 == 0
    assert loud[accented].min() > 1.4 * loud[~accented].max()
    assert deep[accented].max() < deep[~accented].min()
    assert np.abs(samples.astype(int)).max() < 32_767  # nothing is cut off at the top
    whirlwise("practice", "--cadence", 60, "--minutes", 0.2, "--accent", 0, "--to", path, "--force")
    even, _ = read(path)
    assert len({int(np.abs(even[at : at + 500].astype(int)).max()) for at in onsets_heard(even)}) == 1


def test_cautions_are_shown(whirlwise: Whirlwise, tmp_path: Path) -> None:
    done = whirlwise("practice", "--cadence", 60, "--minutes", 0.1, "--to", tmp_path / "a.wav")
    assert "If a knee, a hip or your back hurts, stop" in done.out
    assert "every half hour" in done.out


def test_nothing_is_written_over(whirlwise: Whirlwise, tmp_path: Path) -> None:
    path = tmp_path / "click.wav"
    path.write_bytes(b"mine")
    done = whirlwise("practice", "--cadence", 60, "--to", path)
    assert done.status == 2
    assert "which is there already; give another name, or --force to write over it." in done.err
    assert path.read_bytes() == b"mine"


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--cadence", "5"], "--cadence got '5' but expects a number from 10 to 200, such as 60."),
        (["--cadence", "fast"], "--cadence got 'fast' but expects a number above zero, such as 60."),
        (
            ["--cadence", "60", "--minutes", "600"],
            "--minutes got '600' but expects a number from 0.1 to 30, such as 5.",
        ),
    ],
)
def test_what_cannot_be_meant(
    whirlwise: Whirlwise, tmp_path: Path, arguments: list[str], sentence: str
) -> None:
    done = whirlwise("practice", *arguments, "--to", tmp_path / "a.wav")
    assert (done.status, done.err.strip()) == (2, sentence)
    assert not list(tmp_path.iterdir())


def test_another_kind_of_file(whirlwise: Whirlwise, tmp_path: Path) -> None:
    done = whirlwise("practice", "--cadence", 60, "--to", tmp_path / "a.mp3")
    assert done.status == 2
    assert "writes WAV sound; let the name end in .wav." in done.err
