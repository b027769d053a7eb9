"""Hours and yards: mills' output sums, parts that add up, and levers against derivatives."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, ufloat

from whirlwise.calc.interval import interval_95
from whirlwise.calc.output import Project, Stop, levers, project_time
from whirlwise.calc.spinnable import spinnable
from whirlwise.calc.twist import drafting_for_twist, per_inch
from whirlwise.calc.yarn import multiplier_of, twist_for_multiplier_per_cm
from whirlwise.calc.yarn_counts import count_of, tex_of

METRES_PER_HANK, POUND_G = 840 * 0.9144, 453.59237

JUMPER = Project(
    length_m=1100.0,
    plies=3,
    drafting_m_per_min=2.5,
    plying_m_per_min=4.0,
    spinning_stops=(Stop("changing hooks", 5.0, 5.0), Stop("joining", 10.0, 10.0)),
    plying_stops=(Stop("changing hooks", 5.0, 5.0),),
    rest_share=0.1,
    length_share=1.0,
)


def test_delivery_of_a_spindle() -> None:
    # Textile engineering tutorial pages: 36s, multiplier 4.5, 10 000 r/min: 370 inch/min (10 000 / 27 =
    # 370.37; the line misprints 1000/27).
    twist = twist_for_multiplier_per_cm(4.5, tex_of(36.0, "Ne"))
    assert per_inch(twist) == pytest.approx(27)
    assert drafting_for_twist(twist, 1.0, 10_000.0) / 2.54 == pytest.approx(370.37, abs=0.005)


@pytest.mark.parametrize(
    ("count", "multiplier", "spindle_per_min", "spindles", "efficiency", "pounds"),
    [(36.0, 4.5, 10_000.0, 400, 0.90, 58.79), (40.0, 4.2, 16_000.0, 504, 0.96, 115.65)],
)
def test_output_of_a_frame(
    count: float, multiplier: float, spindle_per_min: float, spindles: int, efficiency: float, pounds: float
) -> None:
    # The same pages: rpm x spindles x efficiency x 60 x 8 / (turns per inch x Ne x 36 x 840); their final
    # figures are cut off, these are computed from the formula. An idle tenth of the time is a rest.
    tex = tex_of(count, "Ne")
    drafting = drafting_for_twist(twist_for_multiplier_per_cm(multiplier, tex), 1.0, spindle_per_min) / 100
    time = project_time(Project(1000.0, 1, drafting, 1.0, rest_share=1 - efficiency))
    shift_m = 8 * time.finished_m_per_h
    assert spindles * shift_m * tex / 1000 / POUND_G == pytest.approx(pounds, abs=0.005)


def test_hanks_of_a_spindle() -> None:
    # The same: 5.879 hanks, 74.07 g a spindle in 8 hours without stops (computed only).
    tex = tex_of(36.0, "Ne")
    time = project_time(Project(1000.0, 1, 370.37 * 0.0254, 1.0))
    assert 8 * time.singles_m_per_h / METRES_PER_HANK == pytest.approx(5.879, abs=5e-4)
    assert 8 * time.singles_m_per_h * tex / 1000 == pytest.approx(74.07, abs=0.005)


def test_a_jumper_by_hand() -> None:
    # 3300 m at 2.5 m/min: 22 h; hooks 660 x 5 s, joins 330 x 10 s: 55 min each; plying 1100 m at 4 m/min:
    # 4 h 35 min; 220 hooks: 18 min 20 s; together 28.7222 h, and a tenth of rest.
    time = project_time(JUMPER)
    assert time.singles_m == pytest.approx(3300)
    assert time.spinning_h == pytest.approx(22)
    assert time.spinning_stops_h == pytest.approx(2 * 55 / 60)
    assert time.plying_h == pytest.approx(4 + 35 / 60)
    assert time.plying_stops_h == pytest.approx((18 + 20 / 60) / 60)
    assert time.total_h == pytest.approx(28.7222 / 0.9, rel=1e-5)
    assert time.singles_m_per_h == pytest.approx(3300 / (22 + 110 / 60) * 0.9)
    assert time.finished_m_per_h == pytest.approx(1100 / (28.7222 / 0.9), rel=1e-5)


@given(st.floats(10, 5000), st.integers(1, 6), st.floats(0.3, 10), st.floats(0.3, 20), st.floats(0, 0.6))
def test_parts_add_up(length: float, plies: int, drafting: float, plying: float, rest: float) -> None:
    time = project_time(
        replace(
            JUMPER,
            length_m=length,
            plies=plies,
            drafting_m_per_min=drafting,
            plying_m_per_min=plying,
            rest_share=rest,
        )
    )
    parts = (time.spinning_h, time.spinning_stops_h, time.plying_h, time.plying_stops_h, time.rest_h)
    assert sum(map(nominal_value, parts)) == pytest.approx(nominal_value(time.total_h))
    assert (plies == 1) == (time.plying_h == 0)


def test_levers_against_derivatives() -> None:
    # One percent more of x saves x dT/dx / 100 to first order; the derivative by central differences.
    saved = {lever.name: nominal_value(lever.saved_h) for lever in levers(JUMPER)}
    assert list(saved.values()) == sorted(saved.values(), reverse=True)
    assert next(iter(saved)) == "drafting faster"

    def total_h(**changed: float) -> float:
        return float(nominal_value(project_time(replace(JUMPER, **changed)).total_h))  # type: ignore[arg-type]

    for name, field in (("drafting faster", "drafting_m_per_min"), ("plying faster", "plying_m_per_min")):
        value = getattr(JUMPER, field)
        slope = (total_h(**{field: value * 1.0001}) - total_h(**{field: value * 0.9999})) / 0.0002
        assert saved[name] == pytest.approx(-slope / 100, rel=0.02)
    # A percent off each stop is a percent of its time, and the rest goes with it.
    time = project_time(JUMPER)
    stops = saved["changing hooks in less time, spinning"] + saved["joining in less time, spinning"]
    assert stops == pytest.approx(0.01 * time.spinning_stops_h / 0.9)


def test_singles_have_no_plying_to_be_faster_at() -> None:
    names = {lever.name for lever in levers(replace(JUMPER, plies=1, rest_share=0.0))}
    assert names == {
        "drafting faster",
        "changing hooks in less time, spinning",
        "joining in less time, spinning",
    }


def test_hours_by_monte_carlo() -> None:
    ours = interval_95(
        project_time(
            replace(JUMPER, drafting_m_per_min=ufloat(2.5, 0.1), plying_m_per_min=ufloat(4, 0.2))
        ).total_h
    )
    rng = np.random.default_rng(8)
    drafting, plying = rng.normal(2.5, 0.1, 400_000), rng.normal(4, 0.2, 400_000)
    hours = (3300 / drafting / 60 + 1100 / plying / 60 + 110 / 60 + 1100 / 3600) / 0.9
    assert ours.low == pytest.approx(np.quantile(hours, 0.025), rel=0.01)
    assert ours.high == pytest.approx(np.quantile(hours, 0.975), rel=0.01)


@given(st.floats(0.001, 0.3), st.floats(0, 0.3))
def test_more_doubt_never_narrows_the_hours(doubt: float, more: float) -> None:
    def width(u: float) -> float:
        return interval_95(
            project_time(replace(JUMPER, drafting_m_per_min=ufloat(2.5, u))).total_h
        ).half_width

    assert width(doubt + more) >= width(doubt)


@given(st.floats(100, 3000))
def test_yards_change_no_hour(yards: float) -> None:
    # The same project with every length in yards gives the same hours: only ratios of lengths enter.
    metres = replace(JUMPER, length_m=yards * 0.9144)
    in_yards = replace(
        JUMPER,
        length_m=yards,
        drafting_m_per_min=2.5 / 0.9144,
        plying_m_per_min=4 / 0.9144,
        spinning_stops=tuple(replace(s, every_m=s.every_m / 0.9144) for s in JUMPER.spinning_stops),
        plying_stops=tuple(replace(s, every_m=s.every_m / 0.9144) for s in JUMPER.plying_stops),
    )
    assert project_time(in_yards).total_h == pytest.approx(project_time(metres).total_h)


# --- which yarns ------------------------------------------------------------------------------------------


def test_what_a_whirl_spins_by_hand() -> None:
    # 12 x 65 = 780 turns a minute on 260 cm: 3 turns/cm, 7.62 an inch; multiplier 3: Ne 6.45; 2 and 4: 14.5
    # and 3.63.
    low, high = spinnable(
        {"small": 12.0, "large": 6.0},
        cadence_per_min=65.0,
        drafting_cm_per_min=260.0,
        multiplier=ufloat(3.0, 1.0 / 1.959964),
    )
    assert (low.label, high.label) == ("large", "small")
    assert high.twist_per_cm == pytest.approx(3)
    found = [count_of(tex, "Ne") for tex in (high.tex.value, high.tex.low, high.tex.high)]
    assert found == pytest.approx([(7.62 / 3) ** 2, (7.62 / 2) ** 2, (7.62 / 4) ** 2])


@given(st.floats(3, 25), st.floats(30, 110), st.floats(50, 900), st.floats(1.5, 5))
def test_the_yarn_that_suits_has_the_wished_multiplier(
    ratio: float, cadence: float, drafting: float, multiplier: float
) -> None:
    (found,) = spinnable(
        {"one": ratio}, cadence_per_min=cadence, drafting_cm_per_min=drafting, multiplier=multiplier
    )
    assert multiplier_of(found.twist_per_cm, found.tex.value) == pytest.approx(multiplier)
