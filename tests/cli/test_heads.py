"""Great wheels with an accelerating head: two pairs of wheel and whirl, and what they make together."""

from __future__ import annotations

import json
from csv import DictReader
from math import exp, hypot, log, sqrt
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, ufloat

from whirlwise.calc.fusing import fuse
from whirlwise.calc.interval import COVERAGE_FACTOR_95
from whirlwise.calc.slip import BY_HAND_SLIP
from whirlwise.calc.wheel import SPINDLE, WHEEL, Dimension, Reading, reading_of
from whirlwise.cli.commands import clip as clip_command
from whirlwise.cli.commands import photo as photo_command
from whirlwise.cli.keep.as_text import text_of_wheel, wheel_of_text
from whirlwise.cli.keep.entries import KeptReading
from whirlwise.cli.keep.head_numbers import Pair
from whirlwise.cli.keep.kept import KeptWheel
from whirlwise.cli.keep.known_wheel import known_wheel
from whirlwise.cli.keep.store import read_wheel

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

    from whirlwise.vision.clip_reading import ClipReading
    from whirlwise.vision.photo_reading import PhotoReading

PITCH, SMALL = Dimension("pitch_mm"), Dimension("pitch_mm", "small")
HEAD_WHEEL, HEAD_WHIRL = Dimension("pitch_mm", WHEEL, "quick"), Dimension("pitch_mm", SPINDLE, "quick")
GREAT_PAIR, HEAD_PAIR = Dimension("ratio", "small"), Dimension("ratio", SPINDLE, "quick")
WHOLE = Dimension("whole_ratio", "small", "quick")


def read(name: str, values: dict[Dimension, float], doubt: float = 0.01) -> Reading:
    return Reading(name, values, doubt**2 * np.eye(len(values)), {})


@pytest.fixture
def great(whirlwise: Whirlwise, tmp_path: Path) -> Path:
    """750 mm on 450 mm, and a head of 900 mm on 150 mm: pitch diameters, told as over a band of 3 mm."""
    file = tmp_path / "great.json"
    for arguments in (
        ("parts", file, "--head", "quick: small", "--drive", "flyer-led"),
        ("hand", file, "--across", "rim/band=753mm", "--across", "small/band=453mm", "--band", "3mm"),
        (
            *("hand", file, "--head", "quick", "--across", "rim/band=903mm"),
            *("--across", "spindle/band=153mm", "--band", "3mm"),
        ),
    ):
        found = whirlwise(*arguments)
        assert (found.status, found.err) == (0, "")
    return file


def told(whirlwise: Whirlwise, file: Path) -> Any:
    return json.loads(whirlwise("wheel", file, "--json").out)


def test_a_worked_example_of_two_pairs(whirlwise: Whirlwise, great: Path) -> None:
    # R. S. Khurmi, Theory of Machines, ex. 11.1: 150 r/min, 750 mm on 450 mm, 900 mm on 150 mm: 1500 r/min.
    document = told(whirlwise, great)
    (row,) = document["table"]
    assert (row["turns"], row["on"], row["whirl"]) == ("spindle", "quick", "small")
    assert 150 * row["ratio"]["value"] == pytest.approx(1500)
    assert [each["value"] for each in row["pairs"]] == pytest.approx([750 / 450, 900 / 150], rel=1e-5)
    assert document["ratios"] == [{"whirl": "small", "ratio": row["ratio"]}]
    (head,) = document["heads"]
    assert (head["wheel_pitch_mm"]["value"], head["whirl_pitch_mm"]["value"]) == (900, 150)
    # Relative doubts of four independent diameters, each with its own band.
    band = 0.2
    diameters = (
        (750, hypot(2, band)),
        (450, hypot(0.3, band)),
        (900, hypot(2, band)),
        (150, hypot(0.3, band)),
    )
    share = sqrt(sum((half / mm) ** 2 for mm, half in diameters))
    # The band enters wheel and whirl of a pair alike, so a little of its doubt cancels.
    assert row["ratio"]["high"] / row["ratio"]["value"] - 1 == pytest.approx(share, rel=0.15)


