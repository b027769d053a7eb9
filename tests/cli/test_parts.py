"""A wheel's parts, its table of ratios, and its export: as a person meets them."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from whirlwise.calc.interval import Interval
from whirlwise.calc.parts import Band, Flyer, Whirl
from whirlwise.calc.ratio_table import RatioRow
from whirlwise.calc.wheel import Dimension, Reading
from whirlwise.cli.given.parts import band_part, bobbin_part, drive_word, flyer_part, whirl_part
from whirlwise.cli.keep.entries import KeptReading
from whirlwise.cli.keep.kept import KeptWheel
from whirlwise.cli.keep.store import change_wheel, read_wheel
from whirlwise.cli.show.ratio_table import ratio_table_text, table_document
from whirlwise.cli.trouble import WrongUsageError

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

NOTED = (
    *("--drive", "flyer-led", "--whirl", "lace: small, large", "--flyer", "standard"),
    *("--flyer", "fast: lace", "--band", "old: 3.1mm, linen"),
)


@pytest.fixture
def file(tmp_path: Path, whirlwise: Whirlwise) -> Path:
    """A wheel's file with parts, and with figures for two of its whirls."""
    path = tmp_path / "wheel.json"
    assert whirlwise("parts", path, *NOTED).status == 0
    counted = ["--turns", "small=20:280.0", "--turns", "plain=20:120.0"]
    assert whirlwise("hand", path, *counted).status == 0
    return path


def test_parts_are_noted_shown_and_removed(whirlwise: Whirlwise, file: Path) -> None:
    assert whirlwise("parts", file).out.splitlines() == [
        "One band, round the flyer's whirl: the flyer leads.",
        "Whirl lace, with the grooves small, large",
        "Flyer standard, takes any whirl",
        "Flyer fast, takes lace",
        "Band old, 3.10 mm (95 % sure: 2.90 to 3.30) thick, linen",
    ]
    document = json.loads(whirlwise("parts", file, "--json").out)
    assert document["bands"][0]["thickness_mm"] == {"value": 3.1, "low": 2.9, "high": 3.3}
    whirlwise("parts", file, "--remove", "lace", "--drive", "double", "--flyer", "fast: plain")
    assert read_wheel(file).parts.flyers == (Flyer("standard"), Flyer("fast", ("plain",)))
    assert (read_wheel(file).parts.whirls, read_wheel(file).parts.drive) == ((), "double")
    # One command is one step.
    whirlwise("undo", file)
    assert read_wheel(file).parts.whirls == (Whirl("lace", ("small", "large")),)


def test_the_table_of_every_flyer_and_whirl(whirlwise: Whirlwise, file: Path) -> None:
    lines = whirlwise("wheel", file).out.splitlines()
    start = next(k for k, line in enumerate(lines) if "95 % sure" in line and "ratio" in line)
    table = [lines[start], *lines[start + 2 : start + 7]]  # without the rule below the headings
    assert [line.split("  ")[1] for line in table[1:]] == ["flyer standard"] * 3 + ["flyer fast    "[:10]] * 2
    assert max(map(len, table)) <= 80
    assert table[1].split()[2:4] == ["plain", "6.000"]
    assert table[3].endswith("not measured")
    document = json.loads(whirlwise("wheel", file, "--json").out)
    assert [(row["on"], row["whirl"], row["groove"]) for row in document["table"]] == [
        ("standard", "plain", "plain"),
        ("standard", "lace", "small"),
        ("standard", "lace", "large"),
        ("fast", "lace", "small"),
        ("fast", "lace", "large"),
    ]
    assert document["table"][1]["ratio"]["value"] == pytest.approx(14.0)
    assert document["table"][2]["ratio"] is None
    assert document["parts"]["drive"] == "flyer-led"


names = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=60)


@given(
    st.lists(st.tuples(names, names, names, st.floats(1, 200), st.floats(1e-4, 0.5)), min_size=1, max_size=5)
)
def test_the_table_fits_eighty_columns(rows: list[tuple[str, str, str, float, float]]) -> None:
    table = [
        RatioRow(
            "bobbin",
            on,
            whirl,
            groove,
            Interval(9999.0, 9000.0, 11000.0),
            Interval(ratio, ratio * (1 - doubt), ratio * (1 + doubt)),
        )
        for on, whirl, groove, ratio, doubt in rows
    ]
    assert max(map(len, ratio_table_text(table).splitlines())) <= 80
    assert [row["on"] for row in table_document(table)] == [row.on for row in table]


