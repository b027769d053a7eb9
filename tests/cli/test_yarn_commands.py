"""The commands about yarn, twist and time as a person meets them."""

from __future__ import annotations

import io
import json
import re
import shlex
from dataclasses import replace
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from PIL import Image
from uncertainties import nominal_value, ufloat

from whirlwise.calc.interval import interval_95
from whirlwise.calc.output import Project, Stop, levers, project_time
from whirlwise.calc.wheel import Dimension, Reading
from whirlwise.cli import guide
from whirlwise.cli.given.yarn import COUNTS, share, tex_of_wraps, twist_use, yarn_count, yarn_length_m
from whirlwise.cli.keep.entries import KeptReading
from whirlwise.cli.keep.known_ratios import known_ratios
from whirlwise.cli.keep.store import change_wheel
from whirlwise.cli.show.table import table
from whirlwise.cli.show.units import amount, plus_minus, preferred, to, units_typed
from whirlwise.cli.trouble import WrongUsageError

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

GUIDE = resources.files(guide).joinpath("questions.md").read_text(encoding="utf-8")
ABOUT_YARN = GUIDE[GUIDE.index("\nI treadle") :]
EXAMPLES = [line.strip() for line in ABOUT_YARN.splitlines() if line.startswith("  whirlwise ")]


def reading(name: str, numbers: dict[Dimension, float], taken: str = "2026-05-01T10:00:00") -> KeptReading:
    """A reading whose numbers are each known to 0.2 %."""
    covariance = np.eye(len(numbers)) * 0.002**2
    return KeptReading(
        name.partition("-")[0],
        f"{name}.jpg",
        f"{hash(name) % 16**64:064x}",
        taken,
        "the file",
        {},
        Reading(name, numbers, covariance, {}),
    )


def wheel_file(path: Path, *readings: KeptReading) -> Path:
    change_wheel(path, lambda wheel: wheel)
    for each in readings:
        change_wheel(path, lambda wheel, new=each: wheel.with_reading(new)[0])  # type: ignore[misc]
    return path


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the two wheels of the guide: three whirls, and a double drive."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("WHIRLWISE_UNITS", raising=False)
    whirls = {"large": 6.5, "middle": 9.0, "small": 12.0}
    wheel_file(
        tmp_path / "wheel.json",
        *(
            reading(f"photo-{place}", {Dimension("ratio", label): ratio})
            for place, (label, ratio) in enumerate(whirls.items(), 1)
        ),
    )
    double = {Dimension("ratio", "flyer"): 10.0, Dimension("ratio", "bobbin"): 13.0}
    wheel_file(tmp_path / "other.json", reading("photo-1", double))
    return tmp_path


def document(whirlwise: Whirlwise, *arguments: object) -> Any:
    found = whirlwise(*arguments, "--json")
    assert (found.status, found.err) == (0, "")
    return json.loads(found.out)


# --- the questions of the guide ---------------------------------------------------------------------------


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_example_of_the_guide_answers(whirlwise: Whirlwise, here: Path, example: str) -> None:
    found = whirlwise(*shlex.split(example)[1:])
    assert (found.status, found.err) == (0, "")
    assert found.out
    assert max(map(len, found.out.splitlines())) <= 88
    # Tables and lists, which are not wrapped to the screen, fit 80 columns.
    before = found.out.partition("Why you can trust it")[0].splitlines()
    assert all(len(line) <= 80 for line in before if line.startswith("  "))
    assert document(whirlwise, *shlex.split(example)[1:])["remarks"]


def test_the_guide_fits_and_asks_what_spinners_ask() -> None:
    assert max(map(len, ABOUT_YARN.splitlines())) <= 88
    assert len(EXAMPLES) >= 10
    for question in (
        "I treadle at 65. Which whirl for a 2-ply at 1400 yards a pound?",
        "Why does my twist fall as the bobbin fills?",
        "How long for a jumper of 1200 yards of 3-ply?",
    ):
        assert f"\n{question}\n  " in GUIDE


