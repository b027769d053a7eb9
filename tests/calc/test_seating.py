"""Which groove of a whirl carries the band: invented wheels with known answers."""

import numpy as np
import pytest

from whirlwise.calc.fusing import fuse
from whirlwise.calc.seating import Seat, seated
from whirlwise.calc.wheel import Dimension, Reading

PITCH, RATIO = Dimension("pitch_mm"), Dimension("ratio", "whirl")


def photo(ratio: float, doubt: float, name: str = "photo-1") -> Reading:
    return Reading(name, {PITCH: 440.0, RATIO: ratio}, np.diag([1e-5, doubt**2]), {})


def profile(*pitches_mm: float, doubt: float = 0.003) -> Reading:
    values = {Dimension("pitch_mm", f"step {k}"): pitch for k, pitch in enumerate(pitches_mm, 1)}
    values |= {Dimension("outer_mm", f"step {k}"): p + 7 for k, p in enumerate(pitches_mm, 1)}
    return Reading("profile-1", values, doubt**2 * np.eye(2 * len(pitches_mm)), {})


def test_the_only_groove_that_fits_is_taken() -> None:
    readings, seats = seated([photo(11.2, 0.02), profile(30.0, 40.0, 48.0)])
    assert seats == (Seat("profile-1", "step 2", "whirl"),)
    fused = fuse(readings)
    ratio = fused.interval_95(RATIO)
    assert ratio is not None
    # 440 mm to 40 mm, known as well as the two diameters: sqrt(1e-5 + 9e-6) and hardly better by the photo.
    assert ratio.value == pytest.approx(11.0, rel=0.001)
    assert ratio.half_width / ratio.value == pytest.approx(1.96 * np.sqrt(1.9e-5), rel=0.05)
    outer = fused.interval_95(Dimension("outer_mm", "whirl"))
    assert outer is not None
    assert outer.value == pytest.approx(47)
    # The other grooves have ratios of their own; the wheel's diameter gains a little from the fused groove.
    small = fused.interval_95(Dimension("ratio", "step 1"))
    assert small is not None
    assert small.value == pytest.approx(440 / 30, rel=0.001)


def test_the_order_does_not_matter() -> None:
    pair = [photo(11.0, 0.02), profile(30.0, 40.0)]
    assert seated(pair)[1] == seated(pair[::-1])[1]


@pytest.mark.parametrize(
    ("reading", "whirl"),
    [
        (photo(11.2, 0.02), profile(38.5, 40.0)),  # two grooves might be it
        (photo(11.2, 0.02), profile(30.0, 48.0)),  # none is near
        (photo(11.2, 0.2), profile(30.0, 40.0, 48.0)),  # the picture hardly knows
        (photo(11.2, 0.02), Reading("profile-1", {Dimension("groove_mm", "step 1"): 40.0}, np.eye(1), {})),
        (Reading("clip-1", {RATIO: 11.0}, np.array([[1e-8]]), {}), profile(30.0, 40.0)),  # no size known
    ],
)
def test_where_it_cannot_be_told_nothing_is_taken(reading: Reading, whirl: Reading) -> None:
    readings, seats = seated([reading, whirl])
    assert seats == ()
    assert readings == (reading, whirl)


def test_pictures_that_contradict_each_other_decide_nothing() -> None:
    quarrel = [photo(11.0, 0.01, "photo-1"), photo(14.7, 0.01, "photo-2")]
    assert seated([*quarrel, profile(30.0, 40.0)])[1] == ()


def test_a_groove_named_like_the_whirl_stays() -> None:
    named = Reading("profile-1", {Dimension("pitch_mm", "whirl"): 40.0}, np.array([[1e-5]]), {})
    assert seated([photo(11.0, 0.02), named])[1] == ()
