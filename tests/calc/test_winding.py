"""Winding on and filling bobbins, against handbooks of the mills, a turn-by-turn count, and closed forms."""

from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, ufloat

from whirlwise.calc.bobbin import AsItPulls, Bobbin, ByTheDraw, Continuous, Manner, filling, twist_at
from whirlwise.calc.drive_sizes import DriveSizes, effects
from whirlwise.calc.interval import interval_95
from whirlwise.calc.winding import (
    BobbinLed,
    DoubleDrive,
    Drive,
    FlyerLed,
    draw_in_cm,
    twist_by_the_draw_per_cm,
    twist_taken_over_end_per_cm,
    twist_while_drafting_per_cm,
    twist_while_winding_per_cm,
    wound_length_cm,
    wraps_per_cm,
)

ratios = st.floats(3, 25)
diameters_mm = st.floats(15, 120)
DRIVES: list[Drive] = [FlyerLed(12.0), BobbinLed(12.0), DoubleDrive(10.0, 13.0)]


# --- figures of the mills --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bobbin_mm", "difference", "traveller_per_min", "share_percent"),
    [(46.0, 103.80, 13_396, 0.77), (25.0, 190.99, 13_309, 1.41)],
)
def test_wind_on_at_the_ring(
    bobbin_mm: float, difference: float, traveller_per_min: float, share_percent: float
) -> None:
    # Rieter, Rikipedia, short-staple spinning, winding of cops: spindle at 13 500 r/min, 15 m/min, wound at
    # 46 and 25 mm. The bobbin is driven and the traveller lags, as in a bobbin-led wheel; its minute is our
    # turn.
    assert 1500 * wraps_per_cm(bobbin_mm) == pytest.approx(difference, abs=0.005)
    twist = twist_while_drafting_per_cm(BobbinLed(13_500.0), 1500.0, bobbin_mm)
    assert 1500 * twist == pytest.approx(traveller_per_min, abs=0.5)
    assert 100 * difference / 13_500 == pytest.approx(share_percent, abs=0.005)
    # Pulled off over its end, the yarn has the spindle's own turns again.
    over_end = twist_taken_over_end_per_cm(BobbinLed(13_500.0), twist, bobbin_mm)
    assert 1500 * over_end == pytest.approx(13_500)


@pytest.mark.parametrize(("bobbin_mm", "turns_per_m"), [(25.0, 12.73), (106.0, 3.003)])
def test_a_turn_for_each_wrap(bobbin_mm: float, turns_per_m: float) -> None:
    # The same: 191 turns a minute at 15 m/min are 12.73 turns/m; a bobbin of 106 mm takes 333 mm a wrap.
    assert 100 * wraps_per_cm(bobbin_mm) == pytest.approx(turns_per_m, abs=0.005)
    assert wound_length_cm(106.0, 1.0, 0.0) == pytest.approx(33.3, abs=0.05)


def test_turns_lost_between_empty_and_full() -> None:
    # Draper, Facts and Figures for Textile Manufacturers, 1896: with a bobbin of 1.5 inch round 0.67 turns an
    # inch are lost, with 3 inches 0.33, "mean 0.50". That is the mean of the two ends. Over all the yarn it
    # is 0.44, because more of it lies near the outside: the two answer different questions.
    empty_mm, full_mm = 1.5 / pi * 25.4, 3.0 / pi * 25.4
    ends = [2.54 * wraps_per_cm(empty_mm), 2.54 * wraps_per_cm(full_mm)]
    assert ends == pytest.approx([0.67, 0.33], abs=0.005)
    assert np.mean([float(nominal_value(end)) for end in ends]) == pytest.approx(0.50)
    assert 2.54 * Bobbin(empty_mm, full_mm).mean_wraps_per_cm == pytest.approx(0.444, abs=5e-4)


# --- second ways -----------------------------------------------------------------------------------------