sizes = st.floats(20, 2000)


@given(sizes, sizes, sizes, sizes)
def test_the_whole_is_the_product_of_its_pairs(
    rim: float, whirl: float, wheel: float, spindle: float
) -> None:
    fused = fuse([read("a", {PITCH: rim, SMALL: whirl, HEAD_WHEEL: wheel, HEAD_WHIRL: spindle})])
    whole = fused.interval_95(WHOLE)
    assert whole is not None
    assert whole.value == pytest.approx(rim / whirl * wheel / spindle)
    assert log(whole.high / whole.value) == pytest.approx(COVERAGE_FACTOR_95 * 0.02, rel=1e-3)


def test_a_count_of_the_whole_and_the_pairs_are_brought_together() -> None:
    # Two independent values of one number: the mean by inverse variances, and the sum of those.
    pairs = read("pairs", {GREAT_PAIR: 12.0, Dimension("ratio", SPINDLE, "quick"): 6.0}, 0.02)
    counted = read("counted", {WHOLE: 73.0}, 0.01)
    weights = 1 / (2 * 0.02**2), 1 / 0.01**2
    found = fuse([pairs, counted]).interval_95(WHOLE)
    assert found is not None
    assert found.value == pytest.approx(exp(np.average([log(72), log(73)], weights=weights)), rel=1e-6)
    assert log(found.high / found.value) / COVERAGE_FACTOR_95 == pytest.approx(sum(weights) ** -0.5, rel=1e-3)


def test_a_head_is_told_from_the_whole_and_the_great_wheels_pair() -> None:
    found = fuse([read("one", {GREAT_PAIR: 12.0}), read("whole", {WHOLE: 74.4})])
    head = found.interval_95(HEAD_PAIR)
    assert head is not None
    assert head.value == pytest.approx(74.4 / 12)


def test_slip_without_load_is_counted_for_each_band() -> None:
    numbers = Pair(through="quick").of({GREAT_PAIR: 72 * ufloat(1, 5e-4, "slip")})
    assert list(numbers) == [WHOLE]
    assert numbers[WHOLE].s / 72 == pytest.approx(hypot(5e-4, BY_HAND_SLIP))
    # Both bands do so for the same reasons, so the causes go together in a reading.
    one = 12 * ufloat(1, BY_HAND_SLIP, "slip without load")
    reading = reading_of("counted", Pair(through="quick").of({GREAT_PAIR: one}))
    assert reading.shared["slip without load"] == pytest.approx([2 * BY_HAND_SLIP], rel=1e-2)


def test_at_work_both_bands_slip(whirlwise: Whirlwise, great: Path) -> None:
    whirlwise("hand", great, "--through", "quick", "--turns", "small=100:990+-0.5", "--at-work")
    document = told(whirlwise, great)
    assert document["slip_percent"]["low"] < 1 < document["slip_percent"]["high"]
    assert document["ratios"][0]["ratio"]["value"] == pytest.approx(10, rel=1e-3)
    # What twists the yarn is the ratio at work.
    turned = json.loads(
        whirlwise("twist", "--wheel", great, "--cadence", "30", "--drafting", "100cm", "--json").out
    )
    assert turned["ratio"]["value"] == pytest.approx(9.9, rel=1e-3)


