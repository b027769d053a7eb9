"""One whirl, one name: invented wheels with known answers."""

import numpy as np
import pytest

from whirlwise.calc.fusing import fuse
from whirlwise.calc.naming import under_one_name
from whirlwise.calc.wheel import Dimension, Reading

PITCH = Dimension("pitch_mm")


def reading(name: str, values: dict[Dimension, float], doubt: float = 0.01) -> Reading:
    return Reading(name, values, doubt**2 * np.eye(len(values)), {})


def photo(*labels: str) -> Reading:
    ratios = {Dimension("ratio", label): 11.0 + 2 * k for k, label in enumerate(labels)}
    return reading("photo-1", {PITCH: 440.0, **ratios})


def clip(ratio: float = 11.05, label: str = "whirl") -> Reading:
    return reading("clip-1", {Dimension("ratio", label): ratio}, 1e-4)


def side(*pitches_mm: float, name: str = "profile-1") -> Reading:
    return reading(name, {Dimension("pitch_mm", f"step {k}"): p for k, p in enumerate(pitches_mm, 1)}, 0.003)


def labels(readings: tuple[Reading, ...]) -> list[list[str]]:
    return [[d.part for d in each.values] for each in readings]


def test_the_whirl_that_nobody_named_is_the_groove_that_fits() -> None:
    found = under_one_name([photo("whirl"), side(48.0, 40.0, 30.0), clip()], nameless="whirl")
    assert found.nameless_is == "step 2"
    assert labels(found.readings) == [["wheel", "step 2"], ["step 1", "step 2", "step 3"], ["step 2"]]
    assert [seat.groove for seat in found.seats] == ["step 2"]
    # The clip's ratio then tells the wheel's diameter, and so every other step's ratio.
    fused = fuse(found.readings)
    other = fused.interval_95(Dimension("ratio", "step 3"))
    assert other is not None
    assert other.value == pytest.approx(11.05 * 40 / 30, rel=0.002)
    assert other.half_width / other.value == pytest.approx(1.96 * 0.003 * 2**0.5, rel=0.1)


def test_a_whirl_with_a_name_keeps_it() -> None:
    found = under_one_name([photo("mine"), side(48.0, 40.0), clip(label="mine")], nameless="whirl")
    assert found.nameless_is is None
    assert labels(found.readings) == [["wheel", "mine"], ["step 1", "mine"], ["mine"]]


def test_in_double_drive_a_clip_counts_the_flyer() -> None:
    found = under_one_name([photo("flyer whirl", "bobbin whirl"), side(40.0), clip()], nameless="whirl")
    assert found.nameless_is == "flyer whirl"
    assert labels(found.readings) == [
        ["wheel", "flyer whirl", "bobbin whirl"],
        ["flyer whirl"],
        ["flyer whirl"],
    ]
    # Where the bobbin leads there is no such thing to be sure of.
    led = under_one_name([photo("flyer whirl"), clip()], nameless="whirl", drive="bobbin-led")
    assert led.nameless_is is None


def test_where_it_cannot_be_told_the_label_stays() -> None:
    for readings in ([photo("whirl"), clip()], [photo("whirl"), side(41.0, 40.0)], [clip()], []):
        found = under_one_name(readings, nameless="whirl")
        assert found.nameless_is is None
        assert found.readings == tuple(readings)
    # Two side pictures that call it differently.
    two = [photo("whirl"), side(48.0, 40.0), side(40.0, 30.0, name="profile-2")]
    assert under_one_name(two, nameless="whirl").nameless_is is None


def test_no_reading_tells_one_thing_twice() -> None:
    both = reading("hand-1", {Dimension("pitch_mm", "a"): 40.0, Dimension("pitch_mm", "b"): 41.0})
    assert both.renamed("a", "b") is both
    assert list(both.renamed("a", "c").values) == [Dimension("pitch_mm", "c"), Dimension("pitch_mm", "b")]