def counted_turn_by_turn(drive: Drive, bobbin_mm: float, drafted_cm: float) -> float:
    """Twist by following wheel, flyer and bobbin through 2000 small steps of one turn of the wheel.

    In every step the driven part turns by its ratio and the braked part by what is left once the drafted
    yarn has been laid round the bobbin. Twist is the flyer's turns over the yarn.
    """
    flyer_turns, laid_cm, steps = 0.0, 0.0, 2000
    for _ in range(steps):
        wraps = drafted_cm / steps / (pi * bobbin_mm / 10)
        match drive:
            case FlyerLed(ratio):
                flyer, bobbin = ratio / steps, ratio / steps - wraps
            case BobbinLed(ratio):
                flyer, bobbin = ratio / steps - wraps, ratio / steps
            case DoubleDrive(ratio, _):
                flyer, bobbin = ratio / steps, ratio / steps + wraps
        flyer_turns += float(nominal_value(flyer))
        laid_cm += abs(float(nominal_value(bobbin - flyer))) * pi * bobbin_mm / 10
    assert laid_cm == pytest.approx(drafted_cm)
    return flyer_turns / drafted_cm


@pytest.mark.parametrize("drive", DRIVES, ids=lambda drive: type(drive).__name__)
@given(bobbin_mm=st.floats(20, 110), drafted_cm=st.floats(1, 15))
def test_twist_by_counting_turns(drive: Drive, bobbin_mm: float, drafted_cm: float) -> None:
    found = twist_while_drafting_per_cm(drive, drafted_cm, bobbin_mm)
    assert found == pytest.approx(counted_turn_by_turn(drive, bobbin_mm, drafted_cm))


@given(st.floats(200, 700), st.floats(30, 80), st.floats(0.5, 0.95), st.floats(0, 5), diameters_mm)
def test_the_drive_wheel_falls_out_of_double_drive(
    wheel_mm: float, flyer_mm: float, share: float, band_mm: float, bobbin_mm: float
) -> None:
    # Closed form: (b + t) / (pi d (f - b)), b and f the diameters on which the band rests.
    whirl_mm = flyer_mm * share
    drive = DriveSizes(wheel_mm, flyer_mm, whirl_mm, band_mm).drive()
    expected = 10 * (whirl_mm + band_mm) / (pi * bobbin_mm * (flyer_mm - whirl_mm))
    assert twist_while_winding_per_cm(drive, bobbin_mm) == pytest.approx(expected, rel=1e-6)


@given(ratios, st.floats(1.02, 1.6), diameters_mm)
def test_drafting_as_fast_as_it_draws_in(flyer_ratio: float, faster: float, bobbin_mm: float) -> None:
    for drive in (FlyerLed(flyer_ratio), DoubleDrive(flyer_ratio, flyer_ratio * faster)):
        most_cm = draw_in_cm(drive, bobbin_mm)
        assert twist_while_drafting_per_cm(drive, most_cm, bobbin_mm) == pytest.approx(
            twist_while_winding_per_cm(drive, bobbin_mm)
        )


@pytest.mark.parametrize("drive", DRIVES, ids=lambda drive: type(drive).__name__)
def test_over_the_end_comes_what_the_bobbin_turned(drive: Drive) -> None:
    # A still bobbin and yarn pulled off its end: what is left of the twist is the bobbin's own turns.
    twist = twist_while_drafting_per_cm(drive, 4.0, 40.0)
    wraps = 4.0 * wraps_per_cm(40.0)
    bobbin_turns = {FlyerLed: 12.0 - wraps, BobbinLed: 12.0, DoubleDrive: 10.0 + wraps}[type(drive)]
    assert 4.0 * twist_taken_over_end_per_cm(drive, twist, 40.0) == pytest.approx(bobbin_turns)


def test_as_it_pulls_by_monte_carlo() -> None:
    ours = interval_95(
        twist_while_winding_per_cm(DoubleDrive(ufloat(10.0, 0.05), ufloat(13.0, 0.06)), ufloat(35, 0.5))
    )
    rng = np.random.default_rng(5)
    flyer, bobbin = rng.normal(10, 0.05, 400_000), rng.normal(13, 0.06, 400_000)
    drawn = flyer / (bobbin - flyer) * 10 / (pi * rng.normal(35, 0.5, 400_000))
    assert ours.low == pytest.approx(np.quantile(drawn, 0.025), rel=5e-3)
    assert ours.high == pytest.approx(np.quantile(drawn, 0.975), rel=5e-3)


