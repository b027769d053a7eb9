"""Where a band would run in a groove, against the closed form of a circle that rests in a V."""

import math

import pytest
from uncertainties import ufloat

from whirlwise.vision.fit.bare_groove import SEATING_DOUBT, USUAL_BAND_MM, pitch_in_groove_mm
from whirlwise.vision.measured import HALF_WIDTH_95

OUTER_MM, DEPTH_MM, BAND_MM = ufloat(560.0, 0.6), ufloat(6.0, 0.25), ufloat(3.0, 0.1)


def test_on_a_flat_bottom_the_middle_lies_half_a_band_above_it() -> None:
    pitch_mm = pitch_in_groove_mm(OUTER_MM, DEPTH_MM, BAND_MM)
    assert pitch_mm.nominal_value == pytest.approx(560.0 - 2 * 6.0 + 3.0)
    # JCGM 100, 5.1.2: the doubts of what it is reckoned from, each by its coefficient, added as squares.
    parts_mm = [0.6, 2 * 0.25, 0.1, SEATING_DOUBT * 3.0]
    assert pitch_mm.std_dev == pytest.approx(math.hypot(*parts_mm))


@pytest.mark.parametrize("angle_deg", [60.0, 75.0, 90.0])
def test_a_band_in_a_v_is_inside_the_interval(angle_deg: float) -> None:
    """Touching both flanks, its middle lies half its thickness over the sine of half the angle up."""
    middle_mm = 0.5 * 3.0 / math.sin(math.radians(angle_deg) / 2)
    truth_mm = 560.0 - 2 * 6.0 + 2 * middle_mm
    exact = pitch_in_groove_mm(*(ufloat(each, 1e-9) for each in (560.0, 6.0, 3.0)))
    assert abs(exact.nominal_value - truth_mm) <= HALF_WIDTH_95 * exact.std_dev


def test_an_unknown_band_is_a_usual_one() -> None:
    usual_mm = ufloat(USUAL_BAND_MM, 0.1)
    known, unknown = (pitch_in_groove_mm(OUTER_MM, DEPTH_MM, band) for band in (usual_mm, None))
    assert unknown.nominal_value == pytest.approx(known.nominal_value)
    assert unknown.std_dev > known.std_dev


def test_it_moves_with_the_rim() -> None:
    outer_mm = ufloat(560.0, 0.6)
    assert (pitch_in_groove_mm(outer_mm, DEPTH_MM, BAND_MM) - outer_mm).std_dev == pytest.approx(
        math.hypot(2 * 0.25, 0.1, SEATING_DOUBT * 3.0)
    )
