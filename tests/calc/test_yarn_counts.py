"""Yarn counts against definitions, examination papers, an old textbook, and yards and pounds by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from whirlwise.calc.facts import MM_PER_INCH, MM_PER_YARD
from whirlwise.calc.interval import interval_95
from whirlwise.calc.sample import GRAMS_PER_CN
from whirlwise.calc.yarn_counts import PINT_UNITS, CountSystem, count_of, is_direct, registry, tex_of

SYSTEMS = sorted(PINT_UNITS)
#: By definition (international yard and pound agreement of 1959).
METRES_PER_YARD, GRAMS_PER_POUND = 0.9144, 453.59237


@pytest.mark.parametrize(
    ("system", "product"), [("Ne", 590.54), ("worsted", 885.81), ("run", 310.03), ("yd/lb", 496_055)]
)
def test_products_with_tex(system: CountSystem, product: float) -> None:
    # ISO 1144 definitions, computed from yard and pound.
    assert tex_of(1.0, system) == pytest.approx(product, rel=2e-5)


@pytest.mark.parametrize(("system", "yards"), [("Ne", 840), ("worsted", 560), ("run", 1600), ("lea", 300)])
def test_hanks_by_hand(system: CountSystem, yards: float) -> None:
    # A yarn that counts one has one hank of so many yards to the pound.
    grams_per_km = GRAMS_PER_POUND / (yards * METRES_PER_YARD) * 1000
    assert tex_of(1.0, system) == pytest.approx(grams_per_km, rel=1e-12)


def test_our_constants_are_those_of_pint() -> None:
    units = registry()
    assert units.Quantity(1, "inch").to("mm").magnitude == pytest.approx(MM_PER_INCH)
    assert units.Quantity(1, "yard").to("mm").magnitude == pytest.approx(MM_PER_YARD)
    assert units.Quantity(1, "cN").to("gram_force").magnitude == pytest.approx(GRAMS_PER_CN)


def test_cotton_in_other_counts() -> None:
    # C. P. Brooks, Cotton Manufacturing: 20s cotton is 30s worsted, 56s linen, 16.93 French (km per 500 g).
    tex = tex_of(20.0, "Ne")
    assert count_of(tex, "worsted") == pytest.approx(30)
    assert count_of(tex, "lea") == pytest.approx(56)
    assert count_of(tex, "Nm") / 2 == pytest.approx(16.93, abs=0.005)


def test_tex_in_other_counts() -> None:
    # GATE 1992, question 2: 20 tex is 29.525 Ne, 180 denier, 50 Nm. The paper takes 590.5; with 590.54 it is
    # 29.527.
    assert count_of(20.0, "Ne") == pytest.approx(29.527, abs=5e-4)
    assert count_of(20.0, "Ne") == pytest.approx(29.525, abs=0.0025)
    assert count_of(20.0, "den") == pytest.approx(180)
    assert count_of(20.0, "Nm") == pytest.approx(50)


def test_mean_of_two_lots() -> None:
    # GATE 2013, question 40: 1200 kg of 30 tex and 1200 kg of 20 tex are 24 tex in the mean: 2400 kg over the
    # lengths of both.
    kilometres = 1200e3 / 30 + 1200e3 / 20
    assert 2400e3 / kilometres == pytest.approx(24)
    assert tex_of((count_of(30.0, "Nm") + count_of(20.0, "Nm")) / 2, "Nm") == pytest.approx(24)


@pytest.mark.parametrize("system", SYSTEMS)
@given(count=st.floats(0.05, 50_000))
def test_every_count_comes_back(system: CountSystem, count: float) -> None:
    assert count_of(tex_of(count, system), system) == pytest.approx(count, rel=1e-12)


@given(st.floats(2, 5000), st.sampled_from(SYSTEMS), st.sampled_from(SYSTEMS))
def test_a_way_round_by_two_systems_ends_where_it_began(
    tex: float, one: CountSystem, other: CountSystem
) -> None:
    there = tex_of(count_of(tex, one), one)
    assert tex_of(count_of(there, other), other) == pytest.approx(tex, rel=1e-12)


@pytest.mark.parametrize("system", SYSTEMS)
def test_thick_yarn_counts_high_in_direct_systems_only(system: CountSystem) -> None:
    assert is_direct(system) == (count_of(100.0, system) > count_of(50.0, system))
    assert is_direct(system) == (system in ("tex", "dtex", "den"))


@pytest.mark.parametrize("system", SYSTEMS)
def test_doubt_goes_along(system: CountSystem) -> None:
    # A share of the count is the same share of the tex, whichever way the count runs (JCGM 100:2008, 5.1.6).
    tex = tex_of(ufloat(40, 2), system)
    assert std_dev(tex) / nominal_value(tex) == pytest.approx(0.05)
    assert interval_95(count_of(tex, system)).half_width == pytest.approx(
        interval_95(ufloat(40, 2)).half_width
    )