# --- the bobbin fills ------------------------------------------------------------------------------------


@given(st.floats(15, 60), st.floats(1.1, 4), st.floats(0, 1))
def test_yarn_fills_the_room_evenly(empty_mm: float, times: float, share: float) -> None:
    bobbin = Bobbin(empty_mm, empty_mm * times)
    ring = bobbin.diameter_mm(share) ** 2 - empty_mm**2
    assert ring == pytest.approx(share * ((empty_mm * times) ** 2 - empty_mm**2), abs=1e-6 * empty_mm**2)


@given(st.floats(15, 60), st.floats(1.1, 4))
def test_mean_over_all_the_yarn(empty_mm: float, times: float) -> None:
    bobbin = Bobbin(empty_mm, empty_mm * times)
    middles = (np.arange(4000) + 0.5) / 4000
    diameters = np.sqrt(empty_mm**2 + middles * ((empty_mm * times) ** 2 - empty_mm**2))
    assert bobbin.mean_wraps_per_cm == pytest.approx(np.mean(10 / (pi * diameters)), rel=1e-5)


def course(drive: Drive, manner: Manner) -> list[float]:
    points = filling(drive, manner, Bobbin(30.0, 90.0), [0.0, 0.25, 0.5, 0.75, 1.0])
    return [float(nominal_value(point.twist_per_cm)) for point in points]


def test_why_twist_falls_in_double_drive() -> None:
    # Let go, the twist falls as 1 / diameter: three times as thick, a third of the twist.
    twists = course(DoubleDrive(10.0, 13.0), AsItPulls())
    assert twists == sorted(twists, reverse=True)
    assert twists[0] / twists[-1] == pytest.approx(3)
    # Counted by the draw, only what goes in while winding on falls: 10/3 wraps' worth.
    drawn = course(DoubleDrive(10.0, 13.0), ByTheDraw(60.0, 15.0))
    assert drawn[0] - drawn[-1] == pytest.approx(10 / 3 * 10 / pi * (1 / 30 - 1 / 90))
    assert drawn[-1] > 10.0 * 15.0 / 60.0


def test_what_happens_to_twist_in_the_other_drives() -> None:
    assert course(FlyerLed(12.0), Continuous(4.0)) == pytest.approx([3.0] * 5)
    assert course(DoubleDrive(12.0, 15.0), Continuous(2.0)) == pytest.approx([6.0] * 5)
    # Bobbin-led it rises, as fewer wraps are lost: by 0.0707 turns/cm here.
    rising = course(BobbinLed(12.0), Continuous(4.0))
    assert rising == sorted(rising)
    assert rising[-1] - rising[0] == pytest.approx(10 / pi * (1 / 30 - 1 / 90))
    # By the draw, flyer-led, one turn a wrap goes in while winding on.
    drawn = course(FlyerLed(12.0), ByTheDraw(60.0, 15.0))
    assert drawn[0] - drawn[-1] == pytest.approx(10 / pi * (1 / 30 - 1 / 90))


def test_the_pull_weakens_and_quickens() -> None:
    points = filling(FlyerLed(12.0), Continuous(4.0), Bobbin(30.0, 90.0), [0.0, 1.0])
    assert [nominal_value(point.pull_percent) for point in points] == pytest.approx([100, 100 / 3])
    assert points[1].draw_in_cm / points[0].draw_in_cm == pytest.approx(3)


def test_more_than_the_wheel_draws_in() -> None:
    # By hand: pi x 3 cm x 3 turns are 28.3 cm.
    with pytest.raises(ValueError, match=r"the wheel draws in 28\.3 cm for one of its turns, not 30\.0 cm"):
        twist_while_drafting_per_cm(DoubleDrive(10.0, 13.0), 30.0, 30.0)


