"""``whirlwise slip`` as a person meets it, and a sound file given to ``whirlwise clip``."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from tests.vision.drawn_sounds import knocks, noise, write_sound
from uncertainties import ufloat

from whirlwise.calc.slip import SlipMeaning
from whirlwise.cli.show.causes import CAUSES
from whirlwise.cli.show.slip_words import EVEN_TURN, MEANINGS, STEADY
from whirlwise.vision.clip_reading import ClipReading, FlyerTurning
from whirlwise.vision.measured import NotMeasured

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

NO_RATIO = NotMeasured("No flyer was seen.", "Film it.")


def told(whirlwise: Whirlwise, folder: Path, *options: str) -> Any:
    outcome = whirlwise("slip", folder / "hand.mp4", folder / "work.mp4", "--json", *options)
    assert outcome.status == 0, outcome.err
    return json.loads(outcome.out)


@pytest.mark.usefixtures("clips")
def test_slip_with_its_interval_and_course(whirlwise: Whirlwise, tmp_path: Path) -> None:
    document = told(whirlwise, tmp_path)
    slip = document["slip_percent"]
    assert slip["value"] == pytest.approx(100 * (1 - 12.6674 / 12.8), abs=0.005)
    assert slip["low"] < 1.036 < slip["high"] < slip["low"] + 0.3
    assert [each["slip_percent"]["value"] for each in document["course"]] == pytest.approx(
        [100 * (1 - 12.6674 / 12.8)] * 4, abs=0.01
    )
    assert document["remarks"] == [MEANINGS[SlipMeaning.USUAL], STEADY]
    assert [document[each]["file"] for each in ("hand", "work")] == ["hand.mp4", "work.mp4"]
    assert document["twist"] is None


@pytest.mark.usefixtures("clips")
@pytest.mark.parametrize(("side", "twist"), [("orifice", "Z"), ("behind", "S")])
def test_side_tells_the_twist(whirlwise: Whirlwise, tmp_path: Path, side: str, twist: str) -> None:
    """Clockwise looking into the orifice is Z (ISO 2)."""
    assert told(whirlwise, tmp_path, "--side", side)["twist"] == twist
    words = whirlwise("slip", tmp_path / "hand.mp4", tmp_path / "work.mp4", "--side", side).out
    assert f"puts in {twist} twist" in words
    assert "before you treadle" in words


def test_much_slip_names_its_causes(
    whirlwise: Whirlwise, tmp_path: Path, clips: dict[str, ClipReading]
) -> None:
    clips["work.mp4"] = replace(clips["work.mp4"], ratio=ufloat(12.1, 0.002))
    assert CAUSES in told(whirlwise, tmp_path)["remarks"]
    assert CAUSES not in told(whirlwise, tmp_path, "--drive", "bobbin-led")["remarks"]


def test_double_drive_is_no_fault(
    whirlwise: Whirlwise, tmp_path: Path, clips: dict[str, ClipReading]
) -> None:
    clips["work.mp4"] = replace(clips["work.mp4"], ratio=ufloat(9.6, 0.002))
    remarks = told(whirlwise, tmp_path, "--drive", "double")["remarks"]
    assert remarks[0] == MEANINGS[SlipMeaning.HELD_BACK]
    assert any("it is how such a wheel works" in remark for remark in remarks)
    assert CAUSES not in remarks


@pytest.mark.parametrize("name", ["hand.mp4", "work.mp4"])
def test_a_missing_ratio_is_told(
    whirlwise: Whirlwise, tmp_path: Path, clips: dict[str, ClipReading], name: str
) -> None:
    clips[name] = replace(clips[name], ratio=NO_RATIO, flyer=NO_RATIO)
    document = told(whirlwise, tmp_path)
    assert document["slip_percent"] is None
    where = "By hand" if name == "hand.mp4" else "At work"
    assert document["remarks"] == [f"{where}: No flyer was seen. Film it."]


@pytest.mark.usefixtures("clips")
def test_one_clip_twice_is_refused(whirlwise: Whirlwise, tmp_path: Path) -> None:
    outcome = whirlwise("slip", tmp_path / "hand.mp4", tmp_path / "hand.mp4")
    assert outcome.status == 2
    assert outcome.err == ("hand.mp4 was given twice; give a clip turned by hand first, then one at work.\n")


@pytest.mark.parametrize(("sways_rad", "told_at"), [(0.3, "12 o'clock"), (0.0, None)])
def test_slip_through_the_turn(
    whirlwise: Whirlwise,
    tmp_path: Path,
    clips: dict[str, ClipReading],
    sways_rad: float,
    told_at: str | None,
) -> None:
    """A sway of -A sin(a) holds the flyer back by A / ratio most at a = 0."""
    work = clips["work.mp4"]
    assert isinstance(work.flyer, FlyerTurning)
    sway = tuple(ufloat(value, 0.01) for value in (0.0, -sways_rad, 0.0, 0.0))
    clips["work.mp4"] = replace(work, flyer=replace(work.flyer, sway_rad=sway))
    places = told(whirlwise, tmp_path)["through_turn"]
    assert [place["at_deg"] for place in places] == [30.0 * n for n in range(12)]
    mean = told(whirlwise, tmp_path)["slip_percent"]["value"]
    assert places[0]["slip_percent"]["value"] - mean == pytest.approx(100 * sways_rad / 12.8, abs=0.02)
    words = " ".join(whirlwise("slip", tmp_path / "hand.mp4", tmp_path / "work.mp4").out.split())
    assert (EVEN_TURN in words) == (told_at is None)
    assert told_at is None or f"first picture has come to {told_at}" in words


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    rng = np.random.default_rng(2)
    times_s = np.linspace(0.4, 7.6, 10)
    made = np.add(noise(rng, 9.0), knocks(rng, 9.0, times_s, 0.3))
    return write_sound(tmp_path / "treadle.wav", made)


def test_a_sound_file_tells_events_a_minute(whirlwise: Whirlwise, recording: Path) -> None:
    document = json.loads(whirlwise("clip", recording, "--json").out)
    assert document.keys() == {"file", "events_per_min", "candidates", "remarks"}
    assert document["events_per_min"]["value"] == pytest.approx(75.0, rel=0.005)
    assert document["candidates"] == [document["events_per_min"]]
    words = whirlwise("clip", recording).out
    assert words.startswith("Something knocks, creaks or ticks 75.")
    assert max(map(len, words.splitlines())) <= 88


def test_silence_leaves_with_status_3(whirlwise: Whirlwise, tmp_path: Path) -> None:
    silence = write_sound(tmp_path / "silence.wav", np.zeros(24_000 * 4))
    outcome = whirlwise("clip", silence, "--json")
    assert outcome.status == 3
    assert json.loads(outcome.out)["events_per_min"] is None
    assert "No rate could be told" in whirlwise("clip", silence).out


@pytest.mark.parametrize("option", ["--proof", "--add-to"])
def test_what_a_sound_cannot_give_is_refused(
    whirlwise: Whirlwise, recording: Path, tmp_path: Path, option: str
) -> None:
    outcome = whirlwise("clip", recording, option, tmp_path / "new")
    assert outcome.status == 2
    assert outcome.err.endswith("expects pictures, but treadle.wav holds only sound.\n")
    assert not (tmp_path / "new").exists()
