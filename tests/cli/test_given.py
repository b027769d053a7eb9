"""What people type: numbers, lengths, points, references, and the exact words when it cannot be meant."""

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value

from whirlwise.calc.interval import interval_95
from whirlwise.calc.yarn_counts import registry
from whirlwise.cli.given.numbers import drafting_cm_per_min, length_mm, plain_number, wished_twist_per_cm
from whirlwise.cli.given.points import point_px
from whirlwise.cli.given.references import references
from whirlwise.cli.given.yarn import seconds, short_length_cm, twist_given, yarn_length_m
from whirlwise.cli.trouble import WrongUsageError
from whirlwise.vision.references import ReferenceRequest


@pytest.mark.parametrize(
    ("text", "value_mm", "half_width_mm"),
    [
        ("17mm", 17, 2),
        ("1.7cm", 17, 2),
        ("0.5in", 12.7, 2),
        (".5 in", 12.7, 2),
        ("17+-3mm", 17, 3),
        ("1.7+/-0.3cm", 17, 3),
        ("17±3mm", 17, 3),
        ("-40mm", -40, 2),
        ("-4+-1cm", -40, 10),
        ("17MM", 17, 2),
    ],
)
def test_lengths(text: str, value_mm: float, half_width_mm: float) -> None:
    found = interval_95(length_mm(text, "--offset", half_width_mm=2.0, positive=False))
    assert found.value == pytest.approx(value_mm)
    assert found.half_width == pytest.approx(half_width_mm)


@given(st.floats(-500, 500), st.sampled_from([("mm", 1.0), ("cm", 10.0), ("in", 25.4)]))
def test_lengths_come_back(value: float, unit: tuple[str, float]) -> None:
    name, mm_per_unit = unit
    found = length_mm(f"{value:.4f}{name}", "--offset", half_width_mm=2.0, positive=False)
    assert found.n == pytest.approx(round(value, 4) * mm_per_unit)


@pytest.mark.parametrize(
    "text", ["17", "mm", "", "17furlong", "seventeen mm", "17+-mm", "17+-0mm", "17+--3mm", "nanmm"]
)
def test_no_length(text: str) -> None:
    with pytest.raises(WrongUsageError) as problem:
        length_mm(text, "--offset", half_width_mm=2.0, positive=False)
    assert (
        str(problem.value)
        == f"--offset got '{text}' but expects a length with its unit (mm, cm or in), such as 17mm."
    )


@pytest.mark.parametrize(
    ("read", "text", "expected"),
    [
        (
            lambda text, option: length_mm(text, option, half_width_mm=2.0),
            "1,7cm",
            "a length with its unit (mm, cm or in), such as 17mm",
        ),
        (
            lambda text, option: plain_number(text, option, example="12.5"),
            "12,5",
            "a number above zero, such as 12.5",
        ),
        (drafting_cm_per_min, "1,5m", "a length of yarn a minute, such as 150cm, 1.5m or 60in"),
        (wished_twist_per_cm, "3,5/cm", "turns per cm or per inch, such as 3/cm or 8/in"),
    ],
)
def test_a_decimal_comma_is_named(read: Callable[[str, str], object], text: str, expected: str) -> None:
    with pytest.raises(WrongUsageError) as problem:
        read(text, "--x")
    assert (
        str(problem.value) == f"--x got '{text}' but expects {expected}, with a point in place of the comma."
    )


def test_a_band_has_a_thickness() -> None:
    with pytest.raises(WrongUsageError) as problem:
        length_mm("-2.4mm", "--band", half_width_mm=0.2, example="2.4mm")
    assert str(problem.value) == "--band got '-2.4mm' but expects a length above zero, such as 2.4mm."


@pytest.mark.parametrize(
    ("text", "value", "half_width"),
    [("12.5", 12.5, 0.05), ("12.50", 12.5, 0.005), ("12", 12, 0.5), ("12.5+-0.2", 12.5, 0.2)],
)
def test_numbers_are_as_good_as_their_last_digit(text: str, value: float, half_width: float) -> None:
    found = interval_95(plain_number(text, "--ratio", example="12.5"))
    assert found.value == value
    assert found.half_width == pytest.approx(half_width)


@pytest.mark.parametrize(
    "text", ["0", "-12", "12mm", "x", "inf", "nan", "1e400", "9" * 400, "12+-" + "9" * 400]
)
def test_no_number(text: str) -> None:
    with pytest.raises(WrongUsageError) as problem:
        plain_number(text, "--ratio", example="12.5")
    assert str(problem.value) == f"--ratio got '{text}' but expects a number above zero, such as 12.5."


@pytest.mark.parametrize(
    ("text", "cm_per_min", "half_width"),
    [("150cm", 150, 0.5), ("1.5m", 150, 5), ("150+-30cm/min", 150, 30), ("60in", 152.4, 1.27)],
)
def test_drafting_speeds(text: str, cm_per_min: float, half_width: float) -> None:
    found = interval_95(drafting_cm_per_min(text, "--drafting"))
    assert found.value == pytest.approx(cm_per_min)
    assert found.half_width == pytest.approx(half_width)


