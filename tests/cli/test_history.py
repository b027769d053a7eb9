"""Steps of a wheel's file: taken back, brought back, written and read again, whatever they were."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from whirlwise.calc.interval import Interval
from whirlwise.calc.parts import DRIVES, Band, Bobbin, Flyer, Part, Whirl
from whirlwise.calc.wheel import Dimension, Reading
from whirlwise.cli.keep.as_text import DamagedError, text_of_wheel, wheel_of_text
from whirlwise.cli.keep.changes import DropPart, SetDrive, SetPart, Standing, TakeBack, Withdraw, standing
from whirlwise.cli.keep.entries import KeptReading, KeptSession
from whirlwise.cli.keep.kept import KeptWheel
from whirlwise.cli.keep.merging import merged
from whirlwise.cli.keep.store import change_wheel, read_wheel

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise


def reading(sha256: str, pitch_mm: float = 550.0) -> KeptReading:
    told = Reading("new", {Dimension("pitch_mm"): pitch_mm}, np.array([[1e-4]]), {})
    return KeptReading("photo", "x.jpg", sha256, "2026", "the date of the file", {}, told)


def session(sha256: str) -> KeptSession:
    told = {"cadence_per_min": {"value": 60.0, "low": 59.0, "high": 61.0}, "rhythm": None}
    return KeptSession("new", "x.wav", sha256, "2026", "the date of the file", {}, told)


names = st.sampled_from(["a", "b", "lace", "größer"])
lists = st.lists(names, max_size=3, unique=True).map(tuple)
thick = st.none() | st.floats(0.5, 5).map(lambda t: Interval(t, 0.9 * t, 1.1 * t))
parts: st.SearchStrategy[Part] = st.one_of(
    st.builds(Whirl, names, lists),
    st.builds(Flyer, names, lists),
    st.builds(Bobbin, names, lists),
    st.builds(Band, names, thick, st.text(st.characters(exclude_categories=["Cs"]), max_size=9)),
)
shas = st.sampled_from(["a" * 64, "b" * 64, "c" * 64])
Deed = Callable[[KeptWheel], KeptWheel]
deeds: st.SearchStrategy[Deed] = st.one_of(
    shas.map(lambda sha: lambda wheel: wheel.with_reading(reading(sha))[0]),
    shas.map(lambda sha: lambda wheel: wheel.with_reading(session(sha))[0]),
    st.sampled_from(["photo-1", "photo-2", "rhythm-1"]).map(
        lambda name: lambda wheel: wheel.with_step("now", Withdraw(name))
    ),
    parts.map(lambda part: lambda wheel: wheel.with_step("now", SetPart(part))),
    st.sampled_from([*DRIVES, None]).map(lambda drive: lambda wheel: wheel.with_step("now", SetDrive(drive))),
    names.map(lambda name: lambda wheel: wheel.with_step("now", DropPart(Whirl, name))),
    st.integers(1, 9).map(
        lambda step: (
            lambda wheel: wheel.with_step("now", TakeBack(step)) if step <= len(wheel.steps) else wheel
        )
    ),
)


def made(by: list[Deed]) -> KeptWheel:
    wheel = KeptWheel()
    for deed in by:
        wheel = deed(wheel)
    return wheel


def undone(wheel: KeptWheel) -> KeptWheel:
    number = wheel.last_to_undo()
    return wheel if number is None else wheel.with_step("now", TakeBack(number))


def restored(wheel: KeptWheel) -> KeptWheel:
    number = wheel.last_undone()
    return wheel if number is None else wheel.with_step("now", TakeBack(number))


def told(found: Standing) -> tuple[object, ...]:
    """What counts, in a form that can be compared."""
    return (
        [
            (number, each.id, each.sha256, each.told if isinstance(each, KeptSession) else None)
            for number, each in found.placed
        ],
        found.parts,
    )


@settings(max_examples=200)
@given(st.lists(deeds, max_size=10))
def test_any_file_comes_back(by: list[Deed]) -> None:
    wheel = made(by)
    text = text_of_wheel(wheel)
    back = wheel_of_text(text)
    assert told(standing(back.steps)) == told(standing(wheel.steps))
    assert len(back.steps) == len(wheel.steps)
    assert text_of_wheel(back) == text


@settings(max_examples=200)
@given(st.lists(deeds, max_size=8), st.integers(1, 4))
def test_undo_and_its_undo(by: list[Deed], times: int) -> None:
    wheel = made(by)
    before = told(standing(wheel.steps))
    gone = wheel
    done = 0
    for _ in range(times):
        if gone.last_to_undo() is not None:
            gone, done = undone(gone), done + 1
    back = gone
    for _ in range(done):
        back = restored(back)
    assert told(standing(back.steps)) == before
    assert back.steps[: len(wheel.steps)] == wheel.steps


@settings(max_examples=100)
@given(st.lists(deeds, min_size=1, max_size=8))
def test_undoing_all_leaves_an_empty_wheel(by: list[Deed]) -> None:
    wheel = made(by)
    for _ in range(len(by)):
        wheel = undone(wheel)
    assert wheel.last_to_undo() is None
    assert told(standing(wheel.steps)) == told(Standing())


@settings(max_examples=100)
@given(st.lists(deeds, max_size=6), st.lists(deeds, max_size=6))
def test_taking_in_twice_is_taking_in_once(one: list[Deed], other: list[Deed]) -> None:
    here, there = made(one), made(other)
    once = merged(here, there, "now")
    again = merged(once.wheel, there, "now")
    assert again.wheel is once.wheel
    assert again.added == ()
    # Nothing that was here is touched, and everything from there is here.
    before, after = standing(here.steps), standing(once.wheel.steps)
    assert after.entries[: len(before.entries)] == before.entries
    assert {(e.kind, e.sha256) for e in after.entries} == {
        (e.kind, e.sha256) for e in (*before.entries, *standing(there.steps).entries)
    }


def test_an_id_is_never_used_twice() -> None:
    wheel, first, _ = KeptWheel().with_reading(reading("a" * 64))
    wheel = wheel.with_step("now", Withdraw(first.id))
    wheel, second, replaced = wheel.with_reading(reading("b" * 64))
    assert (first.id, second.id, replaced) == ("photo-1", "photo-2", False)


def spoilt(change: Callable[[dict[str, Any]], object]) -> str:
    wheel = made(
        [lambda w: w.with_reading(reading("a" * 64))[0], lambda w: w.with_reading(session("b" * 64))[0]]
    )
    wheel = wheel.with_step("now", SetPart(Band("old", Interval(2, 1, 3))), SetDrive("double"))
    document = json.loads(text_of_wheel(wheel.with_step("now", TakeBack(1))))
    change(document)
    return json.dumps(document)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (lambda d: d.pop("history"), "the file lacks its 'history'"),
        (lambda d: d["history"].pop(0), "step 1 stands in the wrong place"),
        (lambda d: d["history"].append(3), "step 5 is no step"),
        (
            lambda d: d["history"][3]["did"].append({"take back": 4}),
            "takes back a step that is not before it",
        ),
        (
            lambda d: d["history"][3]["did"].append({"melt": 4}),
            "did something that this version does not know",
        ),
        (lambda d: d["history"][3]["did"].append({"set": "sail", "name": "x"}), "names a 'sail'"),
        (lambda d: d["history"][3]["did"].append({"set": "whirl", "name": ""}), "a part without a name"),
        (lambda d: d["history"][3]["did"].append({"drive": "horse"}), "names a drive that this version"),
        (lambda d: d["history"][0]["did"].append({"add": "photo-1"}), "a step adds one reading twice"),
        (lambda d: d["history"][0]["did"].clear(), "it holds a reading that no step added"),
        (lambda d: d["readings"][0].update(id="photo-9"), "step 1 adds photo-1, which is not there"),
        (
            lambda d: d["readings"][0].update(counts=True),
            "what counts of its readings is not what its history",
        ),
        (
            lambda d: d["sessions"][0].update(counts=False),
            "what counts of its sessions is not what its history",
        ),
        (lambda d: d["parts"].update(drive=None), "its parts are not those that its history tells"),
        (
            lambda d: d["history"][2]["did"][0].update(thickness_mm={"value": 2}),
            "holds a number that is none",
        ),
        (lambda d: d["history"][2]["did"][0]["thickness_mm"].update(low=9), "of a thickness that cannot be"),
        (lambda d: d["sessions"][0].update(sha256=""), "session 1 has no id or no checksum"),
        (lambda d: d["sessions"][0].pop("told"), "session 1 lacks its 'told'"),
    ],
)
def test_what_does_not_fit_together_is_refused(change: Callable[[dict[str, Any]], object], why: str) -> None:
    with pytest.raises(DamagedError) as caught:
        wheel_of_text(spoilt(change))
    assert why in str(caught.value)


def test_a_file_of_the_first_version_is_read_and_grows(tmp_path: Path, whirlwise: Whirlwise) -> None:
    path = tmp_path / "wheel.json"
    change_wheel(path, lambda wheel: wheel.with_reading(reading("a" * 64))[0])
    document = json.loads(path.read_text(encoding="utf-8"))
    # As version 1 wrote it: readings alone, without step or whether they count.
    old = {"format": document["format"], "version": 1, "readings": document["readings"]}
    for entry in old["readings"]:
        del entry["step"], entry["counts"]
    path.write_text(json.dumps(old), encoding="utf-8")
    text = path.read_bytes()
    assert [each.id for each in read_wheel(path).readings] == ["photo-1"]
    assert path.read_bytes() == text
    change_wheel(path, lambda wheel: wheel.with_reading(reading("b" * 64))[0])
    assert json.loads(path.read_text(encoding="utf-8"))["version"] == 2
    assert [each.id for each in read_wheel(path).readings] == ["photo-1", "photo-2"]
    assert whirlwise("undo", path, "--step", 1).status == 0
    assert [each.id for each in read_wheel(path).readings] == ["photo-2"]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A wheel's file with two pictures."""
    path = tmp_path / "wheel.json"
    for sha256, pitch_mm in (("a" * 64, 550.0), ("b" * 64, 552.0)):
        change_wheel(path, adding(sha256, pitch_mm))
    return path


