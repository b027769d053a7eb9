"""Which poses stand before the spindle's parts are looked for."""

import pytest

from whirlwise.vision.photo_pose import Begun, explaining_all

SINGLE, DOUBLE = Begun([]), Begun([], double=True)


@pytest.mark.parametrize(
    ("starts", "stand"),
    [
        ((SINGLE, DOUBLE), [False, True]),
        ((DOUBLE, DOUBLE), [True, True]),
        # Two cords that fit no pose as two loops may be a cord and something else.
        ((SINGLE, SINGLE), [True, True]),
    ],
)
def test_a_pose_that_leaves_out_a_cord_falls_to_one_that_explains_both(
    starts: tuple[Begun, Begun], stand: list[bool]
) -> None:
    assert explaining_all(starts, surely_double=True) == stand


def test_where_one_cord_may_be_all_both_poses_stand() -> None:
    assert explaining_all((SINGLE, DOUBLE), surely_double=False) == [True, True]
