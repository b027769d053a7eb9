"""``whirlwise rhythm``: one session or several, in words, as JSON and drawn."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.cli.conftest import rhythm_by_hand
from tests.vision.drawn_clips import DrawnClip, write_clip
from tests.vision.drawn_sounds import knocks, noise, write_sound
from uncertainties import ufloat

from whirlwise.cli.show import palette
from whirlwise.cli.show.proof_rhythm import proof_of_rhythm
from whirlwise.cli.show.rhythm_words import clock
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.session import SessionReading

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.cli.conftest import Whirlwise

CALM, WILD = "calm.mp4", "wild.mp4"


def session(file: str, spread_percent: float) -> SessionReading:
    rhythm = rhythm_by_hand(spread_percent)
    return SessionReading(file, 41.0, ufloat(60.0, 0.01), np.empty((0, 2)), rhythm, ())


@pytest.fixture
def measured_sessions(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sessions by hand in the place of clips."""
    lost = NotMeasured("Nothing turns in this clip.", "Film the wheel while it turns.")
    known = {
        CALM: session(CALM, 1.0),
        WILD: session(WILD, 3.0),
        "cat.mp4": SessionReading("cat.mp4", 5.0, lost, np.empty((0, 2)), lost, ()),
    }

    def measure(path: Path, settings: object, tell: object) -> SessionReading:
        return known[path.name]

    monkeypatch.setattr("whirlwise.cli.commands.rhythm.measure_session", measure)


def test_a_drawn_clip_end_to_end(whirlwise: Whirlwise, tmp_path: Path) -> None:
    drawn = DrawnClip(frames=210, flyer=False)
    path = write_clip(tmp_path / "a.mp4", drawn.pictures())
    done = whirlwise("rhythm", path, "--wished", 66, "--json")
    assert done.status == 0
    told = json.loads(done.out)["sessions"][0]
    times_s = np.linspace(0, drawn.times_s()[-1], 20_000)
    way = drawn.wheel_rad(times_s + drawn.exposure_s / 2)
    way = way - way[0]
    turn_s = np.diff(np.interp(2 * np.pi * np.arange(int(way[-1] / 2 / np.pi) + 1), way, times_s))
    assert told["rhythm"]["turn_times_s"] == pytest.approx(turn_s.tolist(), rel=0.01)
    # Speed at each angle, of the mean: the drawn course is known, so this is its own swing.
    speed = np.gradient(way, times_s)
    one_turn = np.array([np.interp(2 * np.pi * k + np.radians(np.arange(360)), way, speed) for k in range(6)])
    mean_turn = one_turn.mean(axis=0) / one_turn.mean()
    swing = told["rhythm"]["within_turn_percent"]
    assert swing["low"] < 100 * np.ptp(mean_turn) / 2 < swing["high"]
    assert told["against_wish"]["wished_per_min"] == 66


@pytest.mark.usefixtures("measured_sessions")
def test_one_session_in_words(whirlwise: Whirlwise) -> None:
    done = whirlwise("rhythm", CALM, "--wished", 62)
    assert done.status == 0
    assert " ".join(done.out.split()).startswith(
        "The wheel turned 60.000 (95 % sure: 59.980 to 60.020) times a minute; the time of a turn differs"
    )
    assert "has come to 8" in " ".join(done.out.split())  # slowest at 120 degrees anticlockwise from 12
    assert "turns lay within 5 % of the 62 a minute that you wished for" in " ".join(done.out.split())
    assert "If a knee, a hip or your back hurts, stop" in done.out
    assert "about 31 that do not hang together" in " ".join(done.out.split())
    assert all(len(line) <= 88 for line in done.out.splitlines())


@pytest.mark.usefixtures("measured_sessions")
def test_two_sessions_are_compared(whirlwise: Whirlwise) -> None:
    done = whirlwise("rhythm", WILD, CALM)
    words = " ".join(done.out.split())
    assert "calm.mp4 against wild.mp4: calmer; its spread is 0.33" in words
    told = json.loads(whirlwise("rhythm", CALM, WILD, "--json").out)
    assert [s["file"] for s in told["sessions"]] == [CALM, WILD]
    assert told["changes"][0]["verdict"] == "less calm"
    ratio = told["changes"][0]["spread_ratio"]
    assert 1 < ratio["low"] < 3 < ratio["high"] or ratio["value"] == pytest.approx(3)


@pytest.mark.usefixtures("measured_sessions")
def test_like_sessions_are_not_called_calmer(whirlwise: Whirlwise) -> None:
    words = " ".join(whirlwise("rhythm", CALM, CALM).out.split())
    assert "whether it was calmer can't be told" in words


@pytest.mark.usefixtures("measured_sessions")
def test_a_clip_without_a_wheel_beside_one_with(whirlwise: Whirlwise) -> None:
    done = whirlwise("rhythm", "cat.mp4", CALM, "--json")
    told = json.loads(done.out)
    assert done.status == 0
    assert told["sessions"][0]["rhythm"] is None
    assert told["sessions"][0]["cadence_per_min"] is None
    assert "cat.mp4: Nothing turns in this clip. Film the wheel while it turns." in told["remarks"]
    assert whirlwise("rhythm", "cat.mp4").status == 3


@pytest.mark.usefixtures("measured_sessions")
def test_a_drawing_where_asked_and_over_nothing(whirlwise: Whirlwise, tmp_path: Path) -> None:
    place = tmp_path / "plot.png"
    assert whirlwise("rhythm", WILD, CALM, "--proof", place).status == 0
    before = place.read_bytes()
    again = whirlwise("rhythm", CALM, "--proof", place)
    assert again.status == 2
    assert "which is there already" in again.err
    assert place.read_bytes() == before


