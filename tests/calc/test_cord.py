"""New bands: lengths to order, and what a thicker band does, against the long way round."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from whirlwise.calc.bands import crossed_band_length, open_band_length
from whirlwise.calc.cord import BandPath, change_of_band, cord_to_cut, pitch_with_other_band
from whirlwise.calc.groove import GrooveShape, groove_of_pitch, pitch_of_groove
from whirlwise.calc.interval import interval_95
from whirlwise.calc.ratios import drive_ratio

U, V = GrooveShape("u"), GrooveShape("v", 60.0)


def test_a_cord_worked_by_hand() -> None:
    # 1997.374 mm in use (computed for 560, 40, 450 mm); 3 % stretch: 1997.374 / 1.03 = 1939.198 slack; a
    # knot of 60 mm: 1999.198 to cut. The run leans by asin(520 / 900): 2 cos = 1.63230 mm of band for 1 mm
    # of travel.
    found = cord_to_cut(
        BandPath("open", 560.0, 450.0, {"whirl": 40.0}), stretch_percent=3.0, knot_mm=60.0, travel_mm=20.0
    )
    assert nominal_value(found.in_use_mm) == pytest.approx(1997.374, abs=1e-3)
    assert nominal_value(found.slack_mm) == pytest.approx(1939.198, abs=1e-3)
    assert nominal_value(found.cut_mm) == pytest.approx(1999.198, abs=1e-3)
    assert nominal_value(found.travel_mm) == pytest.approx(1.63230 * 10 / 1.03, abs=1e-3)


@given(
    st.sampled_from(["open", "crossed"]),
    st.floats(300, 800),
    st.floats(20, 120),
    st.floats(500, 900),
    st.floats(0, 12),
    st.floats(2, 40),
)
def test_stretched_on_the_moved_spindle_it_fits(
    lay: str, wheel: float, whirl: float, apart: float, stretch: float, travel: float
) -> None:
    """The long way round: a loop longer by the travel, stretched, is as long as the band's way out there."""
    path = BandPath("open" if lay == "open" else "crossed", wheel, apart, {"whirl": whirl})
    found = cord_to_cut(path, stretch_percent=stretch, knot_mm=0.0, travel_mm=travel)
    length = open_band_length if lay == "open" else crossed_band_length
    slack = float(nominal_value(found.slack_mm))
    assert slack * (1 + stretch / 100) == pytest.approx(length(wheel, whirl, apart))
    fitting = length(wheel, whirl, apart + travel / 2) / (1 + stretch / 100)
    # The take-up changes a little on the way: second order in the travel.
    assert slack + nominal_value(found.travel_mm) == pytest.approx(fitting, abs=travel**2 / 400 + 1e-6)


def test_doubt_of_a_cord_against_monte_carlo() -> None:
    found = cord_to_cut(
        BandPath("double", ufloat(556, 1.5), ufloat(430, 2.0), {"f": ufloat(60, 0.3), "b": ufloat(46, 0.3)}),
        stretch_percent=ufloat(3.0, 0.5),
        knot_mm=ufloat(60, 5),
    )
    rng = np.random.default_rng(9)
    draws = [
        (open_band_length(w, f, c) + open_band_length(w, b, c)) / (1 + s / 100) + k
        for w, c, f, b, s, k in rng.normal(
            [556, 430, 60, 46, 3, 60], [1.5, 2, 0.3, 0.3, 0.5, 5], (10_000, 6)
        ).tolist()
    ]
    assert nominal_value(found.cut_mm) == pytest.approx(np.mean(draws), abs=1.0)
    assert std_dev(found.cut_mm) == pytest.approx(np.std(draws), rel=0.03)


@given(st.floats(0.1, 4), st.floats(0.05, 1), st.floats(1, 4))
def test_more_doubt_never_narrows_a_length(size: float, stretch: float, more: float) -> None:
    def half_width(times: float) -> float:
        path = BandPath("open", ufloat(560, size * times), ufloat(450, size * times), {"w": 40.0})
        found = cord_to_cut(path, stretch_percent=ufloat(3, stretch * times), knot_mm=60.0)
        return interval_95(found.cut_mm).half_width

    assert half_width(more) >= half_width(1) * (1 - 1e-12)


@given(st.sampled_from([U, V]), st.floats(20, 90), st.floats(1.5, 4), st.floats(1.5, 4))
def test_another_band_by_way_of_the_grooves_bottom(
    shape: GrooveShape, bottom: float, band: float, other: float
) -> None:
    pitch = pitch_of_groove(bottom, band, shape)
    assert pitch_with_other_band(pitch, band, other, shape) == pytest.approx(
        pitch_of_groove(bottom, other, shape)
    )
    assert groove_of_pitch(pitch_with_other_band(pitch, band, other, shape), other, shape) == pytest.approx(
        bottom
    )
    # There and back again.
    there = pitch_with_other_band(pitch, band, other, shape)
    assert pitch_with_other_band(there, other, band, shape) == pytest.approx(pitch)


