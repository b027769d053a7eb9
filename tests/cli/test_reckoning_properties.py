"""What holds for every command that reckons: units change nothing, and knowing less never makes it surer."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

#: Each command in both kinds of units, every number with its doubt; {0} is by how much doubts grow.
COMMANDS = {
    "groove": (
        ("--ratio=18", "--wheel-groove={556}mm", "--band={2.54}mm"),
        ("--ratio=18", "--wheel-groove={21.8897638}in", "--band={0.1}in"),
    ),
    "steps": (
        ("--range=6-18", "--whirls=2", "--ratio=a={6.0}", "--wheel-groove={556}mm", "--band={2.54}mm"),
        ("--range=6-18", "--whirls=2", "--ratio=a={6.0}", "--wheel-groove={21.8897638}in", "--band={0.1}in"),
    ),
    "band": (
        ("--wheel-groove={556}mm", "--whirl-groove={41.5}mm", "--apart={431.8}mm", "--band={2.54}mm"),
        (
            "--wheel-groove={21.8897638}in",
            "--whirl-groove={1.63385827}in",
            "--apart={17}in",
            "--band={0.1}in",
        ),
    ),
    "twist": (
        ("--ratio={12.5}", "--cadence={60}", "--drafting={254}cm"),
        ("--ratio={12.5}", "--cadence={60}", "--drafting={100}in"),
    ),
    "whirls": (
        ("--ratio=a={6.5}", "--ratio=b={12}", "--cadence={65}", "--wish=3/cm", "--drafting={254}cm"),
        ("--ratio=a={6.5}", "--ratio=b={12}", "--cadence={65}", "--wish=7.62/in", "--drafting={100}in"),
    ),
    "map": (
        ("--ratio=a={6.5}", "--ratio=b={12}", "--cadence={65}", "--drafting={228.6}cm"),
        ("--ratio=a={6.5}", "--ratio=b={12}", "--cadence={65}", "--drafting={2.5}yd"),
    ),
    "bobbin": (
        (
            "--empty=25.4mm",
            "--full=76.2mm",
            "--flyer-ratio={10}",
            "--bobbin-ratio={14}",
            "--drafted={5.08}cm",
        ),
        ("--empty=1in", "--full=3in", "--flyer-ratio={10}", "--bobbin-ratio={14}", "--drafted={2}in"),
    ),
    "time": (
        ("--length={914.4}m", "--drafting={228.6}cm", "--plies=2"),
        ("--length={1000}yd", "--drafting={2.5}yd", "--plies=2"),
    ),
    "sample": (
        ("--length={101.6}mm", "--turns=23", "--turns=21.5", "--turns=24", "--reckoned={2.2}/cm"),
        ("--length={4}in", "--turns=23", "--turns=21.5", "--turns=24", "--reckoned={5.588}/in"),
    ),
    "yarn": (("{300}m/100g", "--twist={2.0}/cm"), ("{1488.1649}yd/lb", "--twist={5.08}/in")),
    "compare": (
        ("--also=birch=6.0,12.0", "--drafting={254}cm", "--yarn=1000yd/lb"),
        ("--also=birch=6.0,12.0", "--drafting={100}in", "--yarn=496.054655tex"),
    ),
}
#: Half-width of a 95 % interval, as a share of each number.
DOUBT = 0.01


def typed(name: str, units: int, doubt: float = DOUBT) -> list[str]:
    """Fill the doubts in: {556}mm becomes 556+-5.56mm."""
    return [name, *(_with_doubt(argument, doubt) for argument in COMMANDS[name][units])]


def _with_doubt(argument: str, doubt: float) -> str:
    before, braced, rest = argument.partition("{")
    if not braced:
        return argument
    number, _, after = rest.partition("}")
    return f"{before}{number}+-{float(number) * doubt:.9f}{after}"


def document(whirlwise: Whirlwise, arguments: list[str]) -> Any:
    found = whirlwise(*arguments, "--json")
    assert (found.status, found.err) == (0, ""), found.err
    return json.loads(found.out)


def intervals(node: object, path: str = "") -> Iterator[tuple[str, dict[str, float]]]:
    """Every measured number in a document by where it stands."""
    if isinstance(node, dict):
        if set(node) == {"value", "low", "high"}:
            yield path, node
            return
        for key, child in node.items():
            yield from intervals(child, f"{path}/{key}")
    if isinstance(node, list):
        for place, child in enumerate(node):
            yield from intervals(child, f"{path}/{place}")


@pytest.mark.parametrize("name", COMMANDS)
def test_units_never_change_the_physics(whirlwise: Whirlwise, name: str) -> None:
    ours, theirs = (dict(intervals(document(whirlwise, typed(name, units)))) for units in (0, 1))
    assert list(ours) == list(theirs)
    assert len(ours) >= 3
    for path, number in ours.items():
        half = (number["high"] - number["low"]) / 2
        # JSON keeps three digits of the interval, and one of them may round the other way.
        assert theirs[path] == pytest.approx(number, rel=1e-6, abs=0.011 * half), path


@pytest.mark.parametrize("name", COMMANDS)
@settings(max_examples=6, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(doubt=st.floats(0.001, 0.02), more=st.floats(1.2, 4.0))
def test_a_wider_input_never_narrows_the_answer(
    whirlwise: Whirlwise, name: str, doubt: float, more: float
) -> None:
    narrow = dict(intervals(document(whirlwise, typed(name, 0, doubt))))
    wide = dict(intervals(document(whirlwise, typed(name, 0, doubt * more))))
    assert list(narrow) == list(wide)
    for path, number in narrow.items():
        width, wider = (each["high"] - each["low"] for each in (number, wide[path]))
        # Rounded outward to three digits of half its width: a hundredth more or less.
        assert wider >= 0.98 * width, path