def test_wish_that_is_none(whirlwise: Whirlwise) -> None:
    done = whirlwise("rhythm", CALM, "--wished", "fast")
    assert (done.status, done.err.strip()) == (
        2,
        "--wished got 'fast' but expects a number above zero, such as 60.",
    )


def test_missing_clip(whirlwise: Whirlwise, tmp_path: Path) -> None:
    done = whirlwise("rhythm", tmp_path / "none.mp4")
    assert done.status == 4
    assert "none.mp4" in done.err


def pixels(png: bytes) -> np.ndarray[tuple[int, ...], np.dtype[np.int64]]:
    decoded = cv2.imdecode(np.frombuffer(png, np.uint8), cv2.IMREAD_COLOR)
    assert decoded is not None
    return decoded.astype(np.int64)


def share_of(picture: np.ndarray[tuple[int, ...], np.dtype[np.int64]], colour: str) -> float:
    return float((np.abs(picture - palette.bgr(colour)).max(axis=-1) < 8).mean())


def test_each_session_has_its_colour() -> None:
    picture = pixels(proof_of_rhythm([session(WILD, 3.0), session(CALM, 1.0)], 60))
    assert share_of(picture, palette.RUST) > 0.002
    assert share_of(picture, palette.BLUE) > 0.002
    assert share_of(picture, palette.PAPER) > 0.8  # calm: most of it is empty
    alone = pixels(proof_of_rhythm([session(CALM, 1.0)]))
    assert share_of(alone, palette.BLUE) == 0


@pytest.mark.parametrize("count", [0, 1, 7])
def test_any_number_of_sessions_can_be_drawn(count: int) -> None:
    picture = pixels(proof_of_rhythm([session(f"{n}.mp4", 1.0 + n) for n in range(count)]))
    assert picture.shape[1] == round(5.5 * 210)
    # Nothing runs over the edge.
    edges = np.concatenate([picture[:, -1], picture[-1]])
    assert (edges == palette.bgr(palette.PAPER)).all()


def test_clock_positions() -> None:
    """A point at 12 that is turned a quarter anticlockwise stands at 9."""
    assert [clock(deg) for deg in (0, 90, 180, 270, 359, 15, 345)] == [
        "12 o'clock",
        "9 o'clock",
        "6 o'clock",
        "3 o'clock",
        "12 o'clock",
        "half past 11",
        "half past 12",
    ]


def knocking(path: Path, times_s: NDArray[np.float64], weak: float = 1.0) -> Path:
    """A treadle that knocks at these times, every other time ``weak`` times as loud."""
    rng, seconds = np.random.default_rng(3), float(times_s[-1]) + 1
    loud = np.where(np.arange(len(times_s)) % 2, 0.3 * weak, 0.3)
    return write_sound(path, np.add(noise(rng, seconds), knocks(rng, seconds, times_s, loud)))


def test_a_sound_alone_is_a_session(whirlwise: Whirlwise, tmp_path: Path) -> None:
    times_s = np.asarray(0.5 + np.cumsum(np.random.default_rng(5).normal(0.9, 0.03, 30)), np.float64)
    path = knocking(tmp_path / "march.wav", times_s)
    told = json.loads(whirlwise("rhythm", path, "--wished", 65, "--json").out)
    assert {"file", "events_per_min", "candidates", "remarks"} <= told.keys()
    session = told["sessions"][0]
    assert session["rhythm"]["turn_times_s"] == pytest.approx(np.diff(times_s).tolist(), abs=0.01)
    cadence = session["cadence_per_min"]
    assert cadence["low"] < 60 / np.diff(times_s).mean() < cadence["high"]
    assert session["rhythm"]["within_turn_percent"] is None
    words = " ".join(whirlwise("rhythm", path).out.split())
    assert "A treadle that knocks at both ends of its way is counted twice" in words
    assert "wheel's angle in every picture" not in words


def test_where_two_rates_may_be_meant_no_rhythm_is_told(whirlwise: Whirlwise, tmp_path: Path) -> None:
    path = knocking(tmp_path / "both.wav", np.linspace(0.5, 12.0, 24), weak=0.4)
    told = json.loads(whirlwise("rhythm", path, "--json").out)
    assert len(told["candidates"]) == 2
    assert told["sessions"][0]["rhythm"] is None
    assert any("open which knocks mark a turn" in remark for remark in told["remarks"])
    words = " ".join(whirlwise("rhythm", path).out.split())
    assert "both.wav: " not in words
    assert "something is heard again and again, 120" in words.lower()


def test_progress_names_which_of_several_files(whirlwise: Whirlwise, monkeypatch: pytest.MonkeyPatch) -> None:
    said = []

    def measure(path: Path, settings: object, tell: Callable[[str, float], None]) -> SessionReading:
        tell("reading the clip", 0.5)
        return session(path.name, 1.0)

    monkeypatch.setattr("whirlwise.cli.commands.rhythm.measure_session", measure)
    monkeypatch.setattr(
        "whirlwise.cli.commands.rhythm.Progress.tell", lambda self, what, share: said.append((what, share))
    )
    assert whirlwise("rhythm", WILD, CALM).status == 0
    assert said == [("1 of 2, reading the clip", 0.5), ("2 of 2, reading the clip", 0.5)]
