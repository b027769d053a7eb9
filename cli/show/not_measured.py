"""What a reading could not tell: every reason and remedy in it, each once."""

from collections.abc import Iterable

from ...calc.interval import reciprocal_interval_95
from ...vision.clip_reading import ClipReading
from ...vision.measured import NotMeasured
from ...vision.photo_reading import PhotoReading
from ...vision.profile_reading import ProfileReading

RATIO_UNBOUNDED = NotMeasured(
    "The whirl is seen so unclearly that the ratio has no upper bound.",
    "Take another picture, closer and from a side where the whirl is not hidden.",
)


def photo_gaps(reading: PhotoReading) -> list[NotMeasured]:
    """List what one picture left unknown."""
    found: list[object] = [reading.no_ratio, reading.band_plane, reading.wheel]
    found += [reading.centre_distance_mm, reading.drive]
    if not isinstance(reading.band_plane, NotMeasured):
        found.append(reading.band_plane.distance_mm)
    if not isinstance(reading.wheel, NotMeasured):
        found += [reading.wheel.outer_mm, reading.wheel.pitch_mm, reading.wheel.out_of_round_percent]
    for whirl in reading.whirls:
        found += [whirl.outer_mm, whirl.groove_mm, whirl.pitch_mm]
        if reciprocal_interval_95(whirl.pitch_per_wheel_pitch) is None:
            found.append(RATIO_UNBOUNDED)
    return _each_once(found)


def clip_gaps(reading: ClipReading) -> list[NotMeasured]:
    """List what one clip left unknown."""
    found: list[object] = [reading.wheel, reading.flyer, reading.rhythm, reading.sound, reading.ratio]
    if not isinstance(reading.flyer, NotMeasured):
        found += [reading.flyer.turns, reading.flyer.ratio, reading.flyer.speed_per_min]
    if not isinstance(reading.sound, NotMeasured):
        found.append(reading.sound.ratio)
    if not isinstance(reading.rhythm, NotMeasured):
        found.append(reading.rhythm.slowest_at_deg)
    return _each_once(found)


def profile_gaps(reading: ProfileReading) -> list[NotMeasured]:
    """List what one side-on picture left unknown."""
    found: list[object] = [reading.axis, *reading.missing]
    if not isinstance(reading.axis, NotMeasured):
        found.append(reading.axis.distance_mm)
    for step in reading.steps:
        found += [step.outer_mm, step.groove_mm, step.pitch_mm]
    return _each_once(found)


def _each_once(found: Iterable[object]) -> list[NotMeasured]:
    return list(dict.fromkeys(outcome for outcome in found if isinstance(outcome, NotMeasured)))
