"""The wheel's command and the option that feeds it, as a person meets them."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from PIL import Image
from uncertainties import UFloat, nominal_value, ufloat

from whirlwise.calc.wheel import Dimension
from whirlwise.cli.commands import clip as clip_command
from whirlwise.cli.commands import photo as photo_command
from whirlwise.cli.keep.known_wheel import known_wheel
from whirlwise.cli.keep.numbers import clip_numbers, photo_numbers
from whirlwise.cli.keep.store import read_wheel
from whirlwise.vision.clip_reading import ClipReading
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.photo_reading import PhotoReading, WheelReading
from whirlwise.vision.photo_settings import PhotoSettings

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

UNKNOWN = NotMeasured("Nothing of known size was found.", "Tape a bank card to the spokes.")


def picture(tmp_path: Path, name: str, grey: int) -> Path:
    path = tmp_path / name
    Image.fromarray(np.full((60, 80, 3), grey, np.uint8)).save(path)
    return path


@pytest.fixture
def whole(tmp_path: Path) -> Path:
    return picture(tmp_path, "whole.jpg", 100)


@pytest.fixture
def other(tmp_path: Path) -> Path:
    return picture(tmp_path, "other.jpg", 150)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "wheel.json"


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch, photo_reading: PhotoReading) -> dict[str, PhotoReading]:
    """What the measurement tells of a picture, by its file's name; put another reading there to change it."""
    readings: dict[str, PhotoReading] = {}

    def measured(path: Path, settings: object) -> PhotoReading:
        return replace(readings.get(path.name, photo_reading), file=path.name)

    monkeypatch.setattr(photo_command, "measure_photo", measured)
    return readings


def with_share(reading: PhotoReading, share: float, deviation: float) -> PhotoReading:
    (whirl,) = reading.whirls
    return replace(reading, whirls=(replace(whirl, pitch_per_wheel_pitch=ufloat(share, deviation)),))


def answered(whirlwise: Whirlwise, *arguments: object) -> Any:
    found = whirlwise(*arguments, "--json")
    assert found.err == ""
    return json.loads(found.out)


def one_line(text: str) -> str:
    return " ".join(text.split())


def test_two_pictures_beat_one(
    whirlwise: Whirlwise,
    whole: Path,
    other: Path,
    file: Path,
    told: dict[str, PhotoReading],
    photo_reading: PhotoReading,
) -> None:
    told["other.jpg"] = with_share(photo_reading, 51.44 / 555.17 * 1.002, 51.44 / 555.17 * 0.004)
    first = answered(whirlwise, "photo", whole, "--add-to", file, "--reference", "card", "--offset=12mm")
    second = answered(whirlwise, "photo", other, "--add-to", file)
    both = answered(whirlwise, "wheel", file)
    ratios = [each["ratios"][0]["ratio"] for each in (first, second, both)]
    widths = [ratio["high"] - ratio["low"] for ratio in ratios]
    # Two equal doubts, one mean: narrower by the square root of two.
    assert widths[2] == pytest.approx(widths[0] / 2**0.5, rel=0.02)
    assert ratios[2]["value"] == pytest.approx((ratios[0]["value"] + ratios[1]["value"]) / 2, rel=1e-4)
    assert set(both) == {
        "file",
        "wheel",
        "whirls",
        "ratios",
        "table",
        "parts",
        "centre_distance_mm",
        "slip_percent",
        "readings",
        "sessions",
        "remarks",
    }
    assert set(both["wheel"]) == set(first["wheel"])
    assert set(both["whirls"][0]) == set(first["whirls"][0])
    assert both["file"] == "wheel.json"
    assert [(each["id"], each["kind"], each["file"]) for each in both["readings"]] == [
        ("photo-1", "photo", "whole.jpg"),
        ("photo-2", "photo", "other.jpg"),
    ]
    assert both["whirls"][0]["pitch_mm"]["value"] == pytest.approx(51.4, abs=0.1)
    kept = read_wheel(file).readings[0]
    assert kept.how == {"--reference": ["card"], "--offset": "12mm"}
    assert any("photo-1" in remark for remark in first["remarks"])


