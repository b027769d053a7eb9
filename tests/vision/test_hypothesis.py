"""Which poses of the rim are left standing: rules of the program, tried on poses with known merits."""

from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.vision.drawn_wheels import WHEEL
from uncertainties import ufloat

from whirlwise.vision.fit.band_fit import WheelFit
from whirlwise.vision.fit.hypothesis import (
    Hypothesis,
    band_outside_rim,
    covering,
    share_of,
    spanning,
    standing,
    surely_strained,
)
from whirlwise.vision.fit.joint import Fit
from whirlwise.vision.fit.wheel_fit import WheelPicture
from whirlwise.vision.measured import HALF_WIDTH_95


def pose(
    *,
    tilt: float,
    cost: float,
    agree: float = 4.5,
    strain: float = 0.0,
    reference_cost: float | None = None,
    kind: str = "card",
    corner_px: float = 0.0,
    share: float = 0.1,
) -> Hypothesis:
    """A pose tilted so far, with what speaks for and against it; ``reference_cost``: it has a reference."""
    fit = Fit({**WHEEL, "tilt_x": tilt, "tilt_y": 0.0}, np.eye(len(WHEEL)), cost, 1.0, strain)
    reference = SimpleNamespace(kind=kind, corners_px=np.array([[0.0, 0.0], [90.0, 0.0]]) + corner_px)
    seen = SimpleNamespace(references=() if reference_cost is None else (reference,))
    place = SimpleNamespace(log_odds=agree) if agree else None
    band = SimpleNamespace(fit=fit, place=place, without_parts=fit)
    return Hypothesis(
        cast(WheelPicture, seen),
        fit,
        cast(WheelFit, band),
        ufloat(share, 0.001),
        reference_cost=reference_cost or 0.0,
    )


def test_poses_that_fit_alike_both_stand_the_better_one_first() -> None:
    worse, better = pose(tilt=0.3, cost=45.0), pose(tilt=-0.3, cost=40.0)
    assert standing([worse, better]) == [better, worse]


def test_a_pose_that_fits_much_worse_is_ruled_out() -> None:
    worse, better = pose(tilt=0.3, cost=60.0), pose(tilt=-0.3, cost=40.0)
    assert standing([worse, better]) == [better]


def test_a_pose_reached_twice_is_one() -> None:
    one, again = pose(tilt=0.300, cost=40.0), pose(tilt=0.301, cost=41.0)
    (left,) = standing([one, again])
    assert left.best is one.best
    assert left.share is not None
    assert (left.share.nominal_value, left.share.std_dev) == pytest.approx((0.1, 0.001))


def test_a_pose_reached_twice_leaves_open_what_either_found_of_the_whirl() -> None:
    one, again = pose(tilt=0.300, cost=40.0), pose(tilt=0.301, cost=41.0, share=0.104)
    (left,) = standing([one, again])
    assert left.share is not None
    half = HALF_WIDTH_95 * left.share.std_dev
    assert left.share.nominal_value - half == pytest.approx(0.1 - HALF_WIDTH_95 * 0.001)
    assert left.share.nominal_value + half == pytest.approx(0.104 + HALF_WIDTH_95 * 0.001)


def test_an_interval_within_another_adds_nothing() -> None:
    wide = ufloat(0.1, 0.01)
    spanned = spanning([ufloat(0.102, 0.001), wide])
    assert (spanned.nominal_value, spanned.std_dev) == pytest.approx((0.1, 0.01))


def test_where_hardly_any_parts_agree_the_pose_is_wrong() -> None:
    wrong, right = pose(tilt=0.3, cost=39.0, agree=1.5), pose(tilt=-0.3, cost=40.0)
    assert standing([wrong, right]) == [right]


def test_parts_and_strain_together_rule_a_pose_out_though_neither_does_alone() -> None:
    fewer_parts = pose(tilt=0.3, cost=39.0, agree=3.75)
    strained = pose(tilt=0.3, cost=39.0, agree=6.0, strain=2.5)
    both = pose(tilt=0.3, cost=39.0, agree=3.75, strain=2.5)
    right = pose(tilt=-0.3, cost=40.0, agree=6.0)
    assert standing([fewer_parts, right]) == [fewer_parts, right]
    assert standing([strained, right]) == [strained, right]
    assert standing([both, right]) == [right]