def test_a_thicker_band_lowers_the_ratio() -> None:
    # By hand: 560 / 40 = 14; with a band 1.5 mm thicker in U grooves 561.5 / 41.5 = 13.530, 3.36 % less.
    (found,) = change_of_band(
        560.0, {"small": 40.0}, band_mm=2.0, other_band_mm=3.5, wheel_shape=U, whirl_shape=U
    )
    assert nominal_value(found.ratio) == pytest.approx(14.0)
    assert nominal_value(found.new_ratio) == pytest.approx(13.5301, abs=5e-5)
    assert nominal_value(found.change_percent) == pytest.approx(-3.356, abs=5e-4)
    # A V of 60 degrees on the whirl doubles what the whirl grows: 561.5 / 43 = 13.058.
    (found,) = change_of_band(
        560.0, {"small": 40.0}, band_mm=2.0, other_band_mm=3.5, wheel_shape=U, whirl_shape=V
    )
    assert nominal_value(found.new_ratio) == pytest.approx(13.0581, abs=5e-5)


def test_a_band_and_its_whirl_in_published_figures() -> None:
    # Belts chapter, examples 11.1 and 11.2 (FOSSEE textbook companion): 51 -> 30 cm at 200 r/min is 340.0
    # r/min without and 335.48 with a belt 1 cm thick.
    (found,) = change_of_band(
        510.0, {"driven": 300.0}, band_mm=0.0, other_band_mm=10.0, wheel_shape=U, whirl_shape=U
    )
    assert 200 * nominal_value(found.ratio) == pytest.approx(340.0, abs=0.05)
    assert 200 * nominal_value(found.new_ratio) == pytest.approx(335.48, abs=0.005)
    # Khurmi, Engineering Mechanics, example 33.3: 2 m -> 1 m at 120 r/min, t 5 mm: (D + t) / (d + t) gives
    # 239.40. A page that prints 238.8 adds the thickness twice: once on either side of each pulley.
    (found,) = change_of_band(
        2000.0, {"driven": 1000.0}, band_mm=0.0, other_band_mm=5.0, wheel_shape=U, whirl_shape=U
    )
    assert 120 * nominal_value(found.new_ratio) == pytest.approx(239.40, abs=0.005)
    assert pytest.approx(238.8, abs=0.05) == 120 * (2000 + 10) / (1000 + 10)


def test_change_of_band_against_monte_carlo() -> None:
    (found,) = change_of_band(
        ufloat(556, 1.5),
        {"small": ufloat(44, 0.3)},
        band_mm=ufloat(2.5, 0.1),
        other_band_mm=ufloat(3.5, 0.1),
        wheel_shape=U,
        whirl_shape=V,
    )
    rng = np.random.default_rng(2)
    wheel, whirl, old, new = rng.normal([556, 44, 2.5, 3.5], [1.5, 0.3, 0.1, 0.1], (200_000, 4)).T
    changes = 100 * (drive_ratio(wheel + new - old, whirl + 2 * (new - old)) / (wheel / whirl) - 1)
    assert nominal_value(found.change_percent) == pytest.approx(changes.mean(), abs=0.02)
    assert std_dev(found.change_percent) == pytest.approx(changes.std(), rel=0.02)


@given(st.floats(300, 800), st.floats(20, 90), st.floats(1, 5), st.floats(0.1, 3))
def test_thicker_always_means_slower(wheel: float, whirl: float, band: float, more: float) -> None:
    for shape in (U, V):
        (found,) = change_of_band(
            wheel,
            {"w": whirl},
            band_mm=band,
            other_band_mm=band + more,
            wheel_shape=shape,
            whirl_shape=shape,
        )
        assert nominal_value(found.change_percent) < 0


def test_paths_that_cannot_be() -> None:
    with pytest.raises(ValueError, match=r"^a band laid double goes round two whirls$"):
        BandPath("double", 560.0, 450.0, {"one": 40.0})
    with pytest.raises(ValueError, match=r"^a band laid open goes round one whirl$"):
        BandPath("open", 560.0, 450.0, {"one": 40.0, "two": 50.0})
    path = BandPath("open", 560.0, 450.0, {"one": 40.0})
    with pytest.raises(ValueError, match="cannot be less than nothing"):
        cord_to_cut(path, stretch_percent=-1.0, knot_mm=0.0)