def test_pictures_are_never_changed(
    whirlwise: Whirlwise, whole: Path, file: Path, told: dict[str, PhotoReading]
) -> None:
    before = (whole.read_bytes(), whole.stat().st_mtime_ns)
    assert whirlwise("photo", whole, "--add-to", file).status == 0
    assert (whole.read_bytes(), whole.stat().st_mtime_ns) == before
    # Not even when the picture itself is named as the wheel's file.
    found = whirlwise("photo", whole, "--add-to", whole)
    assert found.status == 4
    assert "cannot be used as a wheel's file" in found.err
    assert (whole.read_bytes(), whole.stat().st_mtime_ns) == before
    assert not whole.with_name("whole.jpg.before").exists()
    assert told == {}


def test_the_same_picture_twice_counts_once(
    whirlwise: Whirlwise, whole: Path, file: Path, told: dict[str, PhotoReading]
) -> None:
    once = whirlwise("photo", whole, "--add-to", file)
    assert once.out.endswith(f"\nAdded to {file} as photo-1; 'whirlwise wheel {file}' tells what all say.\n")
    again = whirlwise("photo", whole, "--add-to", file)
    assert again.out.endswith(
        f"\nwhole.jpg was in {file} already; its new reading took the place of the old one, photo-1.\n"
    )
    assert len(read_wheel(file).readings) == 1
    assert told == {}


def test_readings_that_contradict_are_named(
    whirlwise: Whirlwise,
    whole: Path,
    other: Path,
    file: Path,
    told: dict[str, PhotoReading],
    photo_reading: PhotoReading,
) -> None:
    told["other.jpg"] = with_share(photo_reading, 0.12, 0.0005)
    for each in (whole, other):
        whirlwise("photo", each, "--add-to", file)
    document = answered(whirlwise, "wheel", file)
    ratio = document["ratios"][0]["ratio"]
    assert ratio["low"] < 1 / 0.12
    assert ratio["high"] > 555.17 / 51.44
    sentence = next(remark for remark in document["remarks"] if remark.startswith("other.jpg (photo-2) says"))
    assert "for: ratio (whirl); the others say 10.79" in sentence
    assert "leave it out with --without photo-2" in sentence
    assert any("intervals were widened" in remark for remark in document["remarks"])
    assert sentence in one_line(whirlwise("wheel", file).out)
    before = file.read_bytes()
    alone = answered(whirlwise, "wheel", file, "--without", "photo-2")
    assert alone["ratios"][0]["ratio"]["value"] == pytest.approx(555.17 / 51.44, abs=0.01)
    assert not any("photo-2" in remark for remark in alone["remarks"])
    assert file.read_bytes() == before


def test_a_picture_without_reference_knows_the_ratio_only(
    whirlwise: Whirlwise,
    whole: Path,
    file: Path,
    told: dict[str, PhotoReading],
    photo_reading: PhotoReading,
) -> None:
    assert isinstance(photo_reading.wheel, WheelReading)
    told["whole.jpg"] = replace(
        photo_reading,
        wheel=replace(photo_reading.wheel, outer_mm=UNKNOWN, pitch_mm=UNKNOWN),
        whirls=(replace(photo_reading.whirls[0], pitch_mm=UNKNOWN, outer_mm=UNKNOWN),),
        centre_distance_mm=UNKNOWN,
    )
    whirlwise("photo", whole, "--add-to", file)
    document = answered(whirlwise, "wheel", file)
    assert document["ratios"][0]["ratio"]["value"] == pytest.approx(10.793, abs=0.001)
    assert document["wheel"]["pitch_mm"] is document["whirls"][0]["pitch_mm"] is None
    assert any("sizes" in remark for remark in document["remarks"])


