"""What one picture told, in plain words."""

from typing import Final

from ...calc.interval import Interval, interval_95, reciprocal_interval_95
from ...vision.measured import NotMeasured, Outcome
from ...vision.photo_reading import PhotoReading, ReferenceReading, WheelReading, WhirlReading
from .answer import Answer, Row, between
from .not_measured import photo_gaps
from .rounding import texts

#: A ratio known worse than this (half-width over value) is called rough, with what would do better.
ROUGH: Final = 0.02
#: A reference within this of the band plane is called in it.
IN_PLANE_MM: Final = 0.5

KIND_WORDS: Final = {
    "card": "a bank card (85.60 x 53.98 mm)",
    "a4": "a sheet of A4",
    "a5": "a sheet of A5",
    "letter": "a sheet of US Letter",
    "rule": "the ticks of a rule",
    "coin": "a coin",
    "marker": "a square marker",
    "sheet": "our printed sheet",
    "points": "two points with the distance that you gave",
}

BEFORE_TREADLING: Final = (
    "Take card, paper and tape off the wheel before you treadle.",
    "Keep fingers, hair and sleeves away from a wheel or flyer that turns.",
)
SECOND_VIEW: Final = (
    "A second picture from another side, or closer to the whirl, narrows the interval most; "
    "'whirlwise guide photo' shows how."
)
PHOTO_AND_SLIP: Final = (
    "The ratio is that of the two circles on which the band runs. A band that slips turns the flyer a little "
    "less; a clip ('whirlwise clip') counts what really turns."
)
NO_REFERENCE_USED: Final = "No reference was used: sizes stay open, the ratio needs none."


def photo_answer(reading: PhotoReading) -> Answer:
    """Put a reading of one picture into words."""
    return Answer(
        says=_says(reading),
        rows=_rows(reading),
        trust=_trust(reading),
        better=_better(reading),
        mind=BEFORE_TREADLING,
    )


def ratio_interval(whirl: WhirlReading) -> Interval | None:
    """Give the 95 % interval of a whirl's drive ratio."""
    return reciprocal_interval_95(whirl.pitch_per_wheel_pitch)


def _says(reading: PhotoReading) -> tuple[str, ...]:
    ratios = [(whirl, ratio) for whirl in reading.whirls if (ratio := ratio_interval(whirl))]
    if not ratios:
        return ("The drive ratio could not be measured from this picture.",)
    return tuple(ratio_sentence(whirl.label, ratio) for whirl, ratio in ratios)


def ratio_sentence(label: str, ratio: Interval, *, named: bool = False) -> str:
    """Say what one turn of the wheel does by way of a whirl, and by way of which one if that is ``named``."""
    turner = "bobbin" if "bobbin" in label else "flyer"
    value, low, high = texts(ratio)
    name = label if label.endswith("whirl") else f"whirl {label}"
    start = f"On the {name}, one" if named else "One"
    return (
        f"{start} turn of the wheel turns the {turner} {value} times. "
        f"With 95 % certainty the ratio lies between {low} and {high}."
    )


def _rows(reading: PhotoReading) -> tuple[Row, ...]:
    rows: list[Row] = []
    if isinstance(reading.wheel, WheelReading):
        rows += [
            _row("wheel, across the rim", reading.wheel.outer_mm),
            _row("wheel, where the band runs", reading.wheel.pitch_mm),
            _row("wheel, out of round", reading.wheel.out_of_round_percent, "%"),
        ]
    for whirl in reading.whirls:
        rows += [
            _row(f"{whirl.label}, across the edge", whirl.outer_mm),
            _row(f"{whirl.label}, groove", whirl.groove_mm),
            _row(f"{whirl.label}, where the band runs", whirl.pitch_mm),
        ]
    rows.append(_row("axle to spindle", reading.centre_distance_mm))
    return tuple(row for row in rows if row.interval is not None)


def _row(name: str, outcome: Outcome, unit: str = "mm") -> Row:
    return Row(name, None if isinstance(outcome, NotMeasured) else interval_95(outcome), unit)


def _trust(reading: PhotoReading) -> tuple[str, ...]:
    found = isinstance(reading.wheel, WheelReading)
    without = found and not reading.references and not _sized(reading)
    # What was not measured is said where it says what would do better, and once is enough.
    gaps = set(map(str, photo_gaps(reading)))
    return (
        *map(_reference_sentence, reading.references),
        *((NO_REFERENCE_USED,) if without else ()),
        *_rim_sentences(reading),
        *_plane_sentences(reading),
        *(remark for remark in reading.remarks if remark not in gaps),
    )


def _sized(reading: PhotoReading) -> bool:
    """Whether sizes are known, be it without a reference."""
    return isinstance(reading.wheel, WheelReading) and not isinstance(reading.wheel.outer_mm, NotMeasured)


def _reference_sentence(reference: ReferenceReading) -> str:
    what = KIND_WORDS.get(reference.kind, reference.kind)
    offset = interval_95(reference.offset_mm)
    place = "in the plane of the band"
    if abs(offset.value) >= IN_PLANE_MM:
        side = "in front of" if offset.value > 0 else "behind"
        place = f"{abs(offset.value):.0f} mm {side} the plane of the band"
    return f"The scale comes from {what}, taken to stand {place}, give or take {offset.half_width:.1f} mm."


def _rim_sentences(reading: PhotoReading) -> tuple[str, ...]:
    if not isinstance(reading.wheel, WheelReading):
        return ()
    rim = reading.wheel.evidence
    runs = [run for run in reading.band_runs if run.points_used]
    straight = "1 straight run" if len(runs) == 1 else f"{len(runs)} straight runs"
    band = f" and {straight} of the band" if runs else ""
    return (
        f"The rim was followed over {rim.arc_deg:.0f} of 360 degrees at {len(rim.points_px)} points, which "
        f"lie {rim.rms_px:.2f} pixels off the fitted outline; it{band} went into the fit.",
    )


def _plane_sentences(reading: PhotoReading) -> tuple[str, ...]:
    if isinstance(reading.band_plane, NotMeasured):
        return ()
    tilt = interval_95(reading.band_plane.tilt_deg)
    return (f"The camera looked {between(tilt, 'degrees')} off square at the wheel; that is reckoned in.",)


def _better(reading: PhotoReading) -> tuple[str, ...]:
    ratio = ratio_interval(reading.whirls[0]) if reading.whirls else None
    # Of a picture without a wheel there is no interval to be narrowed.
    found = isinstance(reading.wheel, WheelReading)
    rough = found and (ratio is None or ratio.half_width > ROUGH * ratio.value)
    second = reading.advice or (SECOND_VIEW if rough else None)
    return (
        *map(str, photo_gaps(reading)),
        *((second,) if second else ()),
        *((PHOTO_AND_SLIP,) if ratio is not None else ()),
    )