def test_which_whirl_for_a_two_ply_at_1400_yards(whirlwise: Whirlwise, here: Path) -> None:
    typed = ("whirls", "--wheel", "wheel.json", "--cadence", 65, "--yarn", "1400yd/lb", "--plies", 2)
    told = document(whirlwise, *typed)
    # By hand: 2800 yd/lb are Ne 3.333; 3.1 sqrt(3.333) = 5.660 turns an inch; 12 x 65 / 5.660 = 137.8 in/min.
    assert told["wished_twist_per_inch"]["value"] == pytest.approx(5.660, abs=0.01)
    pace = {each["whirl"]: each for each in told["whirls"]}
    assert list(pace) == ["large", "middle", "small"]
    assert pace["small"]["drafting_cm_per_min"]["value"] / 2.54 == pytest.approx(137.8, abs=0.3)
    assert pace["small"]["m_per_hour"]["value"] / 0.9144 == pytest.approx(137.8 * 60 / 36, abs=0.5)
    assert pace["large"]["drafted_per_treadle_cm"]["value"] / 2.54 == pytest.approx(6.5 / 5.660, abs=0.005)
    out = whirlwise(*typed).out
    assert "Its 2 singles are spun at 2800 yd/lb" in out
    assert re.search(r"^  small +12\.000? \+-\d", out, re.MULTILINE)


def test_a_pace_names_one_whirl_and_the_price_of_the_others(whirlwise: Whirlwise, here: Path) -> None:
    typed = ("whirls", "--wheel", "wheel.json", "--cadence=65", "--wish=5.7/in", "--drafting=3.8yd")
    told = document(whirlwise, *typed)
    assert told["best"] == "small"
    fits = {each["whirl"]: each["fits"] for each in told["whirls"]}
    assert fits == {"small": True, "middle": False, "large": False}
    middle = told["whirls"][1]
    # By hand: 5.7 x 136.8 in/min over 9 are 86.6 treadles; 9 x 65 / 5.7 = 102.6 in/min, 57 yd/h fewer.
    assert middle["cadence_per_min"]["value"] == pytest.approx(86.6, abs=0.05)
    assert middle["lost_m_per_hour"]["value"] / 0.9144 == pytest.approx((136.8 - 102.63) / 36 * 60, abs=0.3)
    assert told["wanted_ratio"]["value"] == pytest.approx(5.7 * 136.8 / 65, abs=0.01)
    assert whirlwise(*typed).out.startswith(
        "Take the whirl small: at your cadence and drafting speed it gives"
    )


def test_a_whirl_that_does_not_suit_is_told_with_both_remedies(whirlwise: Whirlwise) -> None:
    out = whirlwise("whirls", "--ratio=9.0", "--cadence=65.0", "--wish=5.7/in", "--drafting=3.80yd").out
    flat = " ".join(out.split())
    assert "would take 86.64 turns of the wheel a minute, 33 % faster than now; or draft 102.6" in flat
    assert "which costs 57 yd/h. A whirl of ratio 11.996" in flat
    assert "If treadling faster hurts, don't" in flat


def test_why_twist_falls_as_the_bobbin_fills(whirlwise: Whirlwise, here: Path) -> None:
    typed = ("bobbin", "--empty=25mm", "--full=80mm", "--wheel=other.json", "--draw=24in", "--treadles=12")
    told = document(whirlwise, *typed)
    assert (told["drive"], told["flyer_ratio"]["value"]) == ("double", 10.0)
    # By hand: 10 x 12 / 24 = 5 turns an inch are counted; 10/3 turns a wrap of pi x 0.984 inch add 1.078.
    first, last = told["course"][0], told["course"][-1]
    assert first["twist_per_inch"]["value"] == pytest.approx(5 + 10 / 3 / (np.pi * 25 / 25.4), abs=0.01)
    assert last["twist_per_inch"]["value"] == pytest.approx(5 + 10 / 3 / (np.pi * 80 / 25.4), abs=0.01)
    assert told["twist_change_percent"]["high"] < 0
    flat = " ".join(whirlwise(*typed).out.split())
    assert "From the empty bobbin to the full one the twist falls by 12.2 %" in flat
    assert "a fuller one takes it in fewer turns" in flat
    assert "Count a treadle or two more" in flat


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--flyer-ratio=10.0", "--drafted=5cm"), "The twist stays 2.00 turns/cm"),
        (("--bobbin-ratio=13.0", "--drafted=5cm"), "the twist rises by 3.5 %"),
        (("--flyer-ratio=10.0", "--bobbin-ratio=13.0"), "the twist falls by 68.8 %"),
        (("--flyer-ratio=10.0", "--bobbin-ratio=13.0", "--drafted=5cm"), "The twist stays 2.00 turns/cm"),
    ],
)
def test_every_drive_has_its_own_reason(whirlwise: Whirlwise, options: tuple[str, ...], words: str) -> None:
    found = whirlwise("bobbin", "--empty=25mm", "--full=80mm", *options)
    assert found.status == 0
    assert words in " ".join(found.out.split())


