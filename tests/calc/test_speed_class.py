"""Slow, medium and fast: by the limits that custom draws, and between them both neighbours."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from whirlwise.calc.interval import Interval
from whirlwise.calc.speed_class import speed_class


def exactly(value: float) -> Interval:
    return Interval(value, value, value)


@pytest.mark.parametrize(
    ("highest", "names"),
    [
        # Common practice, no source: top about 10-11 slow, 13-14 medium, 16-20 fast; between two both.
        (4.0, ("slow",)),
        (9.9, ("slow",)),
        (10.5, ("slow",)),
        (11.0, ("slow",)),
        (11.1, ("slow", "medium")),
        (12.9, ("slow", "medium")),
        (13.0, ("medium",)),
        (14.0, ("medium",)),
        (15.0, ("medium", "fast")),
        (16.0, ("fast",)),
        (20.0, ("fast",)),
        (35.0, ("fast",)),
    ],
)
def test_classes_by_the_highest_ratio(highest: float, names: tuple[str, ...]) -> None:
    found = speed_class(exactly(highest))
    assert found.names == found.possible == names
    assert found.straddled == ()


def test_an_interval_over_a_limit_says_so() -> None:
    found = speed_class(Interval(13.8, 12.7, 14.9))
    assert found.names == ("medium",)
    assert found.possible == ("slow", "medium", "fast")
    assert found.straddled == (13.0, 14.0)
    # An interval that only touches a limit does not reach over it.
    assert speed_class(Interval(13.5, 13.0, 14.0)).straddled == ()


@pytest.mark.parametrize(
    ("highest", "lowest", "expected"),
    [
        # Common practice, no source: a medium wheel begins at 5-6, a fast one at 6-8.
        (13.5, exactly(5.5), "usual"),
        (13.5, exactly(4.0), "lower"),
        (13.5, Interval(4.8, 4.5, 5.1), "usual"),
        (13.5, exactly(9.0), "higher"),
        (18.0, exactly(5.5), "lower"),
        (18.0, exactly(7.0), "usual"),
        (18.0, exactly(8.5), "higher"),
        (10.0, exactly(5.0), None),
        (15.0, exactly(6.0), None),
        (13.5, None, None),
    ],
)
def test_the_low_end(highest: float, lowest: Interval | None, expected: str | None) -> None:
    assert speed_class(exactly(highest), lowest).low_end == expected


@given(st.floats(1, 40), st.floats(0, 5), st.floats(0, 5), st.floats(0, 5))
def test_a_wider_interval_never_rules_a_class_out(value: float, down: float, up: float, more: float) -> None:
    narrow = speed_class(Interval(value, value - down, value + up))
    wide = speed_class(Interval(value, value - down - more, value + up + more))
    assert set(narrow.names) <= set(narrow.possible) <= set(wide.possible)
    assert set(narrow.straddled) <= set(wide.straddled)


@given(st.floats(1, 40), st.floats(1, 40))
def test_a_higher_ratio_is_never_a_slower_class(one: float, other: float) -> None:
    order = ["slow", "medium", "fast"]
    low, high = (speed_class(exactly(each)).names for each in sorted((one, other)))
    assert order.index(low[0]) <= order.index(high[0])
    assert order.index(low[-1]) <= order.index(high[-1])
