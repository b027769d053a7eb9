"""Grooves to turn: by plane geometry done another way, by what the pictures' side measures, and back."""

from math import pi, radians, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from whirlwise.calc.groove import (
    GrooveShape,
    groove_of_pitch,
    groove_to_turn,
    pitch_of_groove,
    sure_enough,
    wheel_pitch_from_whirl,
)
from whirlwise.calc.interval import interval_95
from whirlwise.calc.ratios import drive_ratio, driven_diameter
from whirlwise.vision.geometry.revolved import resting_height

shapes = st.builds(GrooveShape, st.sampled_from(["u", "v"]), st.floats(20, 120), st.floats(0, 6))
bands_mm = st.floats(0.8, 8)


def lowest_middle(shape: GrooveShape, bottom_mm: float, band_mm: float) -> float:
    """Pitch diameter by letting a disc down onto the groove's outline, point by point."""
    across = np.linspace(-15, 15, 6001)
    slope = 1 / tan(shape.half_angle_rad) if shape.kind == "v" else 0.0
    outline = bottom_mm / 2 + np.maximum(np.abs(across) - shape.flat_mm / 2, 0.0) * slope
    within = np.abs(across) <= band_mm / 2
    return 2 * float(np.max(outline[within] + np.sqrt((band_mm / 2) ** 2 - across[within] ** 2)))


@given(shapes, st.floats(15, 150), bands_mm)
def test_a_disc_let_down_into_the_groove(shape: GrooveShape, bottom_mm: float, band_mm: float) -> None:
    assert pitch_of_groove(bottom_mm, band_mm, shape) == pytest.approx(
        lowest_middle(shape, bottom_mm, band_mm), abs=0.01
    )


@pytest.mark.parametrize("angle_deg", [40.0, 60.0, 90.0])
def test_what_a_picture_from_the_side_would_measure(angle_deg: float) -> None:
    """The pictures' side rests a cord in an outline by its own means, which know nothing of formulas."""
    shape = GrooveShape("v", angle_deg, 0.8)
    across = np.linspace(-6, 6, 1201)
    radii = 20 + np.maximum(np.abs(across) - 0.4, 0) / tan(radians(angle_deg) / 2)
    seen = 2 * resting_height(across, radii, 1.25)
    assert pitch_of_groove(40.0, 2.5, shape) == pytest.approx(seen, abs=0.02)


def test_grooves_worked_by_hand() -> None:
    # 60 degrees: 1 / sin 30 = 2, so the middle of a 3 mm band stands 3 mm above where the flanks meet.
    assert pitch_of_groove(28.0, 3.0, GrooveShape("v", 60.0)) == pytest.approx(34.0)
    # 90 degrees: t / (2 sin 45) = 1.5 x sqrt 2.
    assert pitch_of_groove(28.0, 3.0, GrooveShape("v", 90.0)) == pytest.approx(28 + 3 * 2**0.5)
    # A flat 4 mm wide lets a 2 mm band down to the bottom, whatever the flanks do.
    assert pitch_of_groove(28.0, 2.0, GrooveShape("v", 60.0, 4.0)) == pytest.approx(30.0)


def test_a_band_on_the_flanks_is_told_from_one_on_the_bottom() -> None:
    assert GrooveShape("v", 60.0).on_flanks(2.0)
    # By hand for 60 degrees: its middle above the bottom, t - f sqrt 3 / 2, is t / 2 for f = t / sqrt 3.
    assert GrooveShape("v", 60.0, 1.15).on_flanks(2.0)
    assert not GrooveShape("v", 60.0, 1.16).on_flanks(2.0)
    assert not GrooveShape("u").on_flanks(2.0)
    assert GrooveShape("v", 60.0).wedge(2.0) == pytest.approx(2.0)
    assert GrooveShape("u").wedge(2.0) == 1.0


@given(shapes, st.floats(10, 200), bands_mm)
def test_groove_and_pitch_are_each_others_inverse(shape: GrooveShape, bottom: float, band: float) -> None:
    assert groove_of_pitch(pitch_of_groove(bottom, band, shape), band, shape) == pytest.approx(bottom)


@given(shapes, st.floats(10, 200), bands_mm)
def test_inches_change_nothing(shape: GrooveShape, bottom: float, band: float) -> None:
    inches = GrooveShape(shape.kind, shape.angle_deg, shape.flat_mm / 25.4)
    there = pitch_of_groove(bottom / 25.4, band / 25.4, inches)
    assert 25.4 * there == pytest.approx(pitch_of_groove(bottom, band, shape))


@pytest.mark.parametrize(
    ("angle_deg", "flat_mm", "sentence"),
    [
        (10, 0, "the angle of a V groove must lie between 20 and 120 degrees"),
        (float("nan"), 0, "the angle of a V groove must lie between 20 and 120 degrees"),
        (60, -1, "the flat bottom of a V groove cannot be narrower than nothing"),
    ],
)
def test_what_is_no_groove(angle_deg: float, flat_mm: float, sentence: str) -> None:
    with pytest.raises(ValueError, match=f"^{sentence}$"):
        GrooveShape("v", angle_deg, flat_mm)