def test_how_long_for_a_jumper(whirlwise: Whirlwise) -> None:
    told = document(whirlwise, "time", "--length=1200yd", "--plies=3", "--drafting=3.0yd")
    # By hand: 3600 yards at 3 a minute are 20 h; plied at 3 / 0.65 a minute 4.33 h; hooks every 6 m 6 s and
    # joins every 12 m 10 s on 3292 m: 1.68 h; hooks on 1097 m: 0.30 h; 26.3 h together.
    hours = {name: each["value"] for name, each in told["hours"].items()}
    assert hours["spinning"] == pytest.approx(20, abs=0.01)
    assert hours["plying"] == pytest.approx(1200 / (3 / 0.65) / 60, abs=0.005)
    assert hours["total"] == pytest.approx(26.32, abs=0.02)
    assert told["hours"]["total"]["low"] < 26 < told["hours"]["total"]["high"]
    assert told["levers"][0]["what"] == "drafting faster"
    assert told["levers"][0]["saved_hours"]["value"] == pytest.approx(20 / 101, abs=0.002)


def test_time_from_twist_ratio_and_cadence(whirlwise: Whirlwise) -> None:
    told = document(
        whirlwise,
        "time",
        "--length=156m",
        "--twist=3/cm",
        "--ratio=12.0",
        "--cadence=65.0",
        "--hook-takes=1s",
    )
    # 12 x 65 / 3 are 260 cm a minute: 156 m take an hour.
    assert told["hours"]["spinning"]["value"] == pytest.approx(1.0, abs=0.005)
    assert told["hours"]["plying"]["value"] == 0


def test_rest_and_winding_take_their_share(whirlwise: Whirlwise) -> None:
    told = document(
        whirlwise,
        *("time", "--length=150m", "--drafting=250.0cm", "--winding=20%", "--rest=10+-1%"),
        *("--hook-every=1000m", "--join-every=1000m"),
    )
    # An hour at 2.5 m a minute; a fifth of the time the yarn only runs on: 1.25 h; a tenth of rest on top.
    assert told["hours"]["spinning"]["value"] == pytest.approx(1.25, abs=0.005)
    assert told["hours"]["rest"]["value"] == pytest.approx(told["hours"]["total"]["value"] / 10, abs=0.002)


# --- one yarn, one sample ---------------------------------------------------------------------------------


def test_a_yarn_in_every_count(whirlwise: Whirlwise) -> None:
    told = document(whirlwise, "yarn", "20Ne")
    # C. P. Brooks, Cotton Manufacturing: 20s cotton is 30s worsted. Computed: 29.53 tex, 16 800 yd/lb.
    finished = told["finished"]
    assert finished["worsted"]["value"] == pytest.approx(30)
    assert finished["yd_per_lb"]["value"] == pytest.approx(16_800)
    assert finished["tex"]["value"] == pytest.approx(29.527, abs=5e-4)
    assert finished["run"]["value"] == pytest.approx(10.5)
    assert told["ply_twist_per_cm"] is None


def test_twist_of_a_yarn_is_judged(whirlwise: Whirlwise) -> None:
    told = document(whirlwise, "yarn", "36Ne", "--twist=15.0/in", "--fibre=cotton")
    # University examination paper: 36 Ne at 15 turns an inch has a multiplier of 2.5.
    assert told["singles"]["twist_multiplier"]["value"] == pytest.approx(2.5, abs=0.005)
    assert told["usual_for"] == ["wool soft", "cotton knitting", "long cotton knitting", "long cotton weft"]
    assert "a twist multiplier of 2.5000 +-" in whirlwise("yarn", "36Ne", "--twist=15.0/in").out.replace(
        "\n", " "
    )


def test_too_fine_for_its_wool(whirlwise: Whirlwise) -> None:
    fine = ("yarn", "8tex", "--wool=60s")
    told = document(whirlwise, *fine)
    assert told["wool_grades"] == ["60s"]
    assert told["singles"]["fibres"]["value"] == pytest.approx(972 * 8 / 24.215**2, rel=0.01)
    assert "too few to hold together" in whirlwise(*fine).out.replace("\n", " ")
    assert "too few" not in whirlwise("yarn", "80tex", "--wool=24+-1").out
    assert document(whirlwise, "yarn", "80tex", "--wool=50")["wool_grades"] == []