def test_wishes_are_exact() -> None:
    assert wished_twist_per_cm("3/cm", "--wish") == 3
    assert wished_twist_per_cm("7.62/in", "--wish") == pytest.approx(3)


@pytest.mark.parametrize(
    ("read", "text", "sentence"),
    [
        (
            drafting_cm_per_min,
            "150",
            "--x got '150' but expects a length of yarn a minute, such as 150cm, 1.5m or 60in.",
        ),
        (wished_twist_per_cm, "3", "--x got '3' but expects turns per cm or per inch, such as 3/cm or 8/in."),
        (
            point_px,
            "812;640",
            "--x got '812;640' but expects a point X,Y in pixels of the upright picture, such as 812,640.",
        ),
        (
            point_px,
            "812,nan",
            "--x got '812,nan' but expects a point X,Y in pixels of the upright picture, such as 812,640.",
        ),
    ],
)
def test_words_of_refusals(read: Callable[[str, str], object], text: str, sentence: str) -> None:
    with pytest.raises(WrongUsageError) as problem:
        read(text, "--x")
    assert str(problem.value) == sentence


def test_points() -> None:
    assert point_px("812,640.5", "--hub") == (812.0, 640.5)


def test_references_by_name() -> None:
    assert references([]).requests == references(["auto"]).requests == ()
    assert not references([]).without
    assert references(["none"]).without
    assert references(["card", "a4", "a5", "letter", "rule"]).requests == tuple(
        ReferenceRequest(kind) for kind in ("card", "a4", "a5", "letter", "rule")
    )


def test_coins_by_name_and_by_size() -> None:
    euro, disc, pointed_at = references(
        ["coin=EUR-2", "coin=25.1+-0.2mm", "coin=usd-0.25,at=12.5,40"]
    ).requests
    assert {request.kind for request in (euro, disc, pointed_at)} == {"coin"}
    assert euro.length_mm is not None
    assert disc.length_mm is not None
    assert pointed_at.length_mm is not None
    # Council Regulation (EU) No 729/2014; 31 U.S.C. 5112(a)(3): 0.955 inch.
    assert euro.length_mm.nominal_value == 25.75
    assert pointed_at.length_mm.nominal_value == pytest.approx(0.955 * 25.4)
    assert interval_95(disc.length_mm).half_width == pytest.approx(0.2)
    assert pointed_at.points_px == ((12.5, 40.0),)


def test_corners_that_are_pointed_at() -> None:
    card, sheet = references(["card,at=10,20,95,22,94,75,9,73", "a4"]).requests
    assert card == ReferenceRequest("card", points_px=((10, 20), (95, 22), (94, 75), (9, 73)))
    assert sheet == ReferenceRequest("a4")


def test_an_unknown_coin_is_told_with_those_that_are_known() -> None:
    with pytest.raises(WrongUsageError, match="coin=EUR-3 is no coin that is known here") as problem:
        references(["coin=EUR-3"])
    assert "USD-0.25" in str(problem.value)


def test_references_with_a_size() -> None:
    marker, points = references(["marker=60mm", "points=1,2,3.5,4,300+-1mm"]).requests
    whole, checked = references(["sheet", "sheet=19.95+-0.02cm"]).requests
    assert (whole.kind, whole.length_mm, checked.kind) == ("sheet", None, "sheet")
    assert checked.length_mm is not None
    assert checked.length_mm.n == pytest.approx(199.5)
    assert interval_95(checked.length_mm).half_width == pytest.approx(0.2)
    assert marker.kind == "marker"
    assert marker.length_mm is not None
    assert interval_95(marker.length_mm).half_width == pytest.approx(0.5)
    assert points.points_px == ((1.0, 2.0), (3.5, 4.0))
    assert points.length_mm is not None
    assert interval_95(points.length_mm).half_width == pytest.approx(1.0)


KNOWN = (
    "auto, none, card, a4, a5, letter, rule, coin=EUR-2, sheet, sheet=199.5mm, marker=60mm or "
    "points=X1,Y1,X2,Y2,300mm"
)


