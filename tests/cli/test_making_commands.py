"""Ladder, groove, steps, band and compare as a person meets them: typed numbers, and a wheel's own file."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import cv2
import numpy as np
import pytest
from PIL import Image
from uncertainties import ufloat

from whirlwise.calc.bands import open_band_length
from whirlwise.cli.commands import photo as photo_command
from whirlwise.vision.photo_reading import PhotoReading

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

TYPED = ("--wheel-groove", "556mm", "--band", "2.5mm")


def answered(whirlwise: Whirlwise, *arguments: object) -> Any:
    found = whirlwise(*arguments, "--json")
    assert (found.status, found.err) == (0, "")
    return json.loads(found.out)


def said(whirlwise: Whirlwise, *arguments: object) -> str:
    found = whirlwise(*arguments)
    assert (found.status, found.err) == (0, "")
    return " ".join(found.out.split())


def rows(out: str) -> list[list[str]]:
    """Cells of the one table in an answer, below its line of dashes."""
    lines = out.splitlines()
    (rule,) = (place for place, line in enumerate(lines) if re.fullmatch(r"[ -]*--[ -]*", line))
    return [re.split(r"\s{2,}", line.strip()) for line in lines[rule + 1 : lines.index("", rule)]]


@pytest.fixture
def file(
    whirlwise: Whirlwise, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, photo_reading: PhotoReading
) -> Path:
    """A wheel's file with one picture, in which two whirls were seen: ratios of 10.793 and 6."""
    large = replace(photo_reading.whirls[0], label="large", pitch_per_wheel_pitch=ufloat(1 / 6, 0.0005))
    reading = replace(photo_reading, whirls=(photo_reading.whirls[0], large))
    monkeypatch.setattr(
        photo_command, "measure_photo", lambda path, settings: replace(reading, file=path.name)
    )
    picture, path = tmp_path / "whole.jpg", tmp_path / "birch.json"
    Image.fromarray(np.full((60, 80, 3), 100, np.uint8)).save(picture)
    assert whirlwise("photo", picture, "--add-to", path, "--band", "2.5mm").status == 0
    return path


# Ladder


def test_ladder_of_typed_ratios(whirlwise: Whirlwise) -> None:
    arguments = ("ladder", "--ratio=large=6.0", "--ratio=small=12.6+-0.5", "--cadence=55-70")
    text = said(whirlwise, *arguments)
    assert text.startswith("The ratios go from 6.000 (95 % sure: 5.950 to 6.050) to 12.60")
    assert "it stands between a slow and a medium wheel, but its interval, 12.10 to 13.10," in text
    assert "reaches over the limit at 13." in text
    # 6 at 70 a minute is 420; 12.6 at 55 is 693.
    assert "Between large and small your feet reach no flyer speed from 420 to 693 turns a minute." in text
    assert rows(whirlwise(*arguments).out) == [
        ["large", "6.000", "5.950", "6.050", "330 to 420"],
        ["small", "12.60", "12.10", "13.10", "110", "693 to 882"],
    ]


def test_ladder_in_json(whirlwise: Whirlwise) -> None:
    found = answered(whirlwise, "ladder", "--ratio=b=12.0", "--ratio=a=6.0", "--cadence=60", "--new=18.0")
    assert set(found) == {
        "rungs", "steps", "lowest", "highest", "speed_class",
        "out_of_reach", "slip_percent", "new", "remarks",
    }  # fmt: skip
    assert [rung["whirl"] for rung in found["rungs"]] == ["a", "b"]
    assert found["rungs"][1]["flyer_per_min"][0]["value"] == pytest.approx(720)
    assert found["steps"][0]["factor"]["value"] == pytest.approx(2.0)
    assert found["speed_class"]["names"] == ["slow", "medium"]
    assert (found["new"]["where"], found["new"]["nearest"]) == ("top", "b")
    assert found["new"]["span_after"] == pytest.approx(3.0)
    assert found["out_of_reach"] == []