def adding(sha256: str, pitch_mm: float) -> Deed:
    return lambda wheel: wheel.with_reading(reading(sha256, pitch_mm), "2026")[0]


def ids(path: Path) -> list[str]:
    return [each.id for each in read_wheel(path).readings]


def test_withdrawing_and_back(whirlwise: Whirlwise, file: Path) -> None:
    found = whirlwise("withdraw", file, "photo-1")
    assert found.out == f"photo-1 counts no more in {file}; 'whirlwise undo {file}' takes that back.\n"
    assert ids(file) == ["photo-2"]
    assert whirlwise("undo", file).out == (
        f"Taken back, step 3: withdrew photo-1. 'whirlwise undo {file} --restore' brings it back.\n"
    )
    assert ids(file) == ["photo-1", "photo-2"]
    assert whirlwise("undo", file, "--restore").out == "Brought back what step 4 took back.\n"
    assert ids(file) == ["photo-2"]
    assert whirlwise("undo", file, "--step", 1).status == 0
    assert whirlwise("undo", file, "--show").out.splitlines() == [
        "   1  2026              added photo-1 (x.jpg)  (taken back)",
        "   2  2026              added photo-2 (x.jpg)",
        *whirlwise("undo", file, "--show").out.splitlines()[2:],
    ]
    assert whirlwise("undo", file, "--show").out.count("\n") == 6