def test_textbook_pulleys() -> None:
    # Belts chapter, example 11.3 (FOSSEE textbook companion): 60 cm at 200 r/min drives 300 r/min, thickness
    # 0.5 cm, 4 % slip: the driven pulley is 38.22 cm.
    found = groove_to_turn(
        300 / 200,
        wheel_pitch_mm=605.0,
        band_mm=5.0,
        shape=GrooveShape("u"),
        slip_percent=4.0,
    )
    assert nominal_value(found.bottom_mm) == pytest.approx(382.2, abs=0.05)
    # Mechanics of Machine, tutorial 5, question 1: 150 mm at 950 to 300 r/min, t 5 mm, slip 4 %: 0.466 m.
    found = groove_to_turn(
        300 / 950, wheel_pitch_mm=155.0, band_mm=5.0, shape=GrooveShape("u"), slip_percent=4.0
    )
    assert nominal_value(found.bottom_mm) == pytest.approx(466, abs=0.5)


@given(st.floats(3, 25), st.floats(300, 900), bands_mm, st.floats(0, 5))
def test_a_u_groove_is_the_flat_pulley_of_the_textbooks(
    ratio: float, wheel_pitch: float, band: float, slip: float
) -> None:
    expected = driven_diameter(wheel_pitch - band, ratio, band, slip)
    found = groove_of_pitch(wheel_pitch / ratio * (1 - slip / 100), band, GrooveShape("u"))
    assert found == pytest.approx(expected)


@given(st.floats(3, 12), st.floats(400, 900), st.floats(1, 4), st.floats(0.1, 10), shapes)
def test_turned_so_it_makes_the_ratio(
    ratio: float, wheel_pitch: float, band: float, tolerance: float, shape: GrooveShape
) -> None:
    found = groove_to_turn(
        ratio, wheel_pitch_mm=wheel_pitch, band_mm=band, shape=shape, tolerance_percent=tolerance
    )
    made = [
        float(drive_ratio(wheel_pitch, pitch_of_groove(bottom, band, shape)))
        for bottom in (found.largest_mm, nominal_value(found.bottom_mm), found.smallest_mm)
    ]
    expected = [ratio * (1 - tolerance / 100), ratio, ratio * (1 + tolerance / 100)]
    assert made == pytest.approx(expected, rel=1e-9)
    assert found.edge_mm > nominal_value(found.pitch_mm) + band


def test_doubt_of_the_groove_against_monte_carlo() -> None:
    found = groove_to_turn(
        18, wheel_pitch_mm=ufloat(556, 1.5), band_mm=ufloat(2.5, 0.1), shape=GrooveShape("v", 60.0)
    )
    rng = np.random.default_rng(18)
    wheel, band = rng.normal(556, 1.5, 200_000), rng.normal(2.5, 0.1, 200_000)
    bottoms = wheel / 18 - 2 * band
    assert nominal_value(found.bottom_mm) == pytest.approx(bottoms.mean(), abs=2e-3)
    assert std_dev(found.bottom_mm) == pytest.approx(bottoms.std(), rel=0.01)
    ratios = wheel / (nominal_value(found.bottom_mm) + 2 * band)
    ours = interval_95(found.ratio_as_turned)
    assert [ours.low, ours.high] == pytest.approx(np.quantile(ratios, [0.025, 0.975]), rel=3e-4)


@given(st.floats(0.1, 10), st.floats(0.01, 0.2), st.floats(1, 3))
def test_more_doubt_never_narrows(wheel_doubt: float, band_doubt: float, more: float) -> None:
    def width(times: float) -> float:
        found = groove_to_turn(
            12,
            wheel_pitch_mm=ufloat(560, wheel_doubt * times),
            band_mm=ufloat(2.5, band_doubt * times),
            shape=GrooveShape("u"),
        )
        return interval_95(found.bottom_mm).half_width

    assert width(more) >= width(1) * (1 - 1e-12)


def test_a_tolerance_finer_than_what_is_known() -> None:
    def turned(wheel_doubt_mm: float) -> bool:
        return sure_enough(
            groove_to_turn(
                18,
                wheel_pitch_mm=ufloat(556, wheel_doubt_mm),
                band_mm=2.5,
                shape=GrooveShape("u"),
                tolerance_percent=1.0,
            )
        )

    # 1 % of 18 is 1 % of the 30.9 mm at which the band runs: a wheel known to 0.5 % suffices, 2 % doesn't.
    assert turned(556 * 0.005 / 1.96)
    assert not turned(556 * 0.02 / 1.96)


def test_a_whirl_that_is_there_tells_the_wheel() -> None:
    # A string round the rim would have told pi times as much.
    pitch = wheel_pitch_from_whirl(12.6, pitch_of_groove(41.5, 2.5, GrooveShape("u")))
    assert pitch == pytest.approx(12.6 * 44)
    assert pi * pitch == pytest.approx(1741.7, abs=0.1)


def test_a_wheel_and_a_band_that_tell_nothing() -> None:
    with pytest.raises(ValueError, match=r"^wheel and band are known too roughly to tell any groove$"):
        groove_to_turn(18, wheel_pitch_mm=560.0, band_mm=ufloat(2.5, 20.0), shape=GrooveShape("u"))


@pytest.mark.parametrize(
    ("ratio", "tolerance", "sentence"),
    [
        (300, 1, "for a ratio of 300 the band would have to run 1.87 mm across, which leaves no wood"),
        (0, 1, "the wished ratio must be above zero"),
        (12, 0, "the tolerance must lie between 0 and 100 %"),
        (12, float("nan"), "the tolerance must lie between 0 and 100 %"),
    ],
)
def test_what_cannot_be_turned(ratio: float, tolerance: float, sentence: str) -> None:
    with pytest.raises(ValueError, match=f"^{sentence}"):
        groove_to_turn(
            ratio,
            wheel_pitch_mm=560.0,
            band_mm=2.5,
            shape=GrooveShape("u"),
            tolerance_percent=tolerance,
        )