def test_two_clips_tell_the_slip(
    whirlwise: Whirlwise,
    whole: Path,
    other: Path,
    file: Path,
    monkeypatch: pytest.MonkeyPatch,
    clip_reading: ClipReading,
) -> None:
    at_work = replace(clip_reading, ratio=ufloat(12.54, 0.002))
    readings = {"whole.jpg": clip_reading, "other.jpg": at_work}
    monkeypatch.setattr(clip_command, "measure_clip", lambda path, settings, tell: readings[path.name])
    whirlwise("clip", whole, "--by-hand", "--add-to", file)
    whirlwise("clip", other, "--add-to", file)
    document = answered(whirlwise, "wheel", file)
    slip = document["slip_percent"]
    assert slip["value"] == pytest.approx(100 * (1 - 12.54 / 12.6674), abs=0.01)
    assert slip["high"] - slip["low"] < 0.3
    assert document["ratios"][0]["ratio"]["value"] == pytest.approx(12.667, abs=0.001)
    assert "slip of the band" in whirlwise("wheel", file).out


def test_a_wheel_known_by_a_clip_alone_has_the_ratio_at_work(
    whirlwise: Whirlwise,
    whole: Path,
    file: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    clip_reading: ClipReading,
) -> None:
    at_work = replace(clip_reading, ratio=ufloat(12.54, 0.002))
    monkeypatch.setattr(clip_command, "measure_clip", lambda path, settings, tell: at_work)
    whirlwise("clip", whole, "--add-to", file)
    text = " ".join(whirlwise("wheel", file).out.split())
    assert "At work one turn of the wheel turned the flyer 12.54" in text
    assert "a little greater" in text
    assert nominal_value(known_wheel(file).ratios["whirl"]) == pytest.approx(12.54)
    # So it can be set beside another wheel.
    other = file.rename(tmp_path / "other.json")
    whirlwise("clip", whole, "--add-to", file)
    assert whirlwise("compare", file, other).status == 0


def test_a_flyer_faster_than_the_circles_is_told(
    whirlwise: Whirlwise,
    whole: Path,
    other: Path,
    file: Path,
    monkeypatch: pytest.MonkeyPatch,
    clip_reading: ClipReading,
    told: dict[str, PhotoReading],
) -> None:
    monkeypatch.setattr(clip_command, "measure_clip", lambda path, settings, tell: clip_reading)
    whirlwise("photo", whole, "--add-to", file)
    whirlwise("clip", other, "--add-to", file)
    document = answered(whirlwise, "wheel", file)
    assert any("other.jpg the flyer turned faster than the circles allow" in r for r in document["remarks"])
    assert told == {}


def test_whirls_of_different_names_stay_apart(
    whirlwise: Whirlwise,
    whole: Path,
    other: Path,
    file: Path,
    told: dict[str, PhotoReading],
    photo_reading: PhotoReading,
) -> None:
    told["other.jpg"] = with_share(photo_reading, 0.15, 0.001)
    assert answered(whirlwise, "photo", whole, "--add-to", file, "--label", "fast")["whirls"][0]["label"] == (
        "fast"
    )
    whirlwise("photo", other, "--add-to", file, "--label", "slow")
    document = answered(whirlwise, "wheel", file)
    assert [each["whirl"] for each in document["ratios"]] == ["fast", "slow"]
    assert document["ratios"][1]["ratio"]["value"] == pytest.approx(6.67, abs=0.01)
    assert not any("widened" in remark for remark in document["remarks"])
    said = one_line(whirlwise("wheel", file).out)
    assert said.startswith("On the whirl fast, one turn of the wheel turns the flyer 10.79")


def test_nothing_measured_adds_nothing(
    whirlwise: Whirlwise,
    whole: Path,
    file: Path,
    told: dict[str, PhotoReading],
    nothing_in_photo: PhotoReading,
) -> None:
    told["whole.jpg"] = nothing_in_photo
    found = whirlwise("photo", whole, "--add-to", file)
    assert found.status == 3
    assert found.out.endswith(f"Nothing was added to {file}, because nothing trustworthy was measured.\n")
    assert not file.exists()