def test_wraps_tell_a_factor_of_two(whirlwise: Whirlwise) -> None:
    told = document(whirlwise, "yarn", "--wraps=14+-0.5/in")["finished"]["yd_per_lb"]
    assert told["high"] / told["low"] > 2
    # "12-15 wraps, 1200-1800 yards per pound": a hobby page's table, so 1600 or so for 14.
    assert told["low"] < 1200
    assert told["high"] > 1600


def test_a_sample_against_what_was_reckoned(whirlwise: Whirlwise) -> None:
    turns = ("--turns=23", "--turns=21.5", "--turns=24", "--turns=22", "--turns=23.5")
    told = document(whirlwise, "sample", *turns, "--length=4in", "--reckoned=5.6/in", "--count=177tex")
    assert told["counted"]["twist_per_inch"]["value"] == pytest.approx(22.8 / 4, abs=0.01)
    assert told["counted"]["specimens"] == 5
    assert told["verdict"] == "agrees"
    # ISO 2061: 0.5 cN/tex on 177 tex are 88.5 cN, the weight of 90.2 g.
    assert told["weight_g"]["value"] == pytest.approx(90.2, abs=0.1)
    out = whirlwise("sample", *turns, "--length=4in", "--reckoned=7.0/in", "--direction=z").out
    assert "less twist than was reckoned" in out
    assert "It lies in Z: ply it in S." in out


def test_a_ply_back_sample(whirlwise: Whirlwise) -> None:
    told = document(whirlwise, "sample", "--ply-back=3.9/in")
    assert told["ply_back"]["twist_per_inch"]["value"] == pytest.approx(6.0)
    assert told["counted"] is None
    both = whirlwise(
        "sample", "--turns=40", "--turns=41", "--turns=40.5", "--length=4in", "--ply-back=3.9/in"
    )
    assert "The ply-back sample tells 59 % of what was counted" in both.out.replace("\n    ", " ")
    one = whirlwise("sample", "--turns=40", "--length=4in")
    assert "Untwist five specimens at least" in one.out


def test_twist_by_counting(whirlwise: Whirlwise) -> None:
    # A hand spinner's weblog, July 2015: 14:1 and two treadles for 2 inches make 14 turns an inch.
    known = {"--ratio": "14.0", "--draw": "2.0in", "--treadles": "2.0", "--wish": "14/in"}
    for left_out, key, value in [
        ("--wish", "twist_per_inch", 14),
        ("--ratio", "ratio", 14),
        ("--draw", "draw_cm", 5.08),
        ("--treadles", "treadles", 2),
    ]:
        typed = [part for option, text in known.items() if option != left_out for part in (option, text)]
        told = document(whirlwise, "twist", *typed, "--cadence", "60")
        assert told[key]["value"] == pytest.approx(value)
        assert told["drafting_cm_per_min"]["value"] == pytest.approx(60 * 2.54)
        assert whirlwise("twist", *typed).status == 0


def test_twist_from_a_wheel_s_file(whirlwise: Whirlwise, here: Path) -> None:
    typed = ("twist", "--wheel=wheel.json", "--whirl=small", "--cadence=60", "--drafting=240cm")
    assert document(whirlwise, *typed)["twist_per_cm"]["value"] == pytest.approx(3.0)


# --- ratios of a wheel's file -----------------------------------------------------------------------------


def test_ratios_of_a_file(here: Path) -> None:
    found = known_ratios(here / "wheel.json")
    assert {label: nominal_value(ratio) for label, ratio in found.items()} == pytest.approx(
        {"large": 6.5, "middle": 9.0, "small": 12.0}
    )
    assert interval_95(found["small"]).half_width == pytest.approx(12 * 0.002 * 1.96, rel=0.01)


