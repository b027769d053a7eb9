"""Hand-held clips: the movement that a hand makes is found and taken out."""

from dataclasses import replace

import numpy as np
from tests.vision.drawn_clips import DrawnClip

from whirlwise.vision.find.steady import hand_of

SMALL = DrawnClip(frames=40, noise=1.5)


def test_a_hand_is_found_and_taken_out() -> None:
    gray = replace(SMALL, shake_px=2.0).pictures()
    hand = hand_of(gray)
    assert hand is not None
    # Two directions of 2 px root mean square each, against a first picture that is off by itself.
    assert 1.0 < hand.sway_px < 9.0
    assert hand.steady(gray)
    left = hand_of(gray)
    assert left is not None
    assert left.sway_px < 0.25


def test_a_stand_stays_a_stand_though_a_wheel_turns() -> None:
    hand = hand_of(SMALL.pictures())
    assert hand is not None
    assert hand.sway_px < 0.2


def test_nothing_to_hold_on_to() -> None:
    assert hand_of(np.full((20, 90, 160), 128, np.uint8)) is None
