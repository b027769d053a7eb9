"""Named unknowns: order, priors, restarts, and what is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from whirlwise.vision.fit.unknowns import Unknown, UnknownTable, known_about

FREE = Unknown("pitch_radius", 270.0, 3.0)
HELD = known_about("rim_height", 12.0, 4.0)
STARTED_ELSEWHERE = Unknown("card_height", 9.0, 10.0, (5.0, 2.5))


def test_values_bear_their_names_in_order() -> None:
    table = UnknownTable([FREE, HELD, STARTED_ELSEWHERE])
    assert list(table.values(table.start).items()) == [
        ("pitch_radius", 270.0),
        ("rim_height", 12.0),
        ("card_height", 9.0),
    ]
    assert table.scale.tolist() == [3.0, 4.0, 10.0]


@given(st.lists(st.floats(-1e6, 1e6), min_size=3, max_size=3))
def test_priors_are_stretched_by_deviations(vector: list[float]) -> None:
    table = UnknownTable([FREE, HELD, STARTED_ELSEWHERE])
    stretched = table.prior_residuals(np.array(vector))
    np.testing.assert_allclose(stretched, [(vector[1] - 12.0) / 4.0, (vector[2] - 5.0) / 2.5])


def test_without_priors_nothing_is_stretched() -> None:
    table = UnknownTable([FREE])
    assert table.prior_residuals(table.start).shape == (0,)


def test_a_restart_moves_the_start_and_nothing_else() -> None:
    again = UnknownTable([FREE, HELD]).restarted({"rim_height": 15.0, "not_in_this_fit": 1.0})
    assert again.unknowns == (FREE, Unknown("rim_height", 15.0, 4.0, (12.0, 4.0)))


def test_more_unknowns_follow() -> None:
    assert UnknownTable([FREE]).joined([HELD, STARTED_ELSEWHERE]).unknowns == (FREE, HELD, STARTED_ELSEWHERE)


def test_one_name_twice_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^two unknowns of one fit bear the same name$"):
        UnknownTable([FREE, HELD]).joined([FREE])


@pytest.mark.parametrize(
    ("scale", "prior"), [(0.0, None), (-1.0, None), (1.0, (5.0, 0.0)), (1.0, (5.0, -2.0))]
)
def test_scales_and_deviations_must_be_positive(scale: float, prior: tuple[float, float] | None) -> None:
    with pytest.raises(ValueError, match=r"^lean: a scale and a prior's deviation must be positive$"):
        Unknown("lean", 5.0, scale, prior)