def test_a_bobbin_that_lags_in_double_drive_winds_nothing() -> None:
    with pytest.raises(ValueError, match="the bobbin must turn faster than the flyer"):
        DoubleDrive(13.0, 10.0)
    with pytest.raises(ValueError, match="a full bobbin is thicker"):
        Bobbin(90.0, 30.0)


# --- band and slip ---------------------------------------------------------------------------------------


def test_a_thicker_band_twists_less_flyer_led_and_more_in_double_drive() -> None:
    # By hand: flyer-led (560.5+2)/(560+2) x (40+2)/(40+2.5): 1.1 % less.
    single = effects(DriveSizes(560.0, 40.0, None, 2.0), Continuous(4.0), 30.0)[0]
    assert single.twist_percent == pytest.approx(100 * (562.5 / 562 * 42 / 42.5 - 1))
    assert single.twist_percent < 0
    # Double, as it pulls: (b + t) grows from 37 to 37.5: 1.35 % more, and so much less drawn in for its
    # ratio.
    double = effects(DriveSizes(560.0, 45.0, 35.0, 2.0), AsItPulls(), 30.0)[0]
    assert double.twist_percent == pytest.approx(100 * (37.5 / 37 - 1))
    assert double.draw_in_percent < 0


def test_slip_of_either_groove() -> None:
    sizes = DriveSizes(560.0, 45.0, 35.0, 2.0)
    _, flyer, bobbin = effects(sizes, AsItPulls(), 30.0)
    assert (flyer.cause, bobbin.cause) == ("flyer slips more", "bobbin slips more")
    # By hand, ratios 562/47 and 562/37: the bobbin's one percent comes off a difference of 27 % of the
    # flyer's.
    lead = (1 / 37 - 1 / 47) * 47
    assert flyer.twist_percent == pytest.approx(100 * (0.99 * lead / (lead + 0.01) - 1), rel=1e-6)
    assert bobbin.twist_percent == pytest.approx(100 * (lead / (lead - 0.01 * 47 / 37) - 1), rel=1e-6)
    assert flyer.draw_in_percent > 0 > bobbin.draw_in_percent


def test_effects_flyer_led_are_those_of_the_ratio() -> None:
    thicker, slip = effects(DriveSizes(560.0, 40.0, None, 2.0), ByTheDraw(60.0, 12.0), 30.0)
    assert slip.cause == "flyer slips more"
    held = 562 / 42 * 12 / 60
    whole = held + 10 / (30 * pi)
    assert slip.twist_percent == pytest.approx(-held / whole)
    assert thicker.draw_in_percent == pytest.approx(100 * (562.5 / 562 * 42 / 42.5 - 1))


def test_a_band_needs_a_whirl() -> None:
    with pytest.raises(ValueError, match="a band needs a whirl"):
        DriveSizes(560.0, None, None, 2.0)


@given(st.floats(0.01, 2), st.floats(0, 2), st.sampled_from([AsItPulls(), ByTheDraw(60.0, 15.0)]))
def test_more_doubt_never_narrows_the_twist(doubt: float, more: float, manner: Manner) -> None:
    drive = DoubleDrive(10.0, 13.0)
    narrow = interval_95(twist_at(drive, manner, ufloat(40, doubt)))
    wide = interval_95(twist_at(drive, manner, ufloat(40, doubt + more)))
    assert wide.half_width >= narrow.half_width


@given(ratios, st.floats(5, 100), st.floats(1, 40), diameters_mm)
def test_inches_change_nothing(ratio: float, draw: float, treadles: float, bobbin_mm: float) -> None:
    # Everything in inches by hand, then turned to cm: the same twist.
    in_cm = twist_by_the_draw_per_cm(FlyerLed(ratio), draw * 2.54, treadles, bobbin_mm)
    per_inch = ratio * treadles / draw + 1 / (pi * bobbin_mm / 25.4)
    assert in_cm * 2.54 == pytest.approx(per_inch)
