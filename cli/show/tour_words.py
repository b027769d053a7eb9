"""What the tour says between and about the two measurements."""

from typing import Final

from ...calc.facts import USUAL_SLIP_PERCENT
from ...calc.interval import interval_95
from ...calc.quantity import Quantity
from ...calc.ratios import drive_ratio_from_share, slip_percent
from ...calc.twist import per_inch, twist_per_cm
from ...vision.clip_reading import ClipReading
from ...vision.measured import NotMeasured, Outcome
from ...vision.photo_reading import PhotoReading
from .answer import Answer, between
from .rounding import texts

INTRO: Final = Answer(
    says=(
        "A spinner has bought an old wheel at a house clearance. No label, no maker, nobody left to ask. "
        "Which yarns will it spin? That hangs on its drive ratio. (The wheel is invented, the picture and "
        "the clip are rendered, so what it really has is known and told at the end.)",
    )
)
BEFORE_PHOTO: Final = (
    "First a picture. A bank card is taped to the spokes, the band is on and tight. The spinner measured how "
    "far the card stands in front of the band and how thick the band is."
)
BEFORE_CLIP: Final = (
    "Then a clip. The card is off; the spinner treadles for some seconds while the phone looks on from "
    "a shelf."
)
NOT_TOLD: Final = Answer(
    says=(
        "What this cannot tell is how much the band slips, to the tenth of a percent: that takes a second "
        "clip, turned slowly by hand without yarn ('whirlwise guide clip').",
        "Nor the ratios of whirls that are not in the picture.",
        "Nor how old the wheel is, who made it, or whether it is sound: have worn leather, loose joints and "
        "old paint looked at by somebody who knows wheels.",
    ),
    mind=(
        "Before you do the same: card and tape come off before the wheel turns, and fingers, hair and "
        "sleeves stay away from a flyer that turns.",
    ),
)


def photo_ratio(reading: PhotoReading) -> Outcome:
    """Give the first whirl's ratio, or why there is none."""
    if reading.whirls:
        return drive_ratio_from_share(reading.whirls[0].pitch_per_wheel_pitch)
    if isinstance(reading.wheel, NotMeasured):
        return reading.wheel
    return NotMeasured("The whirl was not found.", "Click on its middle: --whirl X,Y.")


def clip_ratio(reading: ClipReading) -> Outcome:
    """Give the flyer's ratio, or why there is none."""
    return reading.flyer if isinstance(reading.flyer, NotMeasured) else reading.flyer.ratio


def compared(from_photo: Outcome, from_clip: Outcome) -> Answer:
    """Hold the picture's ratio against the clip's."""
    if isinstance(from_photo, NotMeasured) or isinstance(from_clip, NotMeasured):
        return Answer(says=("The two cannot be compared, because one of them gave no ratio.",))
    slip = interval_95(slip_percent(from_clip, from_photo))
    usual_low, usual_high = USUAL_SLIP_PERCENT
    agree = slip.low <= usual_high and slip.high >= usual_low
    judged = (
        f"A band slips by {usual_low:.0f} to {usual_high:.0f} % as a rule: the two agree."
        if agree
        else "No band slips like that as a rule: one of the two is wrong, or the band is. Take both again."
    )
    return Answer(
        says=(
            "Two ways to one number. The picture knows the sizes of the circles on which the band runs; the "
            "clip counts what turns, slip and all. Held against each other they put the band's slip at "
            f"{between(slip, '%')}. {judged}",
        )
    )


def twist_at_work(ratio: Outcome, reading: ClipReading, drafting_cm_per_min: Quantity) -> Answer:
    """Reckon the twist at the cadence of the clip."""
    if isinstance(ratio, NotMeasured) or isinstance(reading.wheel, NotMeasured):
        return Answer(says=("Without ratio and cadence there is no twist to reckon.",))
    twist = twist_per_cm(ratio, reading.wheel.cadence_per_min, drafting_cm_per_min)
    drafted = interval_95(drafting_cm_per_min)
    return Answer(
        says=(
            f"What yarn does that make? At this cadence, while {drafted.value:.0f} cm of yarn a minute are "
            f"drafted (give or take {drafted.half_width:.0f}), the yarn gets {between(interval_95(twist))} "
            f"turns per cm or {texts(interval_95(per_inch(twist)))[0]} per inch. The hands, not the wheel, "
            "are what is least sure here. 'whirlwise twist' and 'whirlwise whirls' reckon it for your own "
            "numbers.",
        )
    )


def truth_told(true_pitch_ratio: float, true_ratio_at_work: float, true_cadence_per_min: float) -> Answer:
    """Tell what the invented wheel really has."""
    return Answer(
        says=(
            f"What the wheel really has: a ratio of {true_pitch_ratio:.3f} by its circles, "
            f"{true_ratio_at_work:.3f} with slip in the clip, and a cadence of {true_cadence_per_min:.2f} "
            "turns a minute.",
        )
    )
