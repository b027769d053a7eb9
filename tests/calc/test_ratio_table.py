"""Every flyer with every whirl: the table against a plain product of lists."""

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from whirlwise.calc.interval import Interval
from whirlwise.calc.parts import Band, Bobbin, Flyer, Parts, Whirl
from whirlwise.calc.ratio_table import ratio_table
from whirlwise.calc.wheel import Dimension

RATIOS = {"small": 14.0, "large": 9.0, "plain": 6.0, "bobbin whirl": 16.0}


def told(dimension: Dimension) -> Interval | None:
    if dimension.part not in RATIOS:
        return None
    value = RATIOS[dimension.part] if dimension.what == "ratio" else 500 / RATIOS[dimension.part]
    return Interval(value, 0.99 * value, 1.01 * value)


def shown(parts: Parts, *grooves: str) -> list[tuple[str, str, str, str]]:
    return [(row.turned, row.on, row.whirl, row.groove) for row in ratio_table(parts, grooves, told)]


def test_without_parts_every_groove_stands_alone() -> None:
    assert shown(Parts(), "small", "large") == [
        ("flyer", "", "large", "large"),
        ("flyer", "", "small", "small"),
    ]
    assert shown(Parts()) == []


def test_every_flyer_with_every_whirl_that_fits() -> None:
    parts = Parts(
        whirls=(Whirl("lace", ("small", "large")), Whirl("plain"), Whirl("new", ("unknown",))),
        flyers=(Flyer("standard"), Flyer("fast", ("lace",))),
    )
    assert shown(parts, "small", "large", "plain") == [
        ("flyer", "standard", "plain", "plain"),
        ("flyer", "standard", "lace", "large"),
        ("flyer", "standard", "lace", "small"),
        ("flyer", "standard", "new", "unknown"),
        ("flyer", "fast", "lace", "large"),
        ("flyer", "fast", "lace", "small"),
    ]


def test_bobbins_have_whirls_of_their_own() -> None:
    double = Parts(drive="double", bobbins=(Bobbin("jumbo", ("large",)), Bobbin("old")))
    assert shown(double, "small", "large", "bobbin whirl") == [
        ("flyer", "", "small", "small"),
        ("bobbin", "jumbo", "large", "large"),
        ("bobbin", "old", "bobbin whirl", "bobbin whirl"),
    ]
    leads = Parts(drive="bobbin-led")
    assert shown(leads, "small") == [("bobbin", "", "small", "small")]
    assert shown(Parts(drive="flyer-led"), "bobbin whirl") == [("flyer", "", "bobbin whirl", "bobbin whirl")]


names = st.lists(st.sampled_from("abcdef"), min_size=1, max_size=4, unique=True)


@given(names, names)
def test_flyers_times_whirls(flyers: list[str], whirls: list[str]) -> None:
    parts = Parts(whirls=tuple(map(Whirl, whirls)), flyers=tuple(map(Flyer, flyers)))
    rows = ratio_table(parts, (), told)
    assert {(row.on, row.whirl) for row in rows} == set(product(flyers, whirls))
    assert len(rows) == len(flyers) * len(whirls)


def test_a_part_takes_the_place_of_its_name() -> None:
    parts = Parts().with_part(Whirl("a", ("x",))).with_part(Whirl("b")).with_part(Whirl("a", ("y",)))
    assert parts.whirls == (Whirl("a", ("y",)), Whirl("b"))
    assert parts.without_part(Whirl, "a").whirls == (Whirl("b"),)
    assert parts.without_part(Flyer, "a") == parts
    band = Band("old", Interval(2.4, 2.2, 2.6), "linen")
    assert Parts().with_part(band).bands == (band,)
    assert band.thickness is not None
    assert (band.thickness.n, round(band.thickness.s * 1.96, 3)) == (2.4, 0.2)
    assert Band("new").thickness is None
