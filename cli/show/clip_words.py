"""What one clip told, in plain words."""

from typing import Final

from ...calc.facts import DOUBLE_DRIVE_SLIP_PERCENT, USUAL_SLIP_PERCENT
from ...calc.interval import Interval, interval_95
from ...calc.quantity import Quantity
from ...calc.ratios import slip_percent
from ...calc.slip import SlipMeaning, slip_meaning
from ...calc.twist import twist_direction
from ...vision.clip_reading import ClipReading, FlyerTurning, WheelTurning
from ...vision.measured import NotMeasured
from .answer import Answer, Row, between
from .causes import CAUSES, Side
from .not_measured import clip_gaps
from .rhythm_words import rhythm_rows
from .rounding import texts

MIND: Final = (
    "Keep fingers, hair and sleeves away from a flyer that turns.",
    "Take a card off the wheel before it turns; it flies off.",
)
BY_HAND: Final = (
    "Turned slowly by hand without yarn the band hardly slips, so this is the ratio of the wheel itself."
)
TWO_WITNESSES: Final = (
    "Pictures and sound were asked each by itself, and agree; the sound knows no rate of pictures."
)
AT_WORK: Final = (
    "This is the ratio with the band's slip in it. A clip of the wheel turned slowly by hand, without "
    "yarn, shows it without; 'whirlwise slip' tells the slip from the two."
)


def clip_answer(
    reading: ClipReading,
    *,
    known_ratio: Quantity | None = None,
    by_hand: bool = False,
    side: Side | None = None,
) -> Answer:
    """Put a reading of one clip into words."""
    return Answer(
        says=_says(reading, known_ratio),
        rows=_rows(reading),
        trust=_trust(reading, side),
        better=_better(reading, known_ratio, by_hand),
        mind=MIND,
    )


def _says(reading: ClipReading, known_ratio: Quantity | None) -> tuple[str, ...]:
    return (*_ratio_sentences(reading), *_wheel_sentences(reading), *_slip_sentences(reading, known_ratio))


def _ratio_sentences(reading: ClipReading) -> tuple[str, ...]:
    flyer = reading.flyer
    if not isinstance(reading.ratio, NotMeasured):
        value, low, high = texts(interval_95(reading.ratio))
        return (
            f"One turn of the wheel turns the flyer {value} times. "
            f"With 95 % certainty the ratio lies between {low} and {high}.",
        )
    if not isinstance(flyer, NotMeasured) and len(flyer.candidates) > 1:
        either = " or ".join(between(interval_95(candidate.order)) for candidate in flyer.candidates)
        return (f"The clip leaves open which of these ratios is the true one: {either}.",)
    return ("The drive ratio could not be measured from this clip.",)


def _wheel_sentences(reading: ClipReading) -> tuple[str, ...]:
    wheel = reading.wheel
    if isinstance(wheel, NotMeasured):
        return ()
    cadence = between(interval_95(wheel.cadence_per_min))
    if wheel.direction == "both":
        return (f"The wheel turned back and forth, at a mean of {cadence} turns a minute.",)
    return (f"The wheel turned {wheel.direction}, at a mean of {cadence} turns a minute.",)


def _slip_sentences(reading: ClipReading, known_ratio: Quantity | None) -> tuple[str, ...]:
    if known_ratio is None or isinstance(reading.ratio, NotMeasured):
        return ()
    slip = interval_95(slip_percent(reading.ratio, known_ratio))
    return (
        f"Against the ratio that you gave, the band slips by {between(slip, '%')}: {_slip_meaning(slip)}.",
    )


def _slip_meaning(slip: Interval) -> str:
    _, usual_high = USUAL_SLIP_PERCENT
    double_low, double_high = DOUBLE_DRIVE_SLIP_PERCENT
    if slip.high < 0:
        return "less than nothing, so the ratio given belongs to another whirl"
    if slip.low <= 0:
        return "too little to be told from none"
    if slip.value <= usual_high:
        return "usual for a single band"
    if double_low <= slip.value <= double_high:
        return "usual in double drive while yarn is held back, much for a single band"
    return (
        "more than usual for a single band; look at its tension, or whether the ratio belongs to this whirl"
    )