@pytest.mark.parametrize(
    ("new", "sentence"),
    [
        ("12.1", "adds nothing in use: it does what small does already."),
        (
            "8.5",
            "stands between large and small, 29 % below small; the widest step shrinks from 100 % to 42 %.",
        ),
        ("18.0", "is faster than all, for fine yarn: 50 % above small. The highest ratio is then 3.00 times"),
        ("4.0", "is slower than all, for thick yarn: 33 % below large."),
        ("12.9+-0.6", "it may be no more than another small: measure first."),
    ],
)
def test_is_this_whirl_worth_buying(whirlwise: Whirlwise, new: str, sentence: str) -> None:
    text = said(whirlwise, "ladder", "--ratio=large=6.0", "--ratio=small=12.0", f"--new={new}")
    assert sentence in text


def test_a_new_whirl_by_its_groove(whirlwise: Whirlwise) -> None:
    # By hand: (556 + 2.5) / (41.5 + 2.5) = 12.6932.
    arguments = ("ladder", "--ratio=large=6.0", "--new=41.5mm", *TYPED)
    assert answered(whirlwise, *arguments)["new"]["ratio"]["value"] == pytest.approx(12.6932, abs=0.01)
    # The same in inches.
    inches = ("ladder", "--ratio=large=6.0", "--new=1.6339in", "--wheel-groove=21.890in", "--band=0.09843in")
    assert answered(whirlwise, *inches)["new"]["ratio"]["value"] == pytest.approx(12.6932, abs=0.01)


def test_slip_and_an_accelerating_head(whirlwise: Whirlwise) -> None:
    # Khurmi, Theory of Machines, example 11.1: 750 -> 450 and 900 -> 150 mm give 10 times the speed; with 2 %
    # slip on each belt 9.604 times.
    found = answered(whirlwise, "ladder", "--ratio=great=1.66667", "--head=6.00000")
    assert found["rungs"][0]["ratio"]["value"] == pytest.approx(10.0, abs=1e-3)
    found = answered(whirlwise, "ladder", "--ratio=great=1.66667x6.00000", "--slip=3.96")
    assert found["rungs"][0]["ratio"]["value"] == pytest.approx(9.604, abs=1e-3)


def test_ladder_of_a_wheels_file(whirlwise: Whirlwise, file: Path) -> None:
    before = file.read_bytes()
    found = answered(whirlwise, "ladder", "--wheel", file)
    assert [rung["whirl"] for rung in found["rungs"]] == ["large", "whirl"]
    assert found["highest"]["value"] == pytest.approx(555.17 / 51.44, abs=0.01)
    assert file.read_bytes() == before
    with_more = answered(whirlwise, "ladder", "--wheel", file, "--ratio=typed=15.0")
    assert [rung["whirl"] for rung in with_more["rungs"]] == ["large", "whirl", "typed"]


def test_the_plot_is_a_picture_of_rungs(whirlwise: Whirlwise, tmp_path: Path) -> None:
    path = tmp_path / "ladder.png"
    out = whirlwise("ladder", "--ratio=a=6.0", "--ratio=b=12.0", "--new=8.5", "--plot", path).out
    assert out.endswith(f"\nPlot: {path}\n")
    seen = cv2.imread(str(path))
    assert seen is not None
    # Colours of the palette: rust rungs for what is there, a green one for the new; #D55E00, #009E73.
    heights = {
        name: np.flatnonzero((np.abs(seen.astype(int) - colour).max(axis=2) < 12).sum(axis=1) > 100)
        for name, colour in (("rust", (0, 94, 213)), ("green", (115, 158, 0)))
    }
    rungs = [
        float(part.mean())
        for part in np.split(heights["rust"], np.flatnonzero(np.diff(heights["rust"]) > 5) + 1)
    ]
    assert len(rungs) == 2
    # A logarithmic scale: 8.5 stands ln(12 / 8.5) / ln 2 of the way down from 12 to 6.
    share = (heights["green"].mean() - rungs[0]) / (rungs[1] - rungs[0])
    assert share == pytest.approx(np.log(12 / 8.5) / np.log(2), abs=0.01)
    again = whirlwise("ladder", "--ratio=a=6.0", "--plot", path)
    assert (again.status, "which is there already" in again.err) == (2, True)


@pytest.mark.parametrize("name", ["$x^{", "\u8f6e\u5b50", "a" * 200, "50 % & <b>"])
def test_any_name_can_be_plotted(whirlwise: Whirlwise, tmp_path: Path, name: str) -> None:
    found = whirlwise("ladder", f"--ratio={name}=6.0", "--ratio=b=12.0", "--plot", tmp_path / "a.png")
    assert (found.status, found.err) == (0, "")
    assert name[:20] in found.out
    found = whirlwise("ladder", "--ratio=two\nlines\x07=6.0")
    assert (found.status, found.out) == (2, "")