def test_a_reading_in_place_of_another(whirlwise: Whirlwise, file: Path) -> None:
    found = whirlwise("hand", file, "--across", "rim=560mm", "--instead-of", "photo-2")
    assert "Added to" in found.out
    assert "as hand-1 in place of photo-2" in found.out
    assert ids(file) == ["photo-1", "hand-1"]
    whirlwise("undo", file)
    assert ids(file) == ["photo-1", "photo-2"]


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["withdraw", "photo-3"], "withdraw got 'photo-3' but expects the id of a reading in the file"),
        (["withdraw", "photo-1", "x"], "withdraw got 'x' but expects the id"),
        (["undo", "--step", "9"], "--step got '9' but expects the number of a step that counts"),
        (["undo", "--step", "1", "--restore"], "undo expects --step or --restore, not both."),
        (["undo", "--restore"], "Nothing was taken back in this file."),
        (["hand", "--across", "rim=1mm", "--instead-of", "x"], "--instead-of got 'x' but expects the id"),
    ],
)
def test_wrong_steps_change_nothing(
    whirlwise: Whirlwise, file: Path, arguments: list[str], sentence: str
) -> None:
    before = file.read_bytes()
    found = whirlwise(arguments[0], file, *arguments[1:])
    assert (found.status, found.out, found.err.count("\n")) == (2, "", 1)
    assert found.err.startswith(sentence)
    assert file.read_bytes() == before


def test_there_is_nothing_left_to_take_back(whirlwise: Whirlwise, file: Path, tmp_path: Path) -> None:
    whirlwise("undo", file)
    whirlwise("undo", file)
    assert ids(file) == []
    found = whirlwise("undo", file)
    assert (found.status, found.err) == (2, "There is no step left to take back.\n")
    for command in (["undo", tmp_path / "none.json"], ["withdraw", tmp_path / "none.json", "photo-1"]):
        assert whirlwise(*command).status == 4
    assert not (tmp_path / "none.json").exists()
    found = whirlwise("photo", file, "--instead-of", "photo-1")
    assert (found.status, "expects --add-to FILE beside it" in found.err) == (2, True)