def test_parts_as_people_type_them() -> None:
    assert whirl_part(" two  words : a, b c ") == Whirl("two words", ("a", "b c"))
    assert flyer_part("x") == Flyer("x")
    assert bobbin_part("jumbo: slow").whirls == ("slow",)
    assert band_part("x: .5mm") == Band("x", Interval(0.5, 0.3, 0.7))
    assert band_part("x: linen") == Band("x", None, "linen")
    assert band_part("x") == Band("x")
    assert (drive_word("Double"), drive_word("unknown")) == ("double", None)


@pytest.mark.parametrize("text", ["", ":", "a:", "a: b,", "a: b, b", "wheel", "a\x00", "a: wheel"])
def test_parts_that_are_none(text: str) -> None:
    for read in (whirl_part, flyer_part, bobbin_part):
        with pytest.raises(WrongUsageError, match="but expects a"):
            read(text)
    with pytest.raises(WrongUsageError):
        band_part(text)


@pytest.mark.parametrize(
    "text", ["x: 2.4", "x: linen, 2.4mm", "x: 2.4mm, linen, more", "x: 0.1mm", "x: 2.4+-3mm"]
)
def test_bands_that_are_none(text: str) -> None:
    with pytest.raises(WrongUsageError, match="--band got"):
        band_part(text)


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--drive", "horse"], "--drive got 'horse' but expects flyer-led or bobbin-led"),
        (["--remove", "sail"], "--remove got 'sail' but expects one of the wheel's parts: whirl lace,"),
        (["--whirl", "a:"], "--whirl got 'a:' but expects a whirl's name"),
    ],
)
def test_wrong_parts_change_nothing(
    whirlwise: Whirlwise, file: Path, arguments: list[str], sentence: str
) -> None:
    before = file.read_bytes()
    found = whirlwise("parts", file, *arguments)
    assert (found.status, found.out, found.err.count("\n")) == (2, "", 1)
    assert found.err.startswith(sentence)
    assert file.read_bytes() == before


def test_a_name_that_two_parts_share(whirlwise: Whirlwise, file: Path) -> None:
    whirlwise("parts", file, "--flyer", "lace")
    assert whirlwise("parts", file, "--remove", "lace").status == 2
    assert whirlwise("parts", file, "--remove", "flyer lace").status == 0
    assert [flyer.name for flyer in read_wheel(file).parts.flyers] == ["standard", "fast"]


def test_showing_parts_makes_no_file(whirlwise: Whirlwise, tmp_path: Path) -> None:
    found = whirlwise("parts", tmp_path / "none.json")
    assert (found.status, found.out) == (4, "")
    assert list(tmp_path.iterdir()) == []


def test_export_to_a_table(whirlwise: Whirlwise, file: Path, tmp_path: Path) -> None:
    to = tmp_path / "wheel.csv"
    assert whirlwise("export", file, "--to", to).out == f"Exported to {to}.\n"
    rows = list(csv.DictReader(StringIO(to.read_bytes().decode("utf-8-sig"), newline="")))
    told = [row for row in rows if row["told_by"] == "all together"]
    assert [(row["of"], row["on"], row["value"]) for row in told if row["what"] == "ratio"] == [
        ("plain", "flyer standard", "6.0"),
        ("small", "flyer standard", "14.0"),
        ("large", "flyer standard", ""),
        ("small", "flyer fast", "14.0"),
        ("large", "flyer fast", ""),
    ]
    own = [row for row in rows if row["told_by"] == "hand-1"]
    assert {row["of"] for row in own} == {"small", "plain"}
    assert all(float(row["low"]) < float(row["value"]) < float(row["high"]) for row in own)