def test_a_ratio_about_which_little_is_known(whirlwise: Whirlwise, tmp_path: Path) -> None:
    found = whirlwise("ladder", "--ratio=a=6+-5", "--ratio=b=12.0", "--plot", tmp_path / "a.png")
    assert (found.status, found.err) == (0, "")
    assert "may be one in use" in found.out


def test_slip_is_told(whirlwise: Whirlwise) -> None:
    assert "At work a single band slips by 0 to 2 % as a rule" in said(whirlwise, "ladder", "--ratio=12.0")
    text = said(whirlwise, "ladder", "--ratio=12.0", "--slip=1.00+-0.50")
    assert "Ratios at work: 1.00 % (95 % sure: 0.50 to 1.50) is taken off for the slip." in text


# Groove


def test_which_groove_to_turn(whirlwise: Whirlwise) -> None:
    # By hand: 12.60 x (41.5 + 2.5) / 18 - 2.5 = 28.30 mm.
    arguments = ("groove", "--ratio=18", "--from-whirl=12.60=41.5mm", "--band=2.5mm")
    text = said(whirlwise, *arguments)
    assert text.startswith("For a ratio of 18 turn a groove of 28.30 mm (95 % sure: 28.")
    # 30.8 / 1.01 - 2.5 = 27.995 and 30.8 / 0.99 - 2.5 = 28.611.
    assert "from 28.00 to 28.61 mm the ratio is within 1 %" in text
    for caution in ("goggles", "trained", "rules of the workshop", "Fingers, hair and sleeves"):
        assert caution in text
    found = answered(whirlwise, *arguments)
    assert found["grooves"][0]["bottom_mm"]["value"] == pytest.approx(28.3, abs=0.001)
    assert found["grooves"][0]["smallest_mm"] == pytest.approx(27.995, abs=0.001)
    assert found["wheel_pitch_mm"]["value"] == pytest.approx(554.4, abs=0.1)


def test_slip_and_shape_make_it_smaller(whirlwise: Whirlwise) -> None:
    def bottom_mm(*more: str) -> float:
        found = answered(whirlwise, "groove", "--ratio=18", *TYPED, *more)
        return float(found["grooves"][0]["bottom_mm"]["value"])

    # By hand: 558.5 / 18 = 31.028; U: - 2.5; 2 % of slip takes 0.62 more; V of 60 degrees: - 2 x 2.5.
    assert bottom_mm() == pytest.approx(28.528, abs=0.01)
    assert bottom_mm("--slip=2") == pytest.approx(27.907, abs=0.01)
    assert bottom_mm("--shape=v60") == pytest.approx(26.028, abs=0.01)
    # A flat of 1 mm lies 1 / (2 tan 30) = 0.866 above the point.
    assert bottom_mm("--shape=v60,1mm") == pytest.approx(26.028 + 2 * 0.866, abs=0.01)


def test_inches_in_inches_out(whirlwise: Whirlwise) -> None:
    text = said(whirlwise, "groove", "--ratio=18", "--wheel-groove=21.89in", "--band=0.1in")
    # (21.89 + 0.1) / 18 - 0.1 = 1.1217 in.
    assert "turn a groove of 1.1217 in (95 % sure:" in text
    assert "mm" not in text.partition("Why you can trust it")[0].replace("a millimetre", "")
    metric = said(
        whirlwise, "groove", "--ratio=18", "--wheel-groove=21.89in", "--band=0.1in", "--units=metric"
    )
    assert "turn a groove of 28.49 mm" in metric


def test_a_wheel_known_too_roughly_is_told(whirlwise: Whirlwise) -> None:
    rough = ("groove", "--ratio=18", "--wheel-groove=556+-15mm", "--band=2.5mm")
    assert "Wheel and band are known too roughly" in said(whirlwise, *rough)
    assert "too roughly" not in said(whirlwise, *rough, "--within=5")


