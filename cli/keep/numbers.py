"""Which numbers of a measurement go into a wheel's file, and under which names.

Only what was measured goes in, and nothing twice: where a wheel's pitch diameter and a ratio are known, the
whirl's pitch diameter follows from them.
"""

from collections.abc import Iterable
from typing import Final

from uncertainties import UFloat, ufloat

from ...calc.ratios import drive_ratio_from_share
from ...calc.slip import BY_HAND_SLIP
from ...calc.wheel import WHEEL, Dimension, What
from ...vision.clip_reading import ClipReading
from ...vision.measured import NotMeasured, Outcome
from ...vision.photo_reading import PhotoReading, WheelReading
from ...vision.profile_reading import ProfileReading

Numbers = dict[Dimension, UFloat]

BY_HAND_CAUSE: Final = "slip without load"


def photo_numbers(reading: PhotoReading) -> Numbers:
    """Give the numbers of a picture of a whole wheel, with their correlations."""
    found: list[tuple[What, str, Outcome]] = [("centre_distance_mm", WHEEL, reading.centre_distance_mm)]
    wheel = reading.wheel
    if isinstance(wheel, WheelReading):
        found += [("outer_mm", WHEEL, wheel.outer_mm), ("pitch_mm", WHEEL, wheel.pitch_mm)]
    sized = isinstance(wheel, WheelReading) and not isinstance(wheel.pitch_mm, NotMeasured)
    for whirl in reading.whirls:
        ratio = drive_ratio_from_share(whirl.pitch_per_wheel_pitch)
        found += [
            ("ratio", whirl.label, ratio),
            ("outer_mm", whirl.label, whirl.outer_mm),
            ("groove_mm", whirl.label, whirl.groove_mm),
        ]
        if not sized:
            found.append(("pitch_mm", whirl.label, whirl.pitch_mm))
    return measured_numbers(found)


def clip_numbers(reading: ClipReading, label: str, *, by_hand: bool) -> Numbers:
    """Give the numbers of a clip: the ratio of the circles if it was turned by hand, else the one at work."""
    ratio = reading.ratio
    if isinstance(ratio, NotMeasured):
        return {}
    if not by_hand:
        return {Dimension("ratio_at_work", label): ratio}
    return {Dimension("ratio", label): ratio_without_load(ratio)}


def ratio_without_load(ratio: UFloat) -> UFloat:
    """Give the ratio of the circles, of turns counted without yarn: the band slips hardly at all."""
    return ratio * ufloat(1.0, BY_HAND_SLIP, BY_HAND_CAUSE)


def profile_numbers(reading: ProfileReading) -> Numbers:
    """Give the sizes of every groove of a whirl seen side-on."""
    found: list[tuple[What, str, Outcome]] = []
    for step in reading.steps:
        found += [
            ("outer_mm", step.label, step.outer_mm),
            ("groove_mm", step.label, step.groove_mm),
            ("pitch_mm", step.label, step.pitch_mm),
        ]
    return measured_numbers(found)


def measured_numbers(found: Iterable[tuple[What, str, Outcome]]) -> Numbers:
    """Keep of (what, part, outcome) what was measured, for the readings of any command."""
    return {
        Dimension(what, part): outcome
        for what, part, outcome in found
        if not isinstance(outcome, NotMeasured)
    }
