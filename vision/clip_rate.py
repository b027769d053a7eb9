"""Whether the rate at which a clip is taken to have been captured fits what else is known of it."""

from .clip_reading import WheelTurning
from .measured import NotMeasured
from .open.frame_rate import SAME_RATE, FrameRate

#: Turns of a wheel a minute between the slowest turning by hand and the fastest treadling (common practice,
#: no source).
SLOWEST_PER_MIN, FASTEST_PER_MIN = 10.0, 200.0
TAG_SAYS_OTHERWISE = (
    "You gave {given:.4g} pictures a second, the file's own tag says {tagged:.4g}. What you gave was "
    "believed; leave it out if you are not sure (--captured-at)."
)
NOBODY_TREADLES = (
    "At {rate:.4g} pictures a second ({source}) the wheel makes {cadence:.3g} turns a minute, which "
    "nobody treadles. Turns and ratio hold at any rate; for the cadence say at which rate it was taken "
    "(--captured-at)."
)


def rate_remarks(rate: FrameRate, wheel: WheelTurning | NotMeasured) -> tuple[str, ...]:
    """Say where the capture rate contradicts the file's tag, or makes a cadence that nobody treadles."""
    said = []
    tagged = rate.tagged_per_s
    if rate.is_given and tagged is not None and abs(rate.capture_per_s / tagged - 1) > SAME_RATE:
        said.append(TAG_SAYS_OTHERWISE.format(given=rate.capture_per_s, tagged=tagged))
    if isinstance(wheel, WheelTurning):
        cadence = float(wheel.cadence_per_min.n)
        if not SLOWEST_PER_MIN <= cadence <= FASTEST_PER_MIN:
            said.append(NOBODY_TREADLES.format(rate=rate.capture_per_s, source=rate.source, cadence=cadence))
    return tuple(said)
