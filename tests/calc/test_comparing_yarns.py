"""Which yarns wheels spin: by hand, against the map of one wheel's yarns, and by what more doubt may do."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import nominal_value, ufloat

from whirlwise.calc.comparing_yarns import Hands, YarnsOfWheel, as_good_as_first, yarn_wish, yarns_compared
from whirlwise.calc.ladder import CadenceRange
from whirlwise.calc.quantity import Quantity
from whirlwise.calc.spinnable import spinnable
from whirlwise.calc.yarn_counts import tex_of

STEADY = CadenceRange(60, 60)
#: A foot's own unsteadiness is the least reach that is reckoned with.
LEAST_REACH = 1.03**0.5


def one(ratio: Quantity, tex: Quantity, hands: Hands) -> str:
    (wheel,) = yarns_compared({"wheel": {"whirl": ratio}}, [yarn_wish("yarn", tex, hands)], hands)
    return wheel.yarns[0].spins


def test_the_ratio_that_a_yarn_asks_for() -> None:
    # Ne 16 at a multiplier of 3 to 5: 12 to 20, 16 turns an inch between; at 254 cm (100 in) and 50 turns of
    # the wheel a minute two inches for a turn, so ratios of 24 to 40, 32 in the middle.
    hands = Hands(CadenceRange(50, 50), 254.0, ufloat(4.0, 1 / 1.959964))
    ratios = yarn_wish("fine", tex_of(16.0, "Ne"), hands).ratios
    assert (ratios.low, ratios.value, ratios.high) == pytest.approx((24, 32, 40), rel=1e-6)
    # 25 to 100 turns of the wheel are 50 as factors go.
    wide = Hands(CadenceRange(25, 100), 254.0, ufloat(4.0, 1 / 1.959964))
    assert yarn_wish("fine", tex_of(16.0, "Ne"), wide).ratios.value == pytest.approx(32)
    for ratio, steady, changing in ((25.0, "yes", "yes"), (20.0, "no", "yes"), (11.0, "no", "no")):
        assert one(ratio, tex_of(16.0, "Ne"), hands) == steady
        assert one(ratio, tex_of(16.0, "Ne"), wide) == changing


@given(st.floats(4, 30), st.floats(20, 2000), st.floats(100, 600), st.floats(1.5, 5), st.floats(0.01, 0.3))
def test_as_the_map_of_the_wheel_says(
    ratio: float, tex: float, drafting: float, multiplier: float, share: float
) -> None:
    usual = ufloat(multiplier, multiplier * share)
    (mapped,) = spinnable(
        {"whirl": ratio}, cadence_per_min=60.0, drafting_cm_per_min=drafting, multiplier=usual
    )
    spins = one(ratio, tex, Hands(STEADY, drafting, usual))
    # Twist goes with the root of the count, so a foot's unsteadiness of the ratio counts twice in tex.
    room = LEAST_REACH**2
    if mapped.tex.low <= tex <= mapped.tex.high:
        assert spins == "yes"
    elif not mapped.tex.low / room / 1.0001 <= tex <= mapped.tex.high * room * 1.0001:
        assert spins == "no"


@given(st.floats(5, 20), st.floats(30, 900), st.floats(1e-6, 0.1), st.floats(1, 3))
def test_more_doubt_never_makes_it_surer(ratio: float, tex: float, doubt: float, more: float) -> None:
    hands = Hands(CadenceRange(55, 70), 250.0, ufloat(4.0, 0.5))
    less_sure = Hands(hands.cadence, ufloat(250.0, 250 * doubt * more), hands.multiplier)
    before = one(ufloat(ratio, ratio * doubt), tex, hands)
    for after in (
        one(ufloat(ratio, ratio * doubt * more), tex, hands),
        one(ufloat(ratio, ratio * doubt), tex, less_sure),
    ):
        assert (before, after) not in {("no", "yes"), ("perhaps", "yes"), ("perhaps", "no")}


@given(st.floats(5, 20), st.floats(30, 900), st.floats(100, 500))
def test_units_do_not_change_what_is_spun(ratio: float, tex: float, drafting: float) -> None:
    # Twice the drafting speed at twice the cadence is the same twist: only their quotient counts.
    usual = ufloat(4.0, 0.5)
    slow = one(ratio, tex, Hands(CadenceRange(55, 70), drafting, usual))
    assert slow == one(ratio, tex, Hands(CadenceRange(110, 140), 2 * drafting, usual))


def test_the_wheel_that_spins_most_comes_first() -> None:
    hands = Hands(CadenceRange(55, 70), 250.0, ufloat(4.0, 0.5))
    wheels: dict[str, dict[str, Quantity]] = {"slow": {"a": 5.0}, "both": {"a": 5.0, "b": 14.0}}
    wishes = [yarn_wish(name, tex, hands) for name, tex in (("rug", 900.0), ("sock", 100.0))]
    order = yarns_compared(wheels, wishes, hands)
    assert [wheel.name for wheel in order] == ["both", "slow"]
    assert [(each.whirl, each.spins) for each in order[0].yarns] == [("a", "yes"), ("b", "yes")]
    assert [each.spins for each in order[1].yarns] == ["yes", "no"]
    assert as_good_as_first(order) == ()
    finest, thickest = order[0].singles_tex
    assert finest < 100 < 900 < thickest
    # Without a wish they stay as they were given.
    assert [wheel.name for wheel in yarns_compared(wheels, [], hands)] == ["slow", "both"]


def test_wheels_that_doubt_does_not_tell_apart() -> None:
    hands = Hands(STEADY, 250.0, 4.0)
    wish = yarn_wish("yarn", 100.0, hands)
    needed = nominal_value(wish.ratios.value)
    wheels: dict[str, dict[str, Quantity]] = {
        "sure": {"a": needed},
        "near": {"a": ufloat(needed * 1.02, 0.5)},
    }
    order: tuple[YarnsOfWheel, ...] = yarns_compared(wheels, [wish], hands)
    assert [wheel.yarns[0].spins for wheel in order] == ["yes", "perhaps"]
    assert as_good_as_first(order) == ("near",)
