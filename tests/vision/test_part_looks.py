"""Looks at a drawn spindle: alike ones are taken once, and tell what a look of their own would."""

import numpy as np
import pytest
from tests.vision.drawn_wheels import WHEEL, wheel_with_card

from whirlwise.vision.find.round_parts import find_round_parts
from whirlwise.vision.fit import part_looks
from whirlwise.vision.fit.part_looks import PartLooks
from whirlwise.vision.fit.scene import Scene

RIM_MM = WHEEL["rim_radius"]
#: A third of a degree, and 8 mm along the line hub - whirl.
NEARLY_THE_SAME = {
    **WHEEL,
    "tilt_x": WHEEL["tilt_x"] + 0.006,
    "spindle_distance": WHEEL["spindle_distance"] - 8.0,
}


@pytest.fixture
def taken(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """One entry for each look that was really taken."""
    looks: list[int] = []

    def counted(*told: object) -> object:
        looks.append(len(looks))
        return find_round_parts(*told)  # type: ignore[arg-type]

    monkeypatch.setattr(part_looks, "find_round_parts", counted)
    return looks


def test_looks_that_are_alike_are_taken_once(taken: list[int]) -> None:
    looks, scene = PartLooks(wheel_with_card(), RIM_MM), Scene(NEARLY_THE_SAME)
    looks.parts(Scene(WHEEL), 0)
    shared = looks.parts(scene, 0)
    assert len(taken) == 1
    # A look of its own finds each clear part in the same place, to within what it claims.
    own = find_round_parts(wheel_with_card(), scene.plane, scene.spindle_mm, RIM_MM)
    for part in own[:3]:
        away_mm = [
            np.hypot(*(other.centre_mm - part.centre_mm)) + abs(other.radius_mm - part.radius_mm)
            for other in shared
        ]
        nearest = shared[int(np.argmin(away_mm))]
        assert min(away_mm) < 3 * np.hypot(part.centre_doubt_mm, nearest.centre_doubt_mm)


@pytest.mark.parametrize(
    "moved",
    [
        {"tilt_y": WHEEL["tilt_y"] + np.radians(1.0)},
        {"spindle_distance": WHEEL["spindle_distance"] - 0.1 * RIM_MM},
        {"spindle_angle": WHEEL["spindle_angle"] + 0.08},
    ],
)
def test_a_look_elsewhere_is_taken_anew(moved: dict[str, float], taken: list[int]) -> None:
    looks = PartLooks(wheel_with_card(), RIM_MM)
    looks.parts(Scene(WHEEL), 0)
    looks.parts(Scene({**WHEEL, **moved}), 0)
    assert len(taken) == 2


def test_a_second_look_is_not_the_first_one(taken: list[int]) -> None:
    looks = PartLooks(wheel_with_card(), RIM_MM)
    looks.parts(Scene(WHEEL), 0)
    looks.parts(Scene(WHEEL), 1)
    assert len(taken) == 2