def test_export_and_import_bring_everything_over(whirlwise: Whirlwise, file: Path, tmp_path: Path) -> None:
    to, other = tmp_path / "out.json", tmp_path / "other.json"
    assert whirlwise("export", file, "--to", to).status == 0
    assert json.loads(to.read_text(encoding="utf-8"))["told"]["file"] == "wheel.json"
    found = whirlwise("import", to, "--add-to", other)
    assert (found.status, found.out) == (0, f"Added to {other}: hand-1.\n")
    one, two = (json.loads(whirlwise("wheel", path, "--json").out) for path in (file, other))
    assert {**one, "file": ""} == {**two, "file": ""}
    again = whirlwise("import", to, "--add-to", other)
    assert "Added to" in again.out
    assert "There already, so left as they were: hand-1" in again.out
    assert len(read_wheel(other).readings) == 1
    assert whirlwise("undo", other).status == 0
    assert read_wheel(other).readings == ()
    assert read_wheel(other).parts.drive is None


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("{}", "it is not the file of a wheel"),
        ("[1", "it is not whole JSON text"),
        (
            '{"format": "wheel measured by whirlwise", "version": 99}',
            "a newer version of the program wrote it",
        ),
        ('{"format": "wheel measured by whirlwise", "version": 2}', "the file lacks its 'readings'"),
    ],
)
def test_what_is_no_wheel_is_refused(
    whirlwise: Whirlwise, file: Path, tmp_path: Path, text: str, why: str
) -> None:
    bad = tmp_path / "bad.json"
    bad.write_text(text, encoding="utf-8")
    before = file.read_bytes()
    found = whirlwise("import", bad, "--add-to", file)
    assert (found.status, found.out, found.err.count("\n")) == (4, "", 1)
    assert why in found.err
    assert file.read_bytes() == before
    assert whirlwise("export", bad, "--to", tmp_path / "x.csv").status == 4
    assert not (tmp_path / "x.csv").exists()


def test_export_writes_over_nothing(whirlwise: Whirlwise, file: Path, tmp_path: Path) -> None:
    there = tmp_path / "there.csv"
    there.write_text("mine", encoding="utf-8")
    before = file.read_bytes()
    for to in (there, file, tmp_path / "x.txt", tmp_path / "none" / "x.csv"):
        assert whirlwise("export", file, "--to", to).status == 2
    assert whirlwise("export", file, "--to", file, "--force").status == 2
    assert there.read_text(encoding="utf-8") == "mine"
    assert file.read_bytes() == before
    assert whirlwise("export", file, "--to", there, "--force").status == 0


def kept(kind: str, numbers: dict[Dimension, float], doubt: float) -> KeptReading:
    told = Reading("new", numbers, doubt**2 * np.eye(len(numbers)), {})
    sha256 = f"{ord(kind[0]):064x}"
    return KeptReading(kind, f"{kind}.jpg", sha256, "2026", "the date of the file", {}, told)


def test_a_whole_wheel_from_one_command_a_medium(whirlwise: Whirlwise, tmp_path: Path) -> None:
    # A wheel of 444.8 mm and a whirl of three steps, the middle one in use, seen by nobody under a name.
    path = tmp_path / "wheel.json"
    steps_mm = {"step 1": 47.8, "step 2": 40.1, "step 3": 30.4}
    for reading in (
        kept("photo", {Dimension("pitch_mm"): 446.0, Dimension("ratio", "whirl"): 11.0}, 0.008),
        kept("profile", {Dimension("pitch_mm", label): mm for label, mm in steps_mm.items()}, 0.004),
        kept("clip", {Dimension("ratio", "whirl"): 444.8 / 40.1}, 0.0005),
    ):
        change_wheel(path, adding(reading))
    document = json.loads(whirlwise("wheel", path, "--json").out)
    assert [each["label"] for each in document["whirls"]] == ["step 2", "step 1", "step 3"]
    for row in document["table"]:
        assert row["ratio"]["low"] < 444.8 / steps_mm[row["groove"]] < row["ratio"]["high"]
        # No step is known worse than two diameters seen from the side would make it.
        assert row["ratio"]["high"] / row["ratio"]["low"] < 1 + 2 * 2 * 1.96 * 0.004
    assert document["remarks"][0] == (
        "step 2 in profile.jpg (profile-1) is taken for the whirl that carries the band, because it is the "
        "only groove there whose size fits the other readings."
    )


def adding(reading: KeptReading) -> Callable[[KeptWheel], KeptWheel]:
    return lambda wheel: wheel.with_reading(reading)[0]
