"""What people type about wheels to reckon with, and the exact words where it cannot be meant."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value

from whirlwise.calc.interval import interval_95
from whirlwise.calc.ladder import CadenceRange
from whirlwise.cli.given.making import (
    cadence_per_min,
    cadence_range,
    friction,
    groove_mm,
    groove_shape,
    named_grooves_mm,
    named_ratios,
    percent,
    ratio_range,
    ratio_typed,
    wheel_groove_mm,
    wheel_typed,
)
from whirlwise.cli.show.lengths import lengths
from whirlwise.cli.trouble import WrongUsageError


def test_ranges() -> None:
    assert ratio_range("6-18", "--range") == (6.0, 18.0)
    assert ratio_range(" 5.5 - 14.25 ", "--range") == (5.5, 14.25)
    feet = cadence_range("55-70", "--cadence")
    assert (feet.slowest_per_min, feet.fastest_per_min) == (55.0, 70.0)
    assert cadence_range("60", "--cadence").fastest_per_min == 60.0


def test_a_cadence_is_typed_in_either_shape_everywhere() -> None:
    wide = interval_95(cadence_per_min("55-70", "--cadence"))
    assert (wide.low, wide.high) == pytest.approx((55, 70))
    feet = cadence_range("62.5+-7.5", "--cadence")
    assert (feet.slowest_per_min, feet.fastest_per_min) == pytest.approx((55, 70))
    assert cadence_range("60", "--cadence") == CadenceRange(60, 60)
    for text in ("70-55", "5+-9", "0+-1"):
        for read in (cadence_per_min, cadence_range):
            with pytest.raises(WrongUsageError, match="--cadence got"):
                read(text, "--cadence")


def test_ratios_of_one_and_of_two_stages() -> None:
    assert nominal_value(ratio_typed("12.5", "--ratio")) == 12.5
    both = interval_95(ratio_typed("11.5+-0.1x6.2+-0.05", "--ratio"))
    assert both.value == pytest.approx(71.3)
    # To first order: relative doubts of 0.1/11.5 and 0.05/6.2 add as squares.
    assert both.half_width == pytest.approx(71.3 * ((0.1 / 11.5) ** 2 + (0.05 / 6.2) ** 2) ** 0.5)


def test_names() -> None:
    assert list(named_ratios(["12.5", "large=6"], "--ratio")) == ["12.5", "large"]
    name, ratios = wheel_typed(" old  oak = 5.5, 15+-1", "--also")
    assert (name, list(ratios)) == ("old oak", ["5.5", "15+-1"])
    assert interval_95(ratios["15+-1"]).half_width == pytest.approx(1.0)
    assert list(named_grooves_mm(["41.5mm"], "--whirl-groove")) == ["whirl"]
    assert list(named_grooves_mm(["41.5mm", "large=85mm"], "--whirl-groove")) == ["41.5mm", "large"]


def test_shapes() -> None:
    assert groove_shape("U", "--shape").kind == "u"
    assert groove_shape("v", "--shape").angle_deg == 60.0
    found = groove_shape("V90,1mm", "--shape")
    assert (found.kind, found.angle_deg, found.flat_mm) == ("v", 90.0, 1.0)
    assert groove_shape("v45.5,0.04in", "--shape").flat_mm == pytest.approx(1.016)


def test_doubts_that_nobody_typed() -> None:
    assert interval_95(groove_mm("41.5mm", "--new")).half_width == pytest.approx(0.3)
    assert interval_95(wheel_groove_mm("556mm", "--wheel-groove")).half_width == pytest.approx(2.0)
    assert interval_95(wheel_groove_mm("556+-0.5mm", "--wheel-groove")).half_width == pytest.approx(0.5)


@given(st.floats(10, 900).map(lambda size: round(size, 3)))
def test_inches_are_the_same_length(size_mm: float) -> None:
    inches = f"{size_mm / 25.4:.9f}+-{0.3 / 25.4:.9f}in"
    ours, theirs = groove_mm(f"{size_mm}+-0.3mm", "--new"), groove_mm(inches, "--new")
    assert theirs.n == pytest.approx(ours.n)
    assert theirs.s == pytest.approx(ours.s, rel=1e-6)


def test_percentages() -> None:
    assert nominal_value(percent("1", "--slip", example="1")) == 1.0
    assert interval_95(percent("3+-1%", "--stretch", example="3")).half_width == pytest.approx(1.0)
    assert percent("0", "--slip", example="1", zero_too=True) == 0.0
    assert percent("0.0 %", "--slip", example="1", zero_too=True) == 0.0


def test_units_to_show() -> None:
    assert lengths("imperial", "556mm").unit == "in"
    assert lengths(None, "556mm", "21.9 IN").unit == "in"
    assert lengths(None, "556mm", None).unit == "mm"
    # 1 inch = 25.4 mm exactly.
    assert lengths("imperial").exact(25.4) == "1.000"
    assert lengths("metric").exact(25.4) == "25.40"
    assert lengths("imperial").interval(254.0).value == pytest.approx(10.0)


RANGE = "a range from a lower ratio to a higher one, such as 6-18"
FEET = "turns of the wheel a minute, such as 60, or from slow to fast, such as 55-70"
GROOVES = "u, or v with its angle, such as v60, and the width of a flat bottom, v60,1mm"


@pytest.mark.parametrize(
    ("read", "text", "expected"),
    [
        (ratio_range, "18-6", f"expects {RANGE}."),
        (ratio_range, "6 to 18", f"expects {RANGE}."),
        (ratio_range, "6-nan", f"expects {RANGE}."),
        (cadence_range, "70-55", f"expects {FEET}."),
        (cadence_range, "0", f"expects {FEET}."),
        (cadence_range, "fast", f"expects {FEET}."),
        (groove_shape, "w60", f"expects {GROOVES}."),
        (wheel_typed, "6,9", "expects a wheel's name and its ratios, such as maple=6,9,12.5."),
        (wheel_typed, "maple=", "expects a wheel's name and its ratios, such as maple=6,9,12.5."),
        (ratio_typed, "12:1", "expects a number above zero, such as 12.5, or 12x6 for two stages."),
    ],
)
def test_what_cannot_be_meant(read: Callable[[str, str], object], text: str, expected: str) -> None:
    with pytest.raises(WrongUsageError) as problem:
        read(text, "--option")
    assert str(problem.value).startswith("--option got '")
    assert str(problem.value).endswith(f"but {expected}")


def test_a_v_that_holds_no_band() -> None:
    with pytest.raises(
        WrongUsageError,
        match=r"^--shape got 'v150', but the angle of a V groove must lie between 20 and 120 degrees\.$",
    ):
        groove_shape("v150", "--shape")


def test_a_percentage_of_a_hundred() -> None:
    with pytest.raises(WrongUsageError, match="a percentage below 100, such as 1"):
        percent("100", "--slip", example="1")


def test_friction_that_no_band_has() -> None:
    assert friction("0.3+-0.1", "--friction").n == 0.3
    with pytest.raises(
        WrongUsageError, match=r"^--friction got '30' but expects a friction below 2, such as 0\.3\+-0\.1\.$"
    ):
        friction("30", "--friction")


def test_names_that_are_taken() -> None:
    for texts in (["a=6", "a=7"], ["=6"]):
        with pytest.raises(WrongUsageError, match="a name of its own for each whirl"):
            named_ratios(texts, "--ratio")
    with pytest.raises(WrongUsageError, match="a name of its own for each whirl"):
        named_ratios(["small=6"], "--ratio", taken=["small"])
    with pytest.raises(WrongUsageError, match="a name of its own for each whirl"):
        named_grooves_mm(["a=6mm", "a=7mm"], "--whirl-groove")