def test_two_heads_stand_in_the_table_by_their_names(whirlwise: Whirlwise, great: Path) -> None:
    whirlwise("parts", great, "--head", "slow: large")
    whirlwise("hand", great, "--across", "large/band=603mm", "--band", "3mm")
    whirlwise("hand", great, "--head", "slow", "--turns", "10:30.0")
    document = told(whirlwise, great)
    rows = {(each["on"], each["whirl"]): each["ratio"]["value"] for each in document["table"]}
    assert rows == pytest.approx({("quick", "small"): 10.0, ("slow", "large"): 3 * 750 / 600}, rel=1e-3)
    assert [each["whirl"] for each in document["ratios"]] == ["small+quick", "large+slow"]
    ladder = whirlwise("ladder", "--wheel", great)
    assert "from 3.75" in ladder.out
    assert "large+slow" in ladder.out
    assert "spindle, quick" in whirlwise("wheel", great).out
    groove = whirlwise("groove", "--wheel", great, "--ratio", "9", "--band", "3mm")
    assert groove.status == 2
    assert "several heads (quick, slow)" in groove.err


def test_the_groove_for_a_ratio_behind_a_head(whirlwise: Whirlwise, great: Path) -> None:
    # The inverse: the groove for the ratio that is there is the one that is there.
    found = whirlwise("groove", "--wheel", great, "--ratio", "10", "--band", "3mm", "--json")
    assert json.loads(found.out)["grooves"][0]["pitch_mm"]["value"] == pytest.approx(450)
    made = json.loads(whirlwise("ladder", "--wheel", great, "--new", "447mm", "--band", "3mm", "--json").out)
    assert made["new"]["ratio"]["value"] == pytest.approx(10, rel=1e-3)


def test_report_export_and_comparison_know_heads(whirlwise: Whirlwise, great: Path) -> None:
    page, table = great.with_name("great.html"), great.with_name("great.csv")
    assert whirlwise("report", great, "--to", page).status == 0
    text = page.read_text(encoding="utf-8")
    assert "spindle, quick" in text
    assert "head&#39;s own pair" in text
    assert whirlwise("export", great, "--to", table).status == 0
    with table.open(encoding="utf-8-sig", newline="") as lines:
        rows = [
            (row["told_by"], row["of"], row["what"], row["on"], row["value"]) for row in DictReader(lines)
        ]
    assert ("all together", "small", "whole_ratio", "spindle, quick", "10.0") in rows
    assert ("all together", "wheel", "pitch", "head quick", "900.0") in rows
    found = whirlwise("compare", great, "--also", "birch=6,9", "--json")
    wheels = {each["name"]: each["ratios"] for each in json.loads(found.out)["wheels"]}
    assert [each["ratio"]["value"] for each in wheels["great"]] == [10]


def test_one_picture_tells_of_both_pairs() -> None:
    def kept(values: dict[Dimension, float]) -> KeptReading:
        return KeptReading("photo", "both.jpg", "0" * 64, "2026", "its date", {}, read("new", values))

    wheel, ids = KeptWheel(), []
    for values in ({PITCH: 750.0}, {HEAD_WHEEL: 900.0}, {PITCH: 751.0, SMALL: 450.0}):
        wheel, added, _ = wheel.with_reading(kept(values))
        ids.append(added.id)
    assert ids == ["photo-1", "photo-2", "photo-1"]


def test_only_files_with_heads_are_of_the_new_version(
    whirlwise: Whirlwise, great: Path, tmp_path: Path
) -> None:
    document = json.loads(great.read_text(encoding="utf-8"))
    assert document["version"] == 3
    assert document["parts"]["heads"] == [{"name": "quick", "whirls": ["small"]}]
    plain = tmp_path / "plain.json"
    whirlwise("hand", plain, "--turns", "10:62")
    document = json.loads(plain.read_text(encoding="utf-8"))
    assert document["version"] == 2
    assert "heads" not in document["parts"]
    # What is taken back stays in the file, and an older program would misread it all the same.
    whirlwise("hand", plain, "--head", "quick", "--turns", "10:62")
    whirlwise("undo", plain)
    assert json.loads(plain.read_text(encoding="utf-8"))["version"] == 3
    again = wheel_of_text(text_of_wheel(read_wheel(great)))
    assert again.parts == read_wheel(great).parts
    assert [each.reading.values for each in again.readings] == [
        each.reading.values for each in read_wheel(great).readings
    ]