def _rows(reading: ClipReading) -> tuple[Row, ...]:
    rows: list[Row] = []
    if isinstance(reading.wheel, WheelTurning):
        rows += [
            Row("turns of the wheel", interval_95(reading.wheel.turns)),
            Row("cadence, a minute", interval_95(reading.wheel.cadence_per_min)),
        ]
    if isinstance(reading.flyer, FlyerTurning):
        rows += [
            Row(name, interval_95(outcome))
            for name, outcome in (
                ("turns of the flyer", reading.flyer.turns),
                ("flyer speed, a minute", reading.flyer.speed_per_min),
            )
            if not isinstance(outcome, NotMeasured)
        ]
    rows += _witness_rows(reading)
    if not isinstance(reading.rhythm, NotMeasured):
        rows += rhythm_rows(reading.rhythm)
    return tuple(rows)


def _witness_rows(reading: ClipReading) -> list[Row]:
    """Give the ratio of pictures and sound each, where there are both."""
    seen = reading.flyer if isinstance(reading.flyer, NotMeasured) else reading.flyer.ratio
    heard = reading.sound if isinstance(reading.sound, NotMeasured) else reading.sound.ratio
    if isinstance(seen, NotMeasured) or isinstance(heard, NotMeasured):
        return []
    return [
        Row("ratio, from the pictures", interval_95(seen)),
        Row("ratio, from the sound", interval_95(heard)),
    ]


def _trust(reading: ClipReading, side: Side | None) -> tuple[str, ...]:
    rate = reading.frame_rate
    lost = f", {reading.lost_frames} lost" if reading.lost_frames else ", none lost"
    pictures = (
        f"{reading.frames} pictures over {reading.seconds:.1f} s{lost}; taken at {rate.capture_per_s:.4g} "
        f"a second (from {rate.source})."
    )
    return (
        pictures,
        *_witness_sentences(reading),
        *_strength_sentences(reading),
        *twist_sentences(reading, side),
        *reading.remarks,
    )


def _witness_sentences(reading: ClipReading) -> tuple[str, ...]:
    if not _witness_rows(reading) or isinstance(reading.ratio, NotMeasured):
        return ()
    return (TWO_WITNESSES,)


def _strength_sentences(reading: ClipReading) -> tuple[str, ...]:
    flyer = reading.flyer
    if isinstance(flyer, NotMeasured) or isinstance(flyer.ratio, NotMeasured) or not flyer.candidates:
        return ()
    return (
        "The flyer's turning is counted against the wheel's angle, not against the clock, so neither the "
        "rate of the pictures nor an uneven foot upsets it; its trace stands "
        f"{flyer.candidates[0].strength:.0f} times above the noise.",
    )


def twist_sentences(reading: ClipReading, side: Side | None) -> tuple[str, ...]:
    """Say which twist the wheel puts in, under what must hold for that."""
    if isinstance(reading.wheel, NotMeasured) or reading.wheel.direction == "both":
        return ()
    twist = twist_direction(reading.wheel.direction, seen_from_orifice=side != "behind")
    if side is None:
        return (
            "If you filmed from the side of the orifice and the band is not crossed, this puts in "
            f"{twist} twist.",
        )
    return (f"Turned like this the wheel puts in {twist} twist, if the band is not crossed.",)


def _better(reading: ClipReading, known_ratio: Quantity | None, by_hand: bool) -> tuple[str, ...]:
    measured = not isinstance(reading.ratio, NotMeasured)
    slip_advice = BY_HAND if by_hand else AT_WORK
    slips = _slips_much(reading, known_ratio)
    advice = (*((slip_advice,) if measured and known_ratio is None else ()), *((CAUSES,) if slips else ()))
    return (*map(str, clip_gaps(reading)), *advice)


def _slips_much(reading: ClipReading, known_ratio: Quantity | None) -> bool:
    if known_ratio is None or isinstance(reading.ratio, NotMeasured):
        return False
    return slip_meaning(interval_95(slip_percent(reading.ratio, known_ratio))) is SlipMeaning.MUCH