@pytest.mark.parametrize(
    ("texts", "sentence"),
    [
        (
            ["sheet=297mm"],
            "--reference got 'sheet=297mm' but expects the measured length of the sheet's 200 mm line, such "
            "as sheet=199.5mm.",
        ),
        (["rule=300mm"], f"--reference got 'rule=300mm' but expects {KNOWN}."),
        (["coin"], f"--reference got 'coin' but expects {KNOWN}."),
        (
            ["card,at=10,20,95,22"],
            "--reference got 'card,at=10,20,95,22' but expects a card or sheet and its four corners, such as "
            "card,at=810,640,893,652,886,705,802,693.",
        ),
        (
            ["rule,at=10,20,95,22,94,75,9,73"],
            f"--reference got 'rule,at=10,20,95,22,94,75,9,73' but expects {KNOWN}.",
        ),
        (
            ["coin=24.26mm,at=3"],
            "--reference got 'coin=24.26mm,at=3' but expects a coin and a point in its middle, such as "
            "coin=EUR-2,at=812,640.",
        ),
        (
            ["coin=24"],
            "--reference got '24' but expects a length with its unit (mm, cm or in), such as coin=24.26mm.",
        ),
        (["banana"], f"--reference got 'banana' but expects {KNOWN}."),
        (["marker"], f"--reference got 'marker' but expects {KNOWN}."),
        (["card=3mm"], f"--reference got 'card=3mm' but expects {KNOWN}."),
        (
            ["marker=60"],
            "--reference got '60' but expects a length with its unit (mm, cm or in), such as marker=60mm.",
        ),
        (
            ["points=1,2,3,300mm"],
            "--reference got 'points=1,2,3,300mm' but expects two points and the distance between them, such "
            "as points=310,420,980,431,300mm.",
        ),
        (["none", "card"], "--reference none stands with other references; give it alone or leave it out."),
        (["card", "auto"], "--reference auto stands with other references; give it alone or leave it out."),
    ],
)
def test_words_about_references(texts: list[str], sentence: str) -> None:
    with pytest.raises(WrongUsageError) as problem:
        references(texts)
    assert str(problem.value) == sentence


@pytest.mark.parametrize(
    ("text", "inches", "half_inches"),
    [
        ("3/32in", 3 / 32, 2.0 / 25.4),
        ("1 5/8in", 1.625, 2.0 / 25.4),
        ("1-5/8in", 1.625, 2.0 / 25.4),
        ("-1-5/8 in", -1.625, 2.0 / 25.4),
        ("22 1/2+-1/4in", 22.5, 0.25),
        ("21.9+-1/8in", 21.9, 0.125),
    ],
)
def test_fractions_of_an_inch(text: str, inches: float, half_inches: float) -> None:
    found = interval_95(length_mm(text, "--apart", half_width_mm=2.0, positive=False))
    assert found.value == pytest.approx(25.4 * inches)
    assert found.half_width == pytest.approx(25.4 * half_inches)


def test_a_fraction_is_as_good_as_its_last_part() -> None:
    # Counted to a quarter, so an eighth to either side.
    assert interval_95(plain_number("10 1/4", "--ratio", example="12.5")).half_width == pytest.approx(0.125)
    for text in ("1/0in", "1/in", "1//2in", "1/2/3in", "1 -1/2in", "/2in"):
        with pytest.raises(WrongUsageError):
            length_mm(text, "--apart", half_width_mm=2.0)


@given(st.integers(0, 40), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_every_mark_of_a_rule_comes_back(whole: int, top: int, bottom: int) -> None:
    text = f"{whole}-{top}/{bottom}in" if whole else f"{top}/{bottom}in"
    found = length_mm(text, "--apart", half_width_mm=2.0)
    assert found.n == pytest.approx(25.4 * float(whole + Fraction(top, bottom)))


def _length(text: str) -> float:
    return float(length_mm(text, "--apart", half_width_mm=2.0).n)


def _drafted(text: str) -> float:
    return float(drafting_cm_per_min(text, "--drafting").n)


def _yarn(text: str) -> float:
    return float(nominal_value(yarn_length_m(text, "--length").wished))


def _hand(text: str) -> float:
    return float(nominal_value(short_length_cm(text, "--draw", example="60cm").wished))


def _time(text: str) -> float:
    return float(seconds(text, "--joining").n)


def _twist(text: str) -> float:
    return float(nominal_value(twist_given(text, "--wish").wished))


@pytest.mark.parametrize(
    ("read", "unit", "in_pint", "reckoned_in"),
    [
        *((_length, unit, unit, "mm") for unit in ("mm", "cm", "m", "in")),
        *(
            (_drafted, unit, f"{unit} / minute", "cm / minute")
            for unit in ("mm", "cm", "m", "in", "ft", "yd")
        ),
        *((_drafted, f"{unit}/h", f"{unit} / hour", "cm / minute") for unit in ("cm", "m", "ft", "yd")),
        *((_yarn, unit, unit, "m") for unit in ("cm", "m", "ft", "yd")),
        *((_hand, unit, unit, "cm") for unit in ("mm", "cm", "m", "in", "ft", "yd")),
        *((_time, unit, unit, "s") for unit in ("s", "min")),
        *((_twist, f"/{unit}", f"1 / {unit}", "1 / cm") for unit in ("cm", "in")),
    ],
)
def test_every_unit_is_pints(read: Callable[[str], float], unit: str, in_pint: str, reckoned_in: str) -> None:
    expected = registry().Quantity(3.5, in_pint).to(reckoned_in).magnitude
    assert read(f"3.5{unit}") == pytest.approx(float(expected), rel=1e-12)