def test_what_agrees_in_a_pose_out_of_the_question_rules_nothing_out() -> None:
    wrong, right = pose(tilt=0.3, cost=39.0, agree=6.0, strain=4.0), pose(tilt=-0.3, cost=40.0, agree=0.0)
    assert standing([wrong, right]) == [right]


@given(strains=st.tuples(*[st.lists(st.floats(0.0, 9.0), min_size=1, max_size=3)] * 2), data=st.data())
def test_a_pose_surely_strained_stands_whatever_its_parts_say_in_no_case(
    strains: tuple[list[float], list[float]], data: st.DataObject
) -> None:
    agrees = data.draw(st.tuples(st.floats(0.0, 30.0), st.floats(0.0, 30.0)))
    # Whichever of its ways is taken for either pose.
    wrong, other = (
        pose(tilt=tilt, cost=cost, agree=agree, strain=data.draw(st.sampled_from(each)))
        for tilt, cost, agree, each in zip((0.3, -0.3), (1.0, 40.0), agrees, strains, strict=True)
    )
    if surely_strained(*strains):
        assert standing([wrong, other]) == [other]


def test_a_pose_that_explains_a_reference_outdoes_one_that_does_not() -> None:
    without, scaled = pose(tilt=0.3, cost=40.0), pose(tilt=-0.3, cost=46.0, reference_cost=8.0)
    assert standing([without, scaled]) == [scaled]


def test_a_reference_does_not_outdo_a_pose_with_more_parts() -> None:
    without = pose(tilt=0.3, cost=40.0, agree=9.0)
    scaled = pose(tilt=-0.3, cost=52.0, agree=5.25, reference_cost=8.0)
    assert standing([without, scaled]) == [without, scaled]


def test_a_reference_with_a_code_outdoes_any_pose_that_does_not_explain_it() -> None:
    without = pose(tilt=0.3, cost=40.0, agree=9.0)
    scaled = pose(tilt=-0.3, cost=52.0, agree=5.25, reference_cost=8.0, kind="marker")
    assert standing([without, scaled]) == [scaled]


def test_the_misfit_of_a_reference_does_not_speak_against_the_pose_that_has_it() -> None:
    without = pose(tilt=0.3, cost=40.0, agree=9.0)
    scaled = pose(tilt=-0.3, cost=46.0, agree=5.25, reference_cost=8.0)
    assert standing([without, scaled]) == [scaled, without]


def test_a_reference_that_both_poses_explain_speaks_for_the_one_that_it_fits_better() -> None:
    # Rim and runs alone speak for the wrong one, 1 against 4.
    right = pose(tilt=0.3, cost=5.0, agree=2.0, reference_cost=1.0)
    wrong = pose(tilt=-0.3, cost=18.0, agree=3.0, reference_cost=17.0)
    assert [h.best for h in standing([wrong, right])] == [right.best]


def test_the_misfit_of_two_references_says_nothing_of_poses_that_explain_one_each() -> None:
    one = pose(tilt=0.3, cost=5.0, reference_cost=1.0)
    other = pose(tilt=-0.3, cost=19.0, reference_cost=16.0, corner_px=40.0)
    assert [h.best for h in standing([one, other])] == [other.best, one.best]


def test_parts_do_not_rule_out_a_pose_that_fits_better_by_more_than_they_say() -> None:
    # Chance parts say e^5; the rim and a marker say e^8 for the other pose, in which none agree.
    right = pose(tilt=0.1, cost=5.0, agree=0.0, reference_cost=1.0, strain=1.0, kind="marker")
    wrong = pose(tilt=-0.3, cost=13.0, agree=5.0, reference_cost=9.0, strain=2.0, kind="marker")
    assert [h.best for h in standing([wrong, right])] == [right.best, wrong.best]


