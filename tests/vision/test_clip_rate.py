"""A capture rate is believed, but what speaks against it is said."""

import numpy as np
from uncertainties import ufloat

from whirlwise.vision.clip_rate import rate_remarks
from whirlwise.vision.clip_reading import WheelTurning
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.open.frame_rate import GIVEN, FrameRate

STAMPS = FrameRate(30.0, "the file's time stamps")
NONE = NotMeasured("No wheel.", "Film one.")


def turning(cadence_per_min: float) -> WheelTurning:
    nothing = np.zeros((1, 2))
    cadence = ufloat(cadence_per_min, 0.1)
    return WheelTurning(
        (0.0, 0.0), nothing, ufloat(10, 0.01), cadence, "clockwise", nothing[0], nothing[0], nothing, 0.0
    )


def test_nothing_to_say_of_usual_rates() -> None:
    for cadence_per_min in (14.0, 60.0, 120.0):
        assert rate_remarks(STAMPS, turning(cadence_per_min)) == ()
        assert rate_remarks(FrameRate(240, GIVEN, 240), turning(cadence_per_min)) == ()
    assert rate_remarks(STAMPS, NONE) == ()


def test_a_tag_that_says_otherwise() -> None:
    assert rate_remarks(FrameRate(120, GIVEN, 240), NONE) == (
        "You gave 120 pictures a second, the file's own tag says 240. What you gave was believed; leave "
        "it out if you are not sure (--captured-at).",
    )
    # What the file itself says is no contradiction to itself.
    assert rate_remarks(FrameRate(240, "the file's tag", 240), turning(60)) == ()


def test_a_cadence_that_nobody_treadles() -> None:
    assert rate_remarks(FrameRate(2, GIVEN), turning(4.83)) == (
        "At 2 pictures a second (given by the user) the wheel makes 4.83 turns a minute, which nobody "
        "treadles. Turns and ratio hold at any rate; for the cadence say at which rate it was taken "
        "(--captured-at).",
    )
    assert len(rate_remarks(STAMPS, turning(260))) == 1