def test_the_point_of_a_v_is_out_of_reach(whirlwise: Whirlwise) -> None:
    assert "reaches the point of a V" in said(whirlwise, "groove", "--ratio=18", *TYPED, "--shape=v60")
    assert "reaches the point" not in said(whirlwise, "groove", "--ratio=18", *TYPED, "--shape=v60,1mm")


def test_a_groove_for_a_wheel_with_a_file(whirlwise: Whirlwise, file: Path) -> None:
    found = answered(whirlwise, "groove", "--ratio=18", "--wheel", file)
    # The picture's wheel: 555.2 mm where the band runs, of which 2.5 mm are the band.
    assert found["wheel_pitch_mm"]["value"] == pytest.approx(555.2, abs=0.1)
    assert found["grooves"][0]["bottom_mm"]["value"] == pytest.approx(555.2 / 18 - 2.5, abs=0.02)
    thicker = answered(whirlwise, "groove", "--ratio=18", "--wheel", file, "--band=3.5mm")
    assert thicker["wheel_pitch_mm"]["value"] == pytest.approx(556.2, abs=0.1)


# Steps


def test_two_more_whirls(whirlwise: Whirlwise) -> None:
    arguments = ("steps", "--range=6-18", "--whirls=2", "--ratio=large=6.0", "--ratio=small=12.0")
    # By hand: 18 must be made, and the widest step, 6 to 12, gets sqrt 72.
    assert said(whirlwise, *arguments).startswith(
        "For ratios from 6 to 18 make 2 whirls with 8.49 and 18.00; then no step is wider than 50 %."
    )
    found = answered(whirlwise, *arguments, *TYPED)
    assert [each["ratio"]["value"] for each in found["new"]] == pytest.approx([72**0.5, 18.0])
    assert found["new"][1]["bottom_mm"]["value"] == pytest.approx(558.5 / 18 - 2.5, abs=0.01)
    assert [cells[0] for cells in rows(whirlwise(*arguments).out)] == ["large", "to make", "small", "to make"]


def test_steps_no_wider_than_wished(whirlwise: Whirlwise, file: Path) -> None:
    found = answered(whirlwise, "steps", "--range=6-18", "--step=25%")
    # ln 3 / ln 1.25 = 4.92: five steps, six whirls.
    assert len(found["new"]) == 6
    assert found["widest_step_percent"]["value"] == pytest.approx(100 * (3**0.2 - 1))
    with_file = answered(whirlwise, "steps", "--range=6-10.79", "--step=80", "--wheel", file)
    assert with_file["new"] == []
    assert "nothing need be made" in said(whirlwise, "steps", "--range=6-10.79", "--step=80", "--wheel", file)


# Band


def test_which_band_to_order(whirlwise: Whirlwise) -> None:
    arguments = ("band", *TYPED, "--whirl-groove=41.5mm", "--apart=430mm", "--stretch=3+-1", "--knot=60mm")
    found = answered(whirlwise, *arguments, "--travel=20mm")
    (band,) = found["bands"]
    exact = float(open_band_length(558.5, 44.0, 430.0))
    assert band["in_use_mm"]["value"] == pytest.approx(exact, abs=0.05)
    assert band["slack_mm"]["value"] == pytest.approx(exact / 1.03, abs=0.1)
    assert band["cut_mm"]["value"] == pytest.approx(exact / 1.03 + 60, abs=0.1)
    assert found["slips_first"] == "whirl"
    text = said(whirlwise, *arguments)
    assert text.startswith(
        "Order a band of 1908 mm (95 % sure: 1888 to 1928), measured slack; as cord, cut 1968"
    )
    assert "The band slips on whirl first: it wraps 106.51 degrees of it." in text


def test_a_band_for_every_whirl_of_a_file(whirlwise: Whirlwise, file: Path) -> None:
    found = answered(whirlwise, "band", "--wheel", file)
    assert [band["whirls"] for band in found["bands"]] == [["whirl"], ["large"]]
    lengths = [band["in_use_mm"]["value"] for band in found["bands"]]
    assert lengths == pytest.approx(
        [open_band_length(555.2, 51.44, 362.8), open_band_length(555.2, 555.2 / 6, 362.8)], abs=0.3
    )
    assert found["slips_first"] == "whirl"
    text = said(whirlwise, "band", "--wheel", file)
    assert "One band for all of them needs the spindle to be moved by" in text
    (one,) = answered(whirlwise, "band", "--wheel", file, "--whirl=large")["bands"]
    assert one["whirls"] == ["large"]