def test_parts_do_not_rule_out_a_pose_that_fits_far_better_though_few_agree_in_it() -> None:
    right = pose(tilt=0.1, cost=32.0, agree=3.0, strain=0.9)
    wrong = pose(tilt=-0.3, cost=49.5, agree=10.4, strain=1.0)
    assert standing([wrong, right])[0] == right


def test_covering_reaches_the_far_ends_of_all_intervals() -> None:
    covered = covering([ufloat(10.0, 0.1), ufloat(10.5, 0.2)])
    assert covered.nominal_value == 10.0
    assert HALF_WIDTH_95 * covered.std_dev == 0.5 + HALF_WIDTH_95 * 0.2
    alone = ufloat(10.0, 0.1)
    assert covering([alone]) is alone


@pytest.mark.parametrize(
    ("rim_mm", "pitch_mm", "outside"),
    [
        (281.0, 273.0, False),
        # A shallow groove: half of the cord stands over the rim.
        (281.0, 282.4, False),
        # Over the rim by no more than the fit leaves open.
        (281.0, 283.5, False),
        (260.0, 273.0, True),
    ],
)
def test_a_band_outside_the_rim_shows_that_it_is_no_rim(
    rim_mm: float, pitch_mm: float, outside: bool
) -> None:
    values = {**WHEEL, "rim_radius": rim_mm, "pitch_radius": pitch_mm}
    fit = Fit(values, 0.5 * np.eye(len(values)), 40.0, 1.0)
    band = SimpleNamespace(fit=fit, band=SimpleNamespace(thickness_mm=2.8))
    seen = cast(WheelPicture, SimpleNamespace(references=()))
    assert band_outside_rim(Hypothesis(seen, fit, cast(WheelFit, band), None)) is outside


def test_where_no_band_was_found_none_runs_outside_the_rim() -> None:
    fit = Fit({**WHEEL}, np.eye(len(WHEEL)), 40.0, 1.0)
    seen = cast(WheelPicture, SimpleNamespace(references=()))
    assert not band_outside_rim(Hypothesis(seen, fit, None, None))


def placed_at(
    along_mm: float, angle: float = WHEEL["spindle_angle"], deviation: float = 1e-6, *, vague: bool = False
) -> WheelFit:
    """A fit that leaves so much open, of a spindle in some direction, its parts agreeing on a place."""
    values = {**WHEEL, "spindle_angle": angle}
    fit = Fit(values, deviation**2 * np.eye(len(values)), 40.0, 1.0)
    place = SimpleNamespace(along_mm=along_mm, rivals_mm=(), vague=vague)
    return cast(WheelFit, SimpleNamespace(fit=fit, place=place))


def share_seen(turn: float, carried_mm: float = 0.0) -> float:
    """Doubt of the share of a spindle so far (rad) from the line of sight out of the camera's foot."""
    foot = placed_at(0.0).fit.scene.plane.camera_foot_mm
    away = float(np.arctan2(foot[1], foot[0])) + np.pi
    return float(share_of(placed_at(WHEEL["spindle_distance"] - carried_mm, away + turn)).std_dev)


def test_a_spindle_seen_along_the_line_to_it_is_placed_less_well() -> None:
    assert share_seen(0.1) > 1.5 * share_seen(1.5)


def test_a_fit_carried_off_its_parts_place_is_doubted_only_where_the_parts_tell_little() -> None:
    assert share_seen(0.1, 24.0) > share_seen(0.1, 12.0) > 1.1 * share_seen(0.1)
    # Where the parts tell much, the fit of all of it knows better than the place it began with.
    assert share_seen(1.5, 12.0) == share_seen(1.5)


def test_parts_that_may_agree_by_chance_leave_the_share_open() -> None:
    """All else alike, what the fit leaves open is open far wider."""
    clear, vague = (
        share_of(placed_at(WHEEL["spindle_distance"], deviation=1.0, vague=vague)) for vague in (False, True)
    )
    sure = share_of(placed_at(WHEEL["spindle_distance"])).std_dev
    by_fit, by_chance = (np.sqrt(share.std_dev**2 - sure**2) for share in (clear, vague))
    assert vague.nominal_value == clear.nominal_value
    assert by_chance > 3 * by_fit
