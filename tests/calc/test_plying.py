"""Plying and wool: resultant counts of old books, both meanings of contraction, and grades at their edges."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, ufloat

from whirlwise.calc.interval import interval_95
from whirlwise.calc.plying import (
    balanced_ply_twist,
    plied_tex,
    singles_length,
    singles_tex,
    singles_twist_from_ply_back,
)
from whirlwise.calc.wool import finest_tex, grade_named, grades_of, wool_grades
from whirlwise.calc.yarn import fibres_in_section
from whirlwise.calc.yarn_counts import count_of, tex_of

texes = st.floats(5, 2000)


@pytest.mark.parametrize(
    ("counts", "printed"),
    [((40, 20), 13 + 1 / 3), ((40, 80, 120), 21.818)],
)
def test_resultant_counts(counts: tuple[int, ...], printed: float) -> None:
    # C. P. Brooks, Cotton Manufacturing: 40s with 20s are 13 1/3; 40s, 80s and 120s are 21.81 (cut off from
    # 21.818). The book warns that twist makes the fold coarser.
    tex = plied_tex([tex_of(float(count), "Ne") for count in counts])
    assert count_of(tex, "Ne") == pytest.approx(printed, abs=5e-4)
    # Second way: reciprocals of counts add.
    assert count_of(tex, "Ne") == pytest.approx(1 / sum(1 / count for count in counts))


@pytest.mark.parametrize(("length_share", "printed"), [(1 / 1.1, 35.2), (0.9, 35.56)])
def test_singles_for_a_two_fold_by_both_meanings(length_share: float, printed: float) -> None:
    # GATE 1992, question 3: 16s with 10 % contraction: 35.2s where the count is lengthened by a tenth; 35.56
    # where a tenth of the length is lost.
    assert count_of(singles_tex(tex_of(16.0, "Ne"), 2, length_share), "Ne") == pytest.approx(
        printed, abs=0.005
    )


@given(texes, st.integers(2, 6), st.floats(0.85, 1.05))
def test_singles_ply_back_to_the_yarn(tex: float, plies: int, length_share: float) -> None:
    one = singles_tex(tex, plies, length_share)
    assert plied_tex([one] * plies, length_share) == pytest.approx(tex)


@given(texes, st.floats(1, 5000), st.integers(1, 6), st.floats(0.85, 1.05))
def test_no_wool_is_made_or_lost(tex: float, metres: float, plies: int, length_share: float) -> None:
    singles_g = singles_tex(tex, plies, length_share) * singles_length(metres, plies, length_share) / 1000
    assert singles_g == pytest.approx(tex * metres / 1000)


def test_balance_is_a_range() -> None:
    # 60 to 70 % of the singles' twist: spinners' rule, weak.
    found = interval_95(balanced_ply_twist(10.0))
    assert [found.low, found.high] == pytest.approx([6.0, 7.0])


def test_no_loss_of_length_is_expected_in_a_balanced_ply() -> None:
    # Textile Research Journal 2024 (abstract): up to 0.85 of the singles' turns a counter-twisted two-ply
    # gets longer. So (1 + sec a) / 2 of the singles' twist, a loss, is not used; the interval holds "none".
    yards = interval_95(singles_length(100.0, 2))
    assert yards.low < 200 < yards.high
    assert yards.value == pytest.approx(200)


@given(st.floats(0.5, 15))
def test_a_ply_back_sample_tells_the_singles_twist(twist: float) -> None:
    assert nominal_value(singles_twist_from_ply_back(balanced_ply_twist(twist))) == pytest.approx(twist)


def test_ply_back_by_monte_carlo() -> None:
    # Twist counted to 4 %, balance at 0.65 with a 95 % interval from 0.60 to 0.70.
    ours = interval_95(singles_twist_from_ply_back(ufloat(3.0, 0.12)))
    rng = np.random.default_rng(3)
    drawn = rng.normal(3.0, 0.12, 400_000) / rng.normal(0.65, 0.05 / 1.96, 400_000)
    assert ours.low == pytest.approx(np.quantile(drawn, 0.025), rel=0.01)
    assert ours.high == pytest.approx(np.quantile(drawn, 0.975), rel=0.01)


GRADES = [
    # New Mexico State University, extension bulletin B-409: US grades and their limits in micron.
    ("80s", 17.70, 19.14),
    ("70s", 19.14, 20.59),
    ("64s", 20.59, 22.04),
    ("62s", 22.04, 23.49),
    ("60s", 23.49, 24.94),
    ("58s", 24.94, 26.39),
    ("56s", 26.39, 27.84),
    ("54s", 27.84, 29.29),
    ("50s", 29.29, 30.99),
    ("48s", 30.99, 32.69),
    ("46s", 32.69, 34.39),
    ("44s", 34.39, 36.19),
]


@pytest.mark.parametrize(("name", "low", "high"), GRADES)
def test_wool_grades(name: str, low: float, high: float) -> None:
    (found,) = grades_of((low + high) / 2)
    assert (found.name, found.low_micron, found.high_micron) == (name, low, high)
    assert [grade.name for grade in grades_of(high)] == [name]
    assert grade_named(name) == grade_named(name.rstrip("s")) == found


def test_beyond_the_grades() -> None:
    assert grades_of(17.0) == grades_of(36.2) == ()
    assert grade_named("81s") is None
    assert len(wool_grades()) == len(GRADES)


def test_a_doubtful_fineness_names_all_it_may_be() -> None:
    assert [grade.name for grade in grades_of(ufloat(24.9, 0.5))] == ["60s", "58s"]
    assert [grade.name for grade in grades_of(ufloat(24.9, 1.0))] == ["62s", "60s", "58s", "56s"]


@given(st.floats(17.8, 36), st.floats(0.01, 2), st.floats(0, 2))
def test_more_doubt_never_rules_a_grade_out(micron: float, doubt: float, more: float) -> None:
    assert set(grades_of(ufloat(micron, doubt))) <= set(grades_of(ufloat(micron, doubt + more)))


def test_the_finest_yarn_has_the_fewest_fibres() -> None:
    found = interval_95(fibres_in_section(finest_tex(22.0), 22.0))
    assert [found.low, found.high] == pytest.approx([35, 45])
    # 80s wool was named after the finest worsted that it spins: 80 hanks of 560 yards, 11.1 tex (memory).
    # With 40 fibres of 18.4 micron it is 13.9 tex, 64s: the old names promise more than an even yarn holds.
    assert nominal_value(count_of(finest_tex(18.4), "worsted")) == pytest.approx(63.6, abs=0.5)
