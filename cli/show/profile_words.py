"""What one side-on picture told, in plain words."""

from typing import Final

from ...calc.interval import interval_95
from ...vision.measured import NotMeasured, Outcome
from ...vision.photo_reading import ReferenceReading
from ...vision.profile_reading import ProfileReading, StepReading
from .answer import Answer, Row, between
from .not_measured import profile_gaps
from .photo_words import IN_PLANE_MM, KIND_WORDS

#: Half of an interval above this share of its value is mostly the reference's place in depth.
ROUGH: Final = 0.01

MIND: Final = (
    "Take the card away before the wheel turns, and keep fingers, hair, sleeves off a turning flyer.",
    "Old paint and varnish may hold lead: don't scrape a whirl to see its wood.",
)
NEARER_LEVEL: Final = (
    "The doubt is mostly how far the reference stands before or behind the middle of the spindle: measure "
    "that with a rule and give it as --offset, such as --offset=-12+-1mm where the card lies 12 mm below it."
)


def profile_answer(reading: ProfileReading) -> Answer:
    """Put a reading of one side-on picture into words."""
    return Answer(
        says=_says(reading),
        rows=tuple(row for step in reading.steps for row in _rows(step)),
        trust=_trust(reading),
        better=_better(reading),
        mind=MIND,
    )


def _says(reading: ProfileReading) -> tuple[str, ...]:
    if not reading.steps:
        return ("No groove could be measured in this picture.",)
    count = len(reading.steps)
    found = f"{'One groove was' if count == 1 else f'{count} grooves were'} found along the spindle."
    return (found, *map(_sentence, reading.steps))


def _sentence(step: StepReading) -> str:
    name = step.label.capitalize()
    if not isinstance(step.pitch_mm, NotMeasured):
        return f"{name}: the band runs on a circle {between(interval_95(step.pitch_mm), 'mm')} across."
    if not isinstance(step.groove_mm, NotMeasured):
        return f"{name}: the groove is {between(interval_95(step.groove_mm), 'mm')} across."
    return f"{name}: seen, but not measured."


def _rows(step: StepReading) -> tuple[Row, ...]:
    return (
        _row(f"{step.label}, across the edge", step.outer_mm),
        _row(f"{step.label}, groove", step.groove_mm),
        _row(f"{step.label}, where the band runs", step.pitch_mm),
    )


def _row(name: str, outcome: Outcome) -> Row:
    return Row(name, None if isinstance(outcome, NotMeasured) else interval_95(outcome), "mm")


def _trust(reading: ProfileReading) -> tuple[str, ...]:
    seen = (
        "Each size is the mean of what is seen on both sides of the spindle's axis. That the camera looks "
        "past the rounding of a whirl, not at its widest place, is reckoned in."
    )
    return (
        *map(_reference_sentence, reading.references),
        *((seen,) if reading.steps else ()),
        *reading.remarks,
    )


def _reference_sentence(reference: ReferenceReading) -> str:
    what = KIND_WORDS.get(reference.kind, reference.kind)
    offset = interval_95(reference.offset_mm)
    place = "level with"
    if abs(offset.value) >= IN_PLANE_MM:
        place = f"{abs(offset.value):.0f} mm {'in front of' if offset.value > 0 else 'behind'}"
    return (
        f"The scale comes from {what}, taken to stand {place} the middle of the spindle, "
        f"give or take {offset.half_width:.1f} mm."
    )


def _better(reading: ProfileReading) -> tuple[str, ...]:
    grooves = [interval_95(s.groove_mm) for s in reading.steps if not isinstance(s.groove_mm, NotMeasured)]
    rough = any(groove.half_width > ROUGH * groove.value for groove in grooves)
    return (*map(str, profile_gaps(reading)), *((NEARER_LEVEL,) if rough else ()))