def test_ratios_of_one_picture_keep_what_they_share(tmp_path: Path) -> None:
    # The drive wheel's size is known to 2 % and is in both ratios: their quotient is known to 0.3 % all the
    # same, and with it the twist of yarn that goes in as it pulls, f / (b - f).
    numbers = {Dimension("ratio", "flyer"): 10.0, Dimension("ratio", "bobbin"): 13.0}
    both = reading("photo-1", numbers)
    shared = replace(both, reading=replace(both.reading, shared={"wheel": np.array([0.02, 0.02])}))
    found = known_ratios(wheel_file(tmp_path / "wheel.json", shared))
    quotient = found["bobbin"] / found["flyer"]
    # Numbers reach as far as the farther end of an interval in logarithms: (e^(1.96 x 0.0201) - 1) / 1.96.
    farther = np.expm1(1.959964 * np.hypot(0.02, 0.002)) / 1.959964
    assert found["flyer"].s / found["flyer"].n == pytest.approx(farther, rel=1e-3)
    stretch = farther / np.hypot(0.02, 0.002)
    assert quotient.s / quotient.n == pytest.approx(0.002 * np.sqrt(2) * stretch, rel=1e-3)


def test_a_double_drive_from_pictures_winds_by_its_circles(whirlwise: Whirlwise, tmp_path: Path) -> None:
    # Pictures call the whirls so. What the clip counted holds the slip by which such a wheel works.
    circles = {Dimension("ratio", "flyer whirl"): 10.0, Dimension("ratio", "bobbin whirl"): 13.0}
    at_work = {Dimension("ratio_at_work", "flyer whirl"): 9.0}
    path = wheel_file(tmp_path / "a.json", reading("photo-1", circles), reading("clip-1", at_work))
    found = document(whirlwise, "bobbin", "--empty=25mm", "--full=80mm", "--wheel", path)
    typed = ("--flyer-ratio=10.0000", "--bobbin-ratio=13.0000")
    expected = document(whirlwise, "bobbin", "--empty=25mm", "--full=80mm", *typed)
    for ours, theirs in zip(found["course"], expected["course"], strict=True):
        assert ours["twist_per_cm"]["value"] == pytest.approx(theirs["twist_per_cm"]["value"], rel=1e-3)


def test_a_clip_at_work_tells_what_slip_leaves(tmp_path: Path) -> None:
    path = wheel_file(
        tmp_path / "wheel.json",
        reading("photo-1", {Dimension("ratio", "small"): 12.0}),
        reading("clip-1", {Dimension("ratio_at_work", "small"): 11.7}, "2026-05-02T10:00:00"),
        reading("clip-2", {Dimension("ratio_at_work", "small"): 11.8}, "2026-05-03T10:00:00"),
    )
    assert nominal_value(known_ratios(path)["small"]) == pytest.approx(11.8)


def test_slip_comes_off_ratios_that_are_typed(whirlwise: Whirlwise, here: Path) -> None:
    typed = ("--cadence=60", "--drafting=240cm", "--slip=2+-0.5%")
    told = document(whirlwise, "twist", "--ratio=12.0", *typed)
    assert told["ratio"]["value"] == pytest.approx(11.76)
    assert told["twist_per_cm"]["value"] == pytest.approx(2.94, abs=0.005)
    ratios = document(whirlwise, "map", "--wheel=wheel.json", "--ratio=new=10", *typed)["whirls"]
    assert {each["whirl"]: each["ratio"]["value"] for each in ratios} == pytest.approx(
        {"large": 6.5, "middle": 9.0, "new": 9.8, "small": 12.0}
    )


# --- plots ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "arguments",
    [
        ("map", "--ratio=6.5", "--ratio=small=12", "--cadence=65", "--drafting=250+-30cm"),
        ("map", "--ratio=12", "--cadence=65", "--drafting=3yd", "--fibre=cotton", "--use=warp"),
        ("bobbin", "--empty=25mm", "--full=80mm", "--flyer-ratio=10", "--bobbin-ratio=13"),
        ("bobbin", "--empty=1in", "--full=3in", "--bobbin-ratio=13", "--drafted=2in"),
    ],
)
def test_plots(whirlwise: Whirlwise, tmp_path: Path, arguments: tuple[str, ...]) -> None:
    path = tmp_path / "plot.png"
    found = whirlwise(*arguments, "--plot", path)
    assert found.status == 0
    assert found.out.endswith(f"\n\nPlot: {path}\n")
    with Image.open(io.BytesIO(path.read_bytes())) as picture:
        assert picture.size == (1200, 840)
        # More than ground and letters: each line and band has a colour of its own.
        pixels = np.asarray(picture.convert("RGB")).reshape(-1, 3)
        assert len(np.unique(pixels, axis=0)) > 50
    again = whirlwise(*arguments, "--plot", path)
    assert again.status == 2
    assert "which is there already" in again.err
    assert whirlwise(*arguments, "--plot", path, "--force", "--json").status == 0


