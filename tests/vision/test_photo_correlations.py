"""How the numbers of one picture go together, against the geometry of two circles and their tangents."""

from dataclasses import replace
from typing import cast

import numpy as np
import pytest
from uncertainties import UFloat, covariance_matrix, ufloat

from whirlwise.vision.fit.band_fit import WheelFit
from whirlwise.vision.fit.hypothesis import PLACE_DOUBT_MM, SHARE_DOUBT, Hypothesis
from whirlwise.vision.fit.joint import Fit
from whirlwise.vision.fit.wheel_fit import BandSeen, WheelPicture
from whirlwise.vision.photo_correlations import (
    BAND_CAUSE,
    LENGTH_DOUBT,
    RIM_CAUSE,
    SHARE_CAUSE,
    Tied,
    tied,
)

WHEEL_MM, WHIRL_MM, APART_MM, RIM_MM = 275.0, 25.0, 400.0, 280.0
#: Similar triangles: the outer tangents of two circles meet beyond the smaller one, at R C / (R - r).
MEETING_MM = WHEEL_MM * APART_MM / (WHEEL_MM - WHIRL_MM)


def hypothesis(wheel: UFloat, meeting: UFloat, apart: UFloat, rim: UFloat) -> Hypothesis:
    """A fit in which the whirl's radius follows from where the runs meet."""
    whirl = wheel * (1 - apart / meeting)
    covariance = np.array(covariance_matrix([rim, wheel, whirl, apart]))
    names = ("rim_radius", "pitch_radius", "loop1_radius", "spindle_distance")
    values = dict(zip(names, (rim.n, wheel.n, whirl.n, apart.n), strict=True))
    fit = Fit(values, covariance, 0.0, 1.0)
    band = WheelFit(fit, cast(BandSeen, None), None, fit)
    return Hypothesis(cast(WheelPicture, None), fit, band, None)


def numbers(apart_deviation: float = 3.0) -> tuple[Hypothesis, UFloat]:
    found = hypothesis(
        ufloat(WHEEL_MM, 0.3),
        ufloat(MEETING_MM, 0.5),
        ufloat(APART_MM, apart_deviation),
        ufloat(RIM_MM, 0.3),
    )
    wheel, whirl = found.best.measured("pitch_radius", "loop1_radius")
    share = whirl / wheel
    # A place on the line hub - whirl that is off by so much makes the radius by the tangents' half angle so.
    by_place = PLACE_DOUBT_MM * (WHEEL_MM - WHIRL_MM) / APART_MM / WHEEL_MM
    return found, share + ufloat(0.0, float(np.hypot(SHARE_DOUBT * share.n, by_place)))


def all_told(found: Tied) -> tuple[UFloat, UFloat, UFloat]:
    assert found.pitch_mm is not None
    assert found.share is not None
    assert found.centre_distance_mm is not None
    return found.pitch_mm, found.share, found.centre_distance_mm


def left_when_known(wanted: UFloat, known: UFloat) -> float:
    """Standard uncertainty that is left of one normal variable when another one becomes known."""
    (a, b), (_, c) = np.array(covariance_matrix([wanted, known]))
    return float(np.sqrt(a - b**2 / c))


def test_each_number_is_what_it_was() -> None:
    found, share = numbers()
    told = tied([found], share)
    pitch, ratio, apart = all_told(told)
    assert (told.outer_mm.n, pitch.n, ratio.n, apart.n) == pytest.approx(
        (2 * RIM_MM, 2 * WHEEL_MM, WHIRL_MM / WHEEL_MM, APART_MM)
    )
    assert ratio.s == pytest.approx(share.s, rel=1e-6)
    assert pitch.s == pytest.approx(2 * np.hypot(0.3, LENGTH_DOUBT * WHEEL_MM), rel=1e-6)


def test_who_knows_the_distance_knows_the_whirl() -> None:
    found, share = numbers()
    _, ratio, apart = all_told(tied([found], share))
    # share = 1 - C/M: what is left is the doubt of M, and of the scale that C has and the share has not.
    scale_left = LENGTH_DOUBT * APART_MM / MEETING_MM
    meeting_left = 0.5 * APART_MM / MEETING_MM**2
    assert left_when_known(ratio, apart) < 1.05 * np.hypot(scale_left, meeting_left)
    assert left_when_known(ratio, apart) < 0.8 * ratio.s


def test_rival_cords_tell_nothing_of_the_distance() -> None:
    found, share = numbers()
    covering = ufloat(share.n, 4 * share.s)
    _, ratio, apart = all_told(tied([found], covering))
    assert ratio.s == pytest.approx(covering.s, rel=1e-6)
    assert left_when_known(ratio, apart) > 0.9 * np.sqrt(16 - 1) * share.s


def test_rival_poses_are_covered() -> None:
    found, share = numbers()
    other = hypothesis(
        ufloat(WHEEL_MM + 10, 0.3),
        ufloat(MEETING_MM, 0.5),
        ufloat(APART_MM + 15, 3.0),
        ufloat(RIM_MM + 10, 0.3),
    )
    told = tied([found, other], share)
    pitch, _, apart = all_told(told)
    assert pitch.n + 1.96 * pitch.s > 2 * (WHEEL_MM + 10)
    assert told.outer_mm.n + 1.96 * told.outer_mm.s > 2 * (RIM_MM + 10)
    assert apart.n + 1.96 * apart.s > APART_MM + 15


def test_without_a_whirl_only_the_wheel_is_told() -> None:
    found, _ = numbers()
    told = tied([found], None)
    assert told.share is told.centre_distance_mm is None
    assert told.outer_mm.n == pytest.approx(2 * RIM_MM)
    # The runs are tangents of the pitch circle, wherever the whirl is.
    assert told.pitch_mm is not None
    assert told.pitch_mm.n == pytest.approx(2 * WHEEL_MM)
    bare = tied([replace(found, band=None)], None)
    assert bare.pitch_mm is None
    assert bare.outer_mm.n == pytest.approx(2 * RIM_MM)


def test_common_causes_carry_a_name() -> None:
    found, share = numbers()
    told = tied([found], share)
    pitch, ratio, _ = all_told(told)
    tags = {variable.tag for variable in pitch.derivatives} | {variable.tag for variable in ratio.derivatives}
    assert tags - {None} == {BAND_CAUSE, SHARE_CAUSE}
    assert {v.tag for v in told.outer_mm.derivatives} - {None} == {RIM_CAUSE}


def test_a_spindle_farther_out_has_a_smaller_whirl() -> None:
    found, share = numbers()
    _, ratio, apart = all_told(tied([found], share))
    assert covariance_matrix([ratio, apart])[0][1] < -0.5 * ratio.s * apart.s