def test_a_file_with_nothing_in_it(whirlwise: Whirlwise, file: Path, whole: Path, told: object) -> None:
    whirlwise("photo", whole, "--add-to", file)
    found = whirlwise("wheel", file, "--without", "photo-1", "--json")
    assert (found.status, found.err) == (3, "")
    document = json.loads(found.out)
    assert document["readings"] == document["ratios"] == document["whirls"] == []
    assert document["wheel"]["pitch_mm"] is document["slip_percent"] is None
    assert document["remarks"]
    assert whirlwise("wheel", file, "--without", "photo-1").status == 3


@pytest.mark.parametrize(
    ("arguments", "status", "sentence"),
    [
        (["wheel"], 2, "Missing argument 'file'; 'whirlwise wheel --help' tells what can be asked."),
        (["wheel", "none.json"], 4, "There is no file none.json. Check the name, or make it with: "),
        (["wheel", "."], 4, ". is not a file. Name the wheel's file."),
    ],
)
def test_wrong_wheels(whirlwise: Whirlwise, arguments: list[str], status: int, sentence: str) -> None:
    found = whirlwise(*arguments)
    assert (found.status, found.out, found.err.count("\n")) == (status, "", 1)
    assert found.err.startswith(sentence)


def test_wrong_options(whirlwise: Whirlwise, whole: Path, file: Path, told: object) -> None:
    whirlwise("photo", whole, "--add-to", file)
    found = whirlwise("wheel", file, "--without", "photo-7")
    assert (found.status, found.err) == (
        2,
        "--without got 'photo-7' but expects the id of a reading in the file: photo-1.\n",
    )
    for label in ("", " ", "wheel", "a\x00b"):
        found = whirlwise("photo", whole, "--add-to", file, "--label", label)
        assert found.status == 2
        assert found.err.endswith("expects a name for the whirl, such as small.\n")
    file.write_text("mine", encoding="utf-8")
    found = whirlwise("photo", whole, "--add-to", file)
    assert (found.status, found.out) == (4, "")
    assert file.read_text(encoding="utf-8") == "mine"


def test_which_numbers_of_a_picture_are_kept(photo_reading: PhotoReading) -> None:
    numbers = photo_numbers(photo_reading)
    assert {(each.part, each.what) for each in numbers} == {
        ("wheel", "centre_distance_mm"),
        ("wheel", "outer_mm"),
        ("wheel", "pitch_mm"),
        ("whirl", "ratio"),
        ("whirl", "outer_mm"),
    }
    assert numbers[Dimension("ratio", "whirl")].n == pytest.approx(555.17 / 51.44)


def test_which_numbers_of_a_clip_are_kept(clip_reading: ClipReading, nothing_in_clip: ClipReading) -> None:
    assert list(clip_numbers(clip_reading, "fast", by_hand=True)) == [Dimension("ratio", "fast")]
    at_work = clip_numbers(clip_reading, "fast", by_hand=False)
    assert at_work[Dimension("ratio_at_work", "fast")].s == pytest.approx(0.002)
    assert clip_numbers(nothing_in_clip, "fast", by_hand=True) == {}


def without_sizes(reading: PhotoReading) -> PhotoReading:
    assert isinstance(reading.wheel, WheelReading)
    return replace(
        reading,
        references=(),
        wheel=replace(reading.wheel, outer_mm=UNKNOWN, pitch_mm=UNKNOWN),
        whirls=(replace(reading.whirls[0], pitch_mm=UNKNOWN, outer_mm=UNKNOWN),),
        centre_distance_mm=UNKNOWN,
    )