# --- units and numbers ------------------------------------------------------------------------------------


def test_units_are_those_typed_unless_asked_for(
    whirlwise: Whirlwise, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed = ("map", "--wheel=wheel.json", "--cadence=65", "--drafting=3.0yd")
    assert "yd/lb" in whirlwise(*typed).out
    assert "m/100g" in whirlwise(*typed, "--units=metric").out
    monkeypatch.setenv("WHIRLWISE_UNITS", "metric")
    assert "m/100g" in whirlwise(*typed).out
    assert "yd/lb" in whirlwise(*typed, "--units=imperial").out


@pytest.mark.parametrize(
    ("metric", "imperial"),
    [
        (("yarn", "282.217m/100g", "--twist=2.00+-0.2/cm"), ("yarn", "1400yd/lb", "--twist=5.08+-0.508/in")),
        (
            ("whirls", "--ratio=12", "--cadence=65", "--wish=3/cm", "--drafting=254+-25.4cm"),
            ("whirls", "--ratio=12", "--cadence=65", "--wish=7.62/in", "--drafting=100+-10in"),
        ),
        (
            ("time", "--length=914.4m", "--drafting=228.6+-9.144cm", "--plies=2"),
            ("time", "--length=1000yd", "--drafting=2.5+-0.1yd", "--plies=2"),
        ),
    ],
)
def test_units_never_change_the_physics(
    whirlwise: Whirlwise, metric: tuple[str, ...], imperial: tuple[str, ...]
) -> None:
    def numbers(node: object) -> list[float]:
        if isinstance(node, dict):
            return [number for child in node.values() for number in numbers(child)]
        if isinstance(node, list):
            return [number for child in node for number in numbers(child)]
        return [float(node)] if isinstance(node, int | float) else []

    ours, theirs = (numbers(document(whirlwise, *typed)) for typed in (metric, imperial))
    assert len(ours) > 10
    # JSON rounds outward to three digits of the half-width, so the last digit may differ.
    assert ours == pytest.approx(theirs, rel=3e-3, abs=1e-3)


def test_units_that_were_typed() -> None:
    assert units_typed("3.0+-0.3yd", None, "5.6/in", "12", " 1400 yd/lb ") == ["yd", "/in", "yd/lb"]
    assert preferred(None, *units_typed("30tex", "60cm")) == "metric"
    interval, unit = amount(ufloat(1.0, 0.1), "yarn", "imperial")
    assert unit == "yd"
    assert interval.value == pytest.approx(1 / 0.9144)


@pytest.mark.parametrize("unit", sorted(COUNTS))
def test_every_count_can_be_typed(unit: str) -> None:
    found = yarn_count(f"100{unit}", "yarn")
    assert nominal_value(found.tex) > 0
    assert yarn_count(f" 100 {unit.upper()} ", "yarn").tex == found.tex


def test_counts_that_are_one() -> None:
    # 50 g balls and 100 g balls of one yarn; yards per pound by either name.
    assert yarn_count("105m/50g", "yarn").tex == pytest.approx(yarn_count("210m/100g", "yarn").tex)
    assert yarn_count("1400ypp", "yarn").tex == yarn_count("1400yd/lb", "yarn").tex


def test_shares_and_lengths() -> None:
    assert share("0%", "--rest") == 0.0
    assert share("12.5%", "--rest") == pytest.approx(0.125)
    assert yarn_length_m("1200yd", "--length").wished == pytest.approx(1097.28)


def test_tables() -> None:
    text = table(["a", "b\nc"], [["x", "1"], ["yy", "22"]])
    assert text == "       b\n  a    c\n  --  --\n  x    1\n  yy  22"


def test_ranges_and_doubts_in_tables() -> None:
    assert plus_minus(interval_95(ufloat(5.6, 0.06))) == "5.60 +-0.12"
    assert plus_minus(interval_95(1400.0)) == "1400"
    assert to(interval_95(ufloat(7400.0, 100)), digits=2) == "7200 to 7600"


# --- what cannot be meant ---------------------------------------------------------------------------------

COUNT = "a yarn's count such as 1400yd/lb, 300m/100g, 70tex, 8Ne, 14Nm, 12worsted, 3run or 28lea"


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("yarn",), f"yarn expects {COUNT}; or --wraps 14/in in its place."),
        (("yarn", "fine"), f"yarn got 'fine' but expects {COUNT}."),
        (
            ("yarn", "1,400yd/lb"),
            f"yarn got '1,400yd/lb' but expects {COUNT}, with a point for decimals and nothing between "
            "thousands, 1400 or 1.4.",
        ),
        (("yarn", "1,4run"), f"yarn got '1,4run' but expects {COUNT}, with a point in place of the comma."),
        (
            ("yarn", "--wraps=14+-9/in"),
            "--wraps got '14+-9/in', which is too doubtful to tell anything; count again.",
        ),
        (
            ("yarn", "8Ne", "--wool=fine"),
            "--wool got 'fine' but expects a number above zero, such as 24 (micron) or 60s.",
        ),
        (
            ("yarn", "8Ne", "--use=sails"),
            "--fibre wool --use sails is not known here; known are wool soft, wool knitting, wool weaving, "
            "cotton knitting, cotton weft, cotton semi-warp, cotton warp, cotton crepe, and most of these "
            "for long cotton and short cotton.",
        ),
        (
            ("twist", "--draw=60cm", "--ratio=12"),
            "twist expects three of --ratio, --draw, --treadles and --wish; it works out the one left out. "
            "--cadence may be added to tell how fast that goes.",
        ),
        (
            ("twist", "--draw=60cm", "--ratio=12", "--drafting=2m"),
            "--drafting goes by the clock, --draw and --treadles by counting; give one or the other.",
        ),
        (
            ("twist", "--whirl=small", "--cadence=60"),
            "--whirl names a whirl in a wheel's file; give --wheel FILE with it.",
        ),
        (
            ("twist", "--wheel=wheel.json", "--cadence=60", "--drafting=2m"),
            "--whirl expects the name of a whirl in wheel.json whose ratio is known: large, middle, small.",
        ),
        (
            ("twist", "--wheel=wheel.json", "--ratio=12"),
            "--ratio and --wheel both tell the ratio; give one of them.",
        ),
        (
            ("whirls", "--cadence=60", "--wish=3/cm"),
            "There is no whirl to reckon with; give --ratio small=12.5 or --wheel FILE.",
        ),
        (
            ("whirls", "--cadence=60", "--ratio=12"),
            "whirls expects either --wish 3/cm, or --yarn 1400yd/lb for a usual twist.",
        ),
        (
            ("whirls", "--cadence=60", "--ratio=small=12", "--wheel=wheel.json", "--wish=3/cm"),
            "--ratio got 'small=12' but expects a name of its own for each whirl, such as small=12.5.",
        ),
        (
            ("time", "--length=1200yd"),
            "time expects either --drafting 2.5yd, or --twist, --ratio and --cadence from which it follows.",
        ),
        (
            ("time", "--length=1200yd", "--drafting=3yd", "--ratio=12"),
            "time expects either --drafting 2.5yd, or --twist, --ratio and --cadence from which it follows.",
        ),
        (
            ("time", "--length=far", "--drafting=3yd"),
            "--length got 'far' but expects a length of yarn, such as 1200yd or 1100m.",
        ),
        (
            ("time", "--length=9m", "--drafting=3yd", "--rest=100%"),
            "--rest got '100%' but expects a share below 100 %, such as 10%.",
        ),
        (
            ("time", "--length=9m", "--drafting=3yd", "--hook-takes=3"),
            "--hook-takes got '3' but expects a time, such as 5s.",
        ),
        (
            ("sample",),
            "sample expects --turns and --length of a specimen that was untwisted, or --ply-back 4/in.",
        ),
        (
            ("sample", "--turns=40"),
            "--turns and --length belong together: give the length of a specimen too.",
        ),
        (
            ("sample", "--turns=x", "--length=4in"),
            "--turns got 'x' but expects turns above zero, such as 47 or 47.5.",
        ),
        (("sample", "--ply-back=4/in", "--direction=left"), "--direction got 'left' but expects Z or S."),
        (
            ("bobbin", "--empty=25mm", "--full=80mm"),
            "bobbin expects how the band drives: --flyer-ratio, --bobbin-ratio or both; or --rim and --band "
            "with --flyer-groove, --bobbin-groove or both; or --wheel FILE.",
        ),
        (
            ("bobbin", "--empty=25mm", "--full=80mm", "--flyer-ratio=10"),
            "bobbin expects either --drafted 5cm, or --draw 60cm with --treadles 12. A flyer-led wheel does "
            "not set the twist by itself.",
        ),
        (
            ("bobbin", "--empty=80mm", "--full=25mm", "--flyer-ratio=10", "--drafted=5cm"),
            "That cannot be spun: a full bobbin is thicker than an empty one, but they are 25 mm and 80 mm.",
        ),
        (
            ("bobbin", "--empty=25mm", "--full=80mm", "--flyer-ratio=13", "--bobbin-ratio=10"),
            "That drive winds nothing on: in double drive the bobbin must turn faster than the flyer, but "
            "its ratio is 10 and the flyer's 13.",
        ),
        (
            (
                "bobbin",
                "--empty=25mm",
                "--full=80mm",
                "--flyer-ratio=10",
                "--bobbin-ratio=13",
                "--drafted=1m",
            ),
            "That cannot be spun: at a bobbin of 25 mm the wheel draws in 23.6 cm for one of its turns, not "
            "100.0 cm.",
        ),
        (
            ("bobbin", "--empty=25mm", "--full=80mm", "--wheel=wheel.json", "--drafted=5cm"),
            "--wheel got 'wheel.json', which tells the ratios of large, middle, small; give the one in use "
            "as --flyer-ratio (or --bobbin-ratio).",
        ),
        (
            ("map", "--cadence=65+-70", "--drafting=3yd", "--ratio=12"),
            "--cadence got '65+-70', whose doubt is as large as the number itself; measure it better.",
        ),
        (
            ("map", "--cadence=65+-60", "--drafting=3+-2yd", "--ratio=small=12"),
            "That makes no map: the twist of whirl small is too doubtful to tell a yarn by; measure cadence "
            "and drafting better.",
        ),
        (
            ("map", "--cadence=65", "--drafting=3yd", "--ratio=12", "--plot=map.jpg"),
            "--plot got 'map.jpg' but writes PNG pictures; let the name end in .png.",
        ),
    ],
)
def test_wrong_usage_is_one_sentence(
    whirlwise: Whirlwise, here: Path, arguments: tuple[str, ...], sentence: str
) -> None:
    found = whirlwise(*arguments)
    assert (found.status, found.out, found.err) == (2, "", f"{sentence}\n")