def test_a_count_that_is_off_by_a_turn_is_named(whirlwise: Whirlwise, great: Path) -> None:
    whirlwise("hand", great, "--through", "quick", "--turns", "small=3:31.0+-0.1")
    found = " ".join(whirlwise("wheel", great).out.split())
    assert "one turn of the flyer more or less" in found
    # The sizes were taken over the band, so that it misses the bottom of a groove explains nothing.
    assert "measure over the band" not in found


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--head", "quick", "--through", "quick", "--turns", "10:62"), "give one of them"),
        (("--through", "quick", "--across", "rim=750mm"), "note sizes with a command of its own"),
        (("--head", "wheel", "--turns", "10:62"), "the name of the head, such as quick"),
        (("--head", " ", "--turns", "10:62"), "the name of the head, such as quick"),
        (
            ("--head", "a", "--turns", "small=10:62", "--turns", "large=10:31"),
            "got figures of several whirls",
        ),
    ],
)
def test_what_cannot_be_meant(
    whirlwise: Whirlwise, great: Path, arguments: tuple[str, ...], sentence: str
) -> None:
    before = great.read_bytes()
    found = whirlwise("hand", great, *arguments)
    assert found.status == 2
    assert sentence in " ".join(found.err.split())
    assert great.read_bytes() == before


def test_heads_are_typed_or_come_from_the_file(whirlwise: Whirlwise, great: Path) -> None:
    found = whirlwise("ladder", "--wheel", great, "--head", "3.1")
    assert found.status == 2
    assert "the wheel's file knows its heads: quick" in found.err
    assert nominal_value(known_wheel(great).heads["quick"]) == pytest.approx(6)


def test_a_clip_of_a_head_needs_no_label(whirlwise: Whirlwise, tmp_path: Path) -> None:
    found = whirlwise("clip", tmp_path / "a.mp4", "--head", "quick", "--label", "small")
    assert found.status == 2
    assert "that of a head needs no name" in found.err


def test_pictures_and_clips_of_a_head(
    whirlwise: Whirlwise,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    photo_reading: PhotoReading,
    clip_reading: ClipReading,
) -> None:
    monkeypatch.setattr(photo_command, "measure_photo", lambda path, settings: photo_reading)
    monkeypatch.setattr(clip_command, "measure_clip", lambda path, settings, tell: clip_reading)
    file, picture, clip = tmp_path / "great.json", tmp_path / "head.jpg", tmp_path / "head.mp4"
    for path in (picture, clip):
        path.write_bytes(path.name.encode())
    # One picture shows both pairs; one clip counts the spindle, another the head's own pair at work.
    assert whirlwise("photo", picture, "--add-to", file, "--label", "small").status == 0
    assert whirlwise("photo", picture, "--add-to", file, "--head", "quick").status == 0
    assert whirlwise("clip", clip, "--add-to", file, "--through", "quick", "--label", "small").status == 0
    assert whirlwise("clip", clip, "--add-to", file, "--head", "quick").status == 0
    great, head, whole, at_work = (each.reading.values for each in read_wheel(file).readings)
    assert {dimension.head for dimension in great} == {""}
    # A head turns one whirl: of several in the picture it is the one that carries the band.
    assert {dimension.part for dimension in head} == {WHEEL, SPINDLE}
    assert head[HEAD_PAIR] == pytest.approx(great[GREAT_PAIR])
    assert list(whole) == [WHOLE.at_work]
    assert list(at_work) == [HEAD_PAIR.at_work]
    assert whole[WHOLE.at_work] == at_work[HEAD_PAIR.at_work]
    refused = whirlwise("photo", picture, "--head", "quick", "--wheel", file)
    assert refused.status == 2
    assert "nothing of a head's own pair" in refused.err
