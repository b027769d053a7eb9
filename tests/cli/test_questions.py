"""Every command for wheels on the page of questions is run as it stands there, and answers its question.

Those for yarn are run in ``test_yarn_commands.py``.
"""

from __future__ import annotations

import json
import re
import shlex
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from whirlwise.cli import guide

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

PAGE = resources.files(guide).joinpath("questions.md").read_text(encoding="utf-8")
#: Questions about measuring, and those about wheels that are reckoned; those about yarn follow.
MEASURING, RECKONED = PAGE.partition("\nI treadle")[0].split("\nIs this whirl")
WHEELS = f"Title\n\nIs this whirl{RECKONED}"

#: The beginning of each question, and what each of its commands must answer, in their order.
ANSWERS = {
    "Is this whirl worth buying?": [
        "stands between large and small, 29 % below small; the widest step shrinks from 100 % to 42 %.",
        "The new whirl, ratio 12.69",
    ],
    "What band length to order?": [
        "Order a band of 1908 mm (95 % sure: 1888 to 1928), measured slack.",
        "as cord, cut 1968 mm",
        "Order a band of 3953 mm",
        "With the new band whirl has a ratio of 12.43",
    ],
    "Which groove to turn for 18:1?": [
        "For a ratio of 18 turn a groove of 28.30 mm",
        "Template in true size: whirl.pdf Print it at 100 %",
    ],
    "Which whirls should I make to have everything from 6 to 18?": [
        "make 2 whirls with 8.49 and 18.00; then no step is wider than 50 %.",
        "make 5 whirls with 7.14, 8.49, 10.09, 14.70 and 18.00",
    ],
    "Which of two wheels should I buy for ratios from 6 to 18?": [
        "For ratios from 6 to 18 birch covers most.",
    ],
    "Which of two wheels spins the yarns that I wish for?": [
        "For the yarns wished for take birch: it spins 2 of 3. birch lacks a whirl of 18.4 for 9000yd/lb.",
    ],
    "My great wheel has an accelerating head. What is its ratio?": [
        "The one ratio is 71.30",
        "The ratios go from 27.90 (95 % sure: 27.42 to 28.38) to 71.30",
        "Accelerating head quick, turned by way of small",
        "small, where the band runs 63.00 mm",
        "head quick, spindle's whirl, where the band runs 27.00 mm",
        "whole ratio (small with head quick) 118.1",
        # (3600 / pi - 1.5 + 3) / 63 x 172 / 27 = 116.0, counted 118.1.
        "one turn of the great wheel turns the spindle 117.7",
    ],
}


def sections(page: str = WHEELS) -> dict[str, list[str]]:
    """Commands by their question."""
    found: dict[str, list[str]] = {}
    for part in re.split(r"\n\n+", page.strip())[1:]:
        heading, *lines = part.splitlines()
        if any(line.startswith("  whirlwise ") for line in lines):
            found[heading] = [line.strip() for line in lines if line.startswith("  whirlwise ")]
    return found


def test_no_question_is_left_out() -> None:
    assert list(sections()) == list(ANSWERS)
    assert {name: len(commands) for name, commands in sections().items()} == {
        name: len(answers) for name, answers in ANSWERS.items()
    }


@pytest.mark.parametrize("question", list(ANSWERS))
def test_the_command_answers_the_question(
    whirlwise: Whirlwise, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, question: str
) -> None:
    monkeypatch.chdir(tmp_path)
    for command, answer in zip(sections()[question], ANSWERS[question], strict=True):
        found = whirlwise(*shlex.split(command)[1:])
        assert (found.status, found.err) == (0, ""), command
        assert answer in " ".join(found.out.split()), command


def test_commands_that_measure_can_be_typed_so(whirlwise: Whirlwise) -> None:
    measuring = [command for commands in sections(MEASURING).values() for command in commands]
    assert len(measuring) >= 10
    for command in measuring:
        _, name, *arguments = shlex.split(command)
        options = {each for each in arguments if each.startswith("--")}
        assert options <= set(re.findall(r"--[a-z-]+", whirlwise(name, "--help").out)), command


def test_figures_by_hand_are_taken(
    whirlwise: Whirlwise, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for command in sections(MEASURING)["My grandmother's wheel has no papers. What are its ratios?"]:
        if command.startswith("whirlwise hand "):
            found = whirlwise(*shlex.split(command)[1:])
            assert (found.status, found.err) == (0, ""), command
    # By hand: (1747 / pi + 2.5) / (41.5 + 2.5) = 12.69 without the string's thickness; counted 12.6.
    assert "12.6" in whirlwise("wheel", "wheel.json").out


def test_a_wheel_without_papers(
    whirlwise: Whirlwise, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The picture is real; offset and band are typed as on the page, a few millimetres off."""
    monkeypatch.chdir(tmp_path)
    samples = resources.files("whirlwise.sample_media")
    Path("wheel.jpg").write_bytes(samples.joinpath("old_wheel.jpg").read_bytes())
    truth = json.loads(samples.joinpath("old_wheel.truth.json").read_text(encoding="utf-8"))
    photo, _, wheel, *_ = sections(MEASURING)["My grandmother's wheel has no papers. What are its ratios?"]
    assert whirlwise(*shlex.split(photo)[1:]).status == 0
    found = json.loads(whirlwise(*shlex.split(wheel)[1:], "--json").out)
    (ratio,) = (each["ratio"] for each in found["ratios"])
    assert ratio["low"] < truth["geometry"]["ratio_pitch"] < ratio["high"]


@pytest.mark.usefixtures("clips")
def test_a_band_that_slips(whirlwise: Whirlwise, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (command,) = sections(MEASURING)["Is my band slipping, and how much?"]
    found = whirlwise(*shlex.split(command)[1:])
    # 12.667 at work for 12.8 by hand.
    assert "At work the flyer falls behind by 1.04 %" in " ".join(found.out.split())


def test_the_page_is_shown(whirlwise: Whirlwise) -> None:
    assert whirlwise("guide", "questions").out.startswith("Questions a spinner asks")