def test_a_wheel_s_file_that_is_none(whirlwise: Whirlwise, tmp_path: Path) -> None:
    path = tmp_path / "wheel.json"
    path.write_text("no wheel")
    found = whirlwise("map", "--cadence=65", "--drafting=3yd", "--wheel", path)
    assert found.status == 4
    assert "cannot be used as a wheel's file" in found.err
    empty = wheel_file(tmp_path / "empty.json")
    assert whirlwise("map", "--cadence=65", "--drafting=3yd", "--wheel", empty).err == (
        f"--wheel got '{empty}', in which no ratio is known; add --ratio 12.5.\n"
    )


def test_known_uses_and_wraps() -> None:
    assert twist_use("cotton", "warp").use == "warp"
    with pytest.raises(WrongUsageError, match="wraps on a ruler such as 14/in"):
        tex_of_wraps("14", "--wraps")


def test_levers_of_the_answer_are_the_reckoned_ones() -> None:
    project = Project(100.0, 2, 2.0, 3.0, (Stop("joining", 10.0, 20.0),))
    total = nominal_value(project_time(project).total_h)
    assert all(0 < nominal_value(lever.saved_h) < 0.01 * total for lever in levers(project))


def test_in_double_drive_the_flyer_twists(whirlwise: Whirlwise, here: Path) -> None:
    for command in (("map", "--drafting=2m"), ("whirls", "--yarn=300m/100g")):
        found = document(whirlwise, *command, "--wheel", here / "other.json", "--cadence=60")
        assert {each["whirl"] for each in found["whirls"]} == {"flyer"}
    asked = ("twist", "--wheel=other.json", "--cadence=60", "--drafting=200cm")
    # 10 x 60 / 200 cm, and 13 x 60 / 200 cm where the bobbin is meant.
    assert document(whirlwise, *asked)["twist_per_cm"]["value"] == pytest.approx(3.0, abs=0.01)
    named = document(whirlwise, *asked, "--whirl=bobbin")
    assert named["twist_per_cm"]["value"] == pytest.approx(3.9, abs=0.01)