def test_a_known_wheel_gives_another_picture_its_scale(
    whirlwise: Whirlwise,
    whole: Path,
    other: Path,
    file: Path,
    told: dict[str, PhotoReading],
    photo_reading: PhotoReading,
) -> None:
    # Another whirl is on now: its ratio must not be drawn to that of the file.
    told["other.jpg"] = with_share(without_sizes(photo_reading), 0.15, 0.001)
    whirlwise("photo", whole, "--add-to", file)
    before = file.read_bytes()
    document = answered(whirlwise, "photo", other, "--wheel", file)
    assert document["ratios"][0]["ratio"]["value"] == pytest.approx(1 / 0.15, abs=0.01)
    assert document["wheel"]["pitch_mm"]["value"] == pytest.approx(555.2, abs=0.1)
    whirl = document["whirls"][0]["pitch_mm"]
    assert whirl["value"] == pytest.approx(555.2 * 0.15, abs=0.05)
    # 0.9/555.2 and 0.001/0.15 in quadrature, times 1.96.
    half_width = 1.96 * 555.2 * 0.15 * np.hypot(0.9 / 555.2, 0.001 / 0.15)
    assert (whirl["high"] - whirl["low"]) / 2 == pytest.approx(half_width, rel=0.03)
    assert document["centre_distance_mm"] is None
    assert any("comes from its file" in remark for remark in document["remarks"])
    assert "sizes stay open" not in one_line(whirlwise("photo", other, "--wheel", file).out)
    assert "sizes stay open" in one_line(whirlwise("photo", other).out)
    assert file.read_bytes() == before


def test_what_the_file_knows_is_not_added_to_it_again(
    whirlwise: Whirlwise,
    whole: Path,
    other: Path,
    file: Path,
    told: dict[str, PhotoReading],
    photo_reading: PhotoReading,
) -> None:
    told["other.jpg"] = without_sizes(photo_reading)
    whirlwise("photo", whole, "--add-to", file)
    whirlwise("photo", other, "--wheel", file, "--add-to", file)
    assert list(read_wheel(file).readings[1].reading.values) == [Dimension("ratio", "whirl")]


def test_another_wheel_does_not_help(
    whirlwise: Whirlwise,
    whole: Path,
    other: Path,
    file: Path,
    told: dict[str, PhotoReading],
    photo_reading: PhotoReading,
) -> None:
    assert isinstance(photo_reading.wheel, WheelReading)
    told["other.jpg"] = replace(
        photo_reading, wheel=replace(photo_reading.wheel, pitch_mm=ufloat(600, 0.9), outer_mm=ufloat(604, 1))
    )
    whirlwise("photo", whole, "--add-to", file)
    alone = answered(whirlwise, "photo", other)
    document = answered(whirlwise, "photo", other, "--wheel", file)
    assert document["wheel"] == alone["wheel"]
    assert any("is it the same wheel?" in remark for remark in document["remarks"])


def test_a_file_without_sizes_does_not_help(
    whirlwise: Whirlwise,
    whole: Path,
    other: Path,
    file: Path,
    told: dict[str, PhotoReading],
    photo_reading: PhotoReading,
) -> None:
    told["whole.jpg"] = told["other.jpg"] = without_sizes(photo_reading)
    whirlwise("photo", whole, "--add-to", file)
    document = answered(whirlwise, "photo", other, "--wheel", file)
    assert document["wheel"]["pitch_mm"] is None
    assert any("does not tell the wheel's size" in remark for remark in document["remarks"])
    found = whirlwise("photo", other, "--wheel", other.with_name("none.json"))
    assert (found.status, found.out) == (4, "")


def test_the_band_that_is_noted_need_not_be_typed(
    whirlwise: Whirlwise,
    whole: Path,
    file: Path,
    photo_reading: PhotoReading,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    bands: list[UFloat | None] = []

    def measured(path: Path, settings: PhotoSettings) -> PhotoReading:
        bands.append(settings.band_mm)
        return photo_reading

    monkeypatch.setattr(photo_command, "measure_photo", measured)
    whirlwise("photo", whole, "--add-to", file)
    whirlwise("parts", file, "--band", "old: 3.1mm")
    whirlwise("photo", whole, "--add-to", file)
    assert read_wheel(file).readings[0].how == {"--band": "3.1+-0.2mm"}
    whirlwise("photo", whole, "--wheel", file)
    whirlwise("photo", whole, "--add-to", file, "--band", "2mm")
    assert bands[0] is None
    assert [each.n for each in bands[1:] if each is not None] == [3.1, 3.1, 2.0]
