"""Sessions at the wheel in the wheel's file: added, compared with later ones, checked on reading."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.cli.conftest import rhythm_by_hand
from uncertainties import ufloat

from whirlwise.cli.keep.store import read_wheel
from whirlwise.cli.keep.told_session import session_of_kept
from whirlwise.cli.show.session import session_of
from whirlwise.vision.errors import UnreadableFileError
from whirlwise.vision.session import SessionReading

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise


@pytest.fixture
def clips(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, Path]:
    """Two clips whose rhythm is known by hand: 3 % of spread, then 1 %."""

    def measure(path: Path, settings: object, progress: object = None) -> SessionReading:
        rhythm = rhythm_by_hand(3.0 if path.name == "monday.mp4" else 1.0)
        return SessionReading(path.name, 41.0, ufloat(60.0, 0.01), np.empty((0, 2)), rhythm, ())

    monkeypatch.setattr("whirlwise.cli.commands.rhythm.measure_session", measure)
    paths = {name: tmp_path / f"{name}.mp4" for name in ("monday", "sunday")}
    for name, path in paths.items():
        path.write_bytes(name.encode())
    return paths


def test_a_session_is_kept_and_the_next_compared_with_it(
    whirlwise: Whirlwise, clips: dict[str, Path], tmp_path: Path
) -> None:
    wheel = tmp_path / "wheel.json"
    first = whirlwise("rhythm", clips["monday"], "--add-to", wheel)
    assert first.status == 0
    assert "as rhythm-1" in first.out
    assert "against" not in first.out
    second = whirlwise("rhythm", clips["sunday"], "--add-to", wheel)
    assert "sunday.mp4 against monday.mp4 (rhythm-1): calmer" in " ".join(second.out.split())
    assert [each.id for each in read_wheel(wheel).sessions] == ["rhythm-1", "rhythm-2"]
    listed = " ".join(whirlwise("wheel", wheel).out.split())
    assert "60.0 turns a minute, differing from turn to turn by 3." in listed
    told = json.loads(whirlwise("wheel", wheel, "--json").out)
    assert told["sessions"][1]["rhythm"]["turn_times_s"][0] == pytest.approx(1.0141, abs=1e-4)


def test_compared_without_writing(whirlwise: Whirlwise, clips: dict[str, Path], tmp_path: Path) -> None:
    wheel = tmp_path / "wheel.json"
    whirlwise("rhythm", clips["monday"], "--add-to", wheel)
    before = wheel.read_bytes()
    done = json.loads(whirlwise("rhythm", clips["sunday"], "--wheel", wheel, "--json").out)
    assert done["changes"][0]["verdict"] == "calmer"
    assert wheel.read_bytes() == before


def test_the_same_clip_again_takes_its_own_place(
    whirlwise: Whirlwise, clips: dict[str, Path], tmp_path: Path
) -> None:
    """And is not compared with itself."""
    wheel = tmp_path / "wheel.json"
    whirlwise("rhythm", clips["monday"], "--add-to", wheel)
    again = whirlwise("rhythm", clips["monday"], "--add-to", wheel)
    assert "against" not in again.out
    assert "took the place of the old one" in " ".join(again.out.split())
    assert len(read_wheel(wheel).sessions) == 1


def test_what_was_kept_is_what_was_measured(
    whirlwise: Whirlwise, clips: dict[str, Path], tmp_path: Path
) -> None:
    wheel = tmp_path / "wheel.json"
    whirlwise("rhythm", clips["monday"], "--add-to", wheel)
    kept = session_of_kept(read_wheel(wheel).sessions[0])
    measured = session_of("monday", rhythm_by_hand(3.0))
    assert kept is not None
    assert kept.turn_times_s == pytest.approx(measured.turn_times_s, abs=1e-4)
    assert kept.within_turn_percent is not None
    assert kept.within_turn_percent.n == pytest.approx(8.0)
    assert kept.within_turn_percent.s == pytest.approx(0.5, rel=0.02)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("turn_times_s", [1.0, -1.0, 1.0, 1.0, 1.0]),
        ("turn_times_s", [1.0, "1", 1.0, 1.0, 1.0]),
        ("turn_times_s", [1.0]),
        ("turn_times_s", None),
        ("within_turn_percent", {"value": 9, "low": 1, "high": 2}),
        ("within_turn_percent", 8),
    ],
)
def test_a_damaged_session_is_refused(
    whirlwise: Whirlwise, clips: dict[str, Path], tmp_path: Path, key: str, value: object
) -> None:
    wheel = tmp_path / "wheel.json"
    whirlwise("rhythm", clips["monday"], "--add-to", wheel)
    document = json.loads(wheel.read_text())
    document["sessions"][0]["told"]["rhythm"][key] = value
    wheel.write_text(json.dumps(document))
    before = wheel.read_bytes()
    with pytest.raises(UnreadableFileError, match="session 1"):
        read_wheel(wheel)
    assert whirlwise("rhythm", clips["sunday"], "--add-to", wheel).status == 4
    assert wheel.read_bytes() == before


def test_a_wheel_to_compare_with_must_be_there(
    whirlwise: Whirlwise, clips: dict[str, Path], tmp_path: Path
) -> None:
    done = whirlwise("rhythm", clips["sunday"], "--wheel", tmp_path / "none.json")
    assert done.status == 4
    assert "There is no file" in done.err