def test_double_drive(whirlwise: Whirlwise) -> None:
    whirls = ("--whirl-groove=flyer=60mm", "--whirl-groove=bobbin=46mm")
    found = answered(whirlwise, "band", "--lay=double", *TYPED, *whirls, "--apart=430mm")
    (band,) = found["bands"]
    expected = open_band_length(558.5, 62.5, 430.0) + open_band_length(558.5, 48.5, 430.0)
    assert band["in_use_mm"]["value"] == pytest.approx(expected, abs=0.05)
    assert found["slips_first"] == "bobbin"
    assert any("that is how it works" in remark for remark in found["remarks"])


def test_what_a_thicker_band_does(whirlwise: Whirlwise) -> None:
    arguments = ("band", *TYPED, "--whirl-groove=41.5mm", "--apart=430mm", "--new-band=3.5mm")
    (change,) = answered(whirlwise, *arguments)["ratios_with_new_band"]
    assert change["ratio"]["value"] == pytest.approx(558.5 / 44, abs=0.01)
    assert change["new_ratio"]["value"] == pytest.approx(559.5 / 45, abs=0.01)
    assert "With the new band whirl has a ratio of 12.43" in said(whirlwise, *arguments)


# Compare


def test_which_of_two_wheels(whirlwise: Whirlwise) -> None:
    arguments = ("compare", "--also=birch=6.0,8.5,12.0", "--also=cherry=9.0,14.0", "--cadence=55-70")
    text = said(whirlwise, *arguments, "--wish=6-18")
    assert text.startswith("For ratios from 6 to 18 birch covers most. birch covers 55 %")
    found = answered(whirlwise, *arguments, "--wish=6-18")
    assert (found["best"], found["rivals"]) == ("birch", [])
    # By hand: each whirl reaches sqrt(70 / 55) = 1.1282 either way; of ln 3 birch covers 6-6.769, 7.534-9.589
    # and 10.637-13.538.
    covered = np.log(6.769 / 6) + np.log(9.589 / 7.534) + np.log(13.538 / 10.637)
    assert found["wheels"][0]["covered_percent"]["value"] == pytest.approx(100 * covered / np.log(3), abs=0.1)
    assert found["wheels"][1]["missing"][-1] == pytest.approx([15.794, 18.0], abs=0.001)
    plain = answered(whirlwise, *arguments)
    assert (plain["best"], plain["wheels"][0]["covered_percent"]) == (None, None)


def test_files_beside_typed_wheels(whirlwise: Whirlwise, file: Path, tmp_path: Path) -> None:
    path = tmp_path / "both.png"
    found = whirlwise("compare", file, "--also=cherry=9.0,14.0", "--wish=6-18", "--plot", path)
    assert (found.status, found.err) == (0, "")
    assert {cells[0] for cells in rows(found.out)} == {"birch", "cherry"}
    assert path.read_bytes().startswith(b"\x89PNG")


# All of them


EVERY_COMMAND = [
    (
        "ladder",
        "--ratio=a whirl with a long name=6+-0.1",
        "--ratio=b=12.6+-0.55",
        "--cadence=55-70",
        "--new=9",
    ),
    ("groove", "--ratio=18", "--ratio=9", *TYPED, "--shape=v60,1mm"),
    ("groove", "--ratio=18", "--wheel-groove=21.9in", "--band=0.1in"),
    ("steps", "--range=6-18", "--whirls=4", "--ratio=large=6.0", *TYPED),
    ("band", *TYPED, "--whirl-groove=a=41.5mm", "--whirl-groove=b=85mm", "--apart=430mm", "--knot=60mm"),
    ("compare", "--also=a wheel with a long name=6.0,15.0", "--also=b=5.0", "--wish=6-18"),
]


@pytest.mark.parametrize("arguments", EVERY_COMMAND)
def test_answers_fit_eighty_columns(
    whirlwise: Whirlwise, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str, ...]
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    out = whirlwise(*arguments).out
    assert out.isascii()
    assert max(map(len, out.splitlines())) <= 80


@pytest.mark.parametrize("arguments", EVERY_COMMAND)
def test_every_number_in_json_has_its_interval(whirlwise: Whirlwise, arguments: tuple[str, ...]) -> None:
    def check(node: object) -> int:
        if isinstance(node, dict):
            if "value" in node:
                assert set(node) == {"value", "low", "high"}
                assert node["low"] <= node["value"] <= node["high"]
                return 1
            return sum(map(check, node.values()))
        return sum(map(check, node)) if isinstance(node, list) else 0

    document = answered(whirlwise, *arguments)
    assert check(document) > 3
    assert all(isinstance(remark, str) for remark in document["remarks"])


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (
            ["ladder"],
            "There is no ratio to go by; give --ratio small=12.5 for each whirl, or --wheel FILE of a "
            "wheel whose ratio is known.",
        ),
        (["ladder", "--ratio=6", "--new=41.5mm"], "Nothing tells how thick the band is; give --band 2.5mm."),
        (
            ["ladder", "--ratio=6", "--new=41.5mm", "--band=2.5mm"],
            "Nothing tells the wheel's size; give --wheel FILE of a wheel whose size is known, "
            "--wheel-groove 556mm, or --from-whirl 12.6=41.5mm.",
        ),
        (
            ["groove", "--ratio=18", "--from-whirl=12.6=41.5mm", *TYPED],
            "--wheel, --wheel-groove and --from-whirl each tell the wheel's size; give one of them.",
        ),
        (
            ["groove", "--ratio=18", "--from-whirl=41.5mm", "--band=2.5mm"],
            "--from-whirl got '41.5mm' but expects a ratio and the diameter of its groove, such as "
            "12.6=41.5mm.",
        ),
        (
            ["groove", "--ratio=300", *TYPED],
            "--ratio got '300', but for a ratio of 300 the band would have to run 1.86 mm across, which "
            "leaves no wood under the band; wish for less.",
        ),
        (["groove", "--ratio=18", *TYPED, "--paper=a3"], "--paper got 'a3' but expects a4 or letter."),
        (
            ["groove", "--ratio=18", *TYPED, "--template=w.png"],
            "--template got 'w.png' but writes PDF pages or SVG drawings; let the name end in .pdf.",
        ),
        (
            ["groove", "--ratio=2", *TYPED, "--template=w.pdf"],
            "A whirl of this size, with so many grooves, does not fit on one page; ask for a template of "
            "fewer ratios at a time, or of a higher ratio.",
        ),
        (["steps", "--range=6-18"], "steps expects one of --whirls 3 and --step 25; it works out the other."),
        (
            ["steps", "--range=6-18", "--whirls=1"],
            "steps cannot do that: reaching from 6 to 18 takes at least 2 new whirls, for nothing there "
            "reaches 6 and 18; ask for another number of whirls or another range.",
        ),
        (
            ["band", *TYPED, "--apart=430mm"],
            "Nothing tells the whirl's size; give --whirl-groove small=41.5mm.",
        ),
        (
            ["band", *TYPED, "--whirl-groove=41.5mm"],
            "Nothing tells how far the spindle is from the wheel's axle; give --apart 430mm.",
        ),
        (
            ["band", *TYPED, "--whirl-groove=41.5mm", "--apart=430mm", "--lay=double"],
            "A band laid double goes round two whirls, the flyer's and the bobbin's, not 1; name them with "
            "--whirl, or with --whirl-groove flyer=60mm --whirl-groove bobbin=46mm.",
        ),
        (
            ["band", *TYPED, "--whirl-groove=41.5mm", "--apart=230mm"],
            "A band laid open cannot be: a centre distance of 230 mm is too short for these diameters: it "
            "must be above 257.25 mm.",
        ),
        (["compare"], "compare expects wheels' files, or wheels typed as --also maple=6,9,12.5."),
        (
            ["compare", "--also=a=6", "--also=a=7"],
            "compare got two wheels named a; give each a name of its own.",
        ),
    ],
)
def test_wrong_usage_is_one_sentence(
    whirlwise: Whirlwise,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    arguments: list[str],
    sentence: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    found = whirlwise(*arguments)
    assert (found.status, found.out, found.err) == (2, "", f"{sentence}\n")
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_knows_nothing(whirlwise: Whirlwise, file: Path, tmp_path: Path) -> None:
    assert whirlwise("band", "--wheel", file, "--whirl=huge").err == (
        "--whirl got 'huge' but the file knows whirl, large.\n"
    )
    missing = tmp_path / "gone.json"
    found = whirlwise("ladder", "--wheel", missing)
    assert (found.status, found.out) == (4, "")
    assert found.err.startswith(f"There is no file {missing}.")


def test_every_pair_of_a_great_wheel_and_its_heads(whirlwise: Whirlwise) -> None:
    heads = ("--head=slow=3.00000", "--head=quick=6.00000")
    found = answered(whirlwise, "ladder", "--ratio=large=9.00000", "--ratio=small=12.0000", *heads)
    assert [(rung["whirl"], round(rung["ratio"]["value"], 3)) for rung in found["rungs"]] == [
        ("large+slow", 27.0),
        ("small+slow", 36.0),
        ("large+quick", 54.0),
        ("small+quick", 72.0),
    ]
    new = answered(whirlwise, "ladder", "--ratio=large=9.00000", heads[1], "--new=12.0000")
    assert new["new"]["ratio"]["value"] == pytest.approx(72, abs=0.001)
    refused = whirlwise("ladder", "--ratio=large=9", *heads, "--new=12")
    assert (refused.status, refused.out) == (2, "")
    assert "give the --head that is meant alone" in refused.err


YARNS = (
    "compare",
    "--also=birch=6.0,12.0",
    "--also=cherry=9.0,14.0",
    "--cadence=55-70",
    "--drafting=250+-5cm",
)


def test_which_wheel_spins_the_yarns_wished_for(whirlwise: Whirlwise) -> None:
    asked = (*YARNS, "--yarn=800yd/lb", "--yarn=4000yd/lb")
    text = said(whirlwise, *asked)
    assert "For the yarns wished for take birch: it spins 1 of 2, and perhaps 1 more. As far as these" in text
    assert "cherry lacks a whirl of 4.8 for 800yd/lb." in text
    assert max(map(len, whirlwise(*asked).out.splitlines())) <= 88
    found = answered(whirlwise, *asked)["yarns"]
    assert (found["best"], found["rivals"]) == ("birch", ["cherry"])
    birch = found["wheels"][0]
    assert [(each["yarn"], each["whirl"], each["spins"]) for each in birch["yarns"]] == [
        ("800yd/lb", "6.0", "perhaps"),
        ("4000yd/lb", "12.0", "yes"),
    ]
    # The command that finds a whirl for one yarn, at the middle of the cadence, sqrt(55 x 70), says the same.
    alone = ("--cadence=62.0484", "--drafting=250cm", "--yarn=4000yd/lb")
    wanted = answered(whirlwise, "whirls", "--ratio=12.0", *alone)["wanted_ratio"]
    for end in ("value", "low", "high"):
        assert birch["yarns"][1]["ratio"][end] == pytest.approx(wanted[end], rel=2e-3)


def test_metric_yarns_are_the_same_yarns(whirlwise: Whirlwise) -> None:
    metric = (*YARNS[:-1], "--drafting=254+-5.08cm", "--yarn=16g/m", "--yarn=125tex")
    assert whirlwise(*metric).status == 2  # grams a metre are no count that is known
    one = answered(whirlwise, *YARNS[:-1], "--drafting=254.0+-5.08cm", "--yarn=496.055tex")["yarns"]["wheels"]
    other = answered(whirlwise, *YARNS[:-1], "--drafting=100.0+-2in", "--yarn=1000yd/lb")["yarns"]["wheels"]
    for ours, theirs in zip(one, other, strict=True):
        assert ours["singles_tex"] == pytest.approx(theirs["singles_tex"], rel=1e-5)
        (first,), (second,) = ours["yarns"], theirs["yarns"]
        assert first["spins"] == second["spins"]
        assert first["ratio"]["value"] == pytest.approx(second["ratio"]["value"], rel=1e-4)


def test_yarns_hang_on_the_hands(whirlwise: Whirlwise) -> None:
    found = whirlwise(*YARNS[:-1], "--yarn=800yd/lb")
    assert (found.status, found.out) == (2, "")
    assert "give --drafting 250cm" in found.err
    assert "birch spins wool knitting singles of" in said(whirlwise, *YARNS)
    assert answered(whirlwise, *YARNS[:-1])["yarns"] is None
