"""The second witness of a clip: the sound's own ratio, and what pictures and sound say together.

Sound needs the wheel's angle from the pictures and nothing else of them: the flyer may be out of sight. Each
witness is asked by itself; they are put together only where they agree.
"""

import math
import pathlib
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, ufloat

from .clip_reading import FlyerTurning, SoundTurning
from .errors import UnreadableFileError
from .measured import NotMeasured, Outcome
from .open.frame_rate import SAME_RATE
from .open.sound import SoundBands, read_sound
from .turning.course import Turns
from .turning.sound_flyer import SAME, HeardFlyer, hear_flyer

Floats = NDArray[np.float64]

#: Sound and pictures of one recording last equally long but for the last picture and the last block of sound.
SAME_LENGTH_S, SAME_LENGTH_SHARE = 0.3, 0.02
#: Slow motion from here on.
SLOW = 1.05
#: Witnesses disagree if they are so many standard uncertainties apart.
DISAGREE = 3.0
#: Ratios so close are the same one, read a little differently; both are covered.
NEARLY_SAME = 0.01
FILM_AGAIN = "Film again, for longer and closer to the flyer."
NOT_ASKED = NotMeasured("The sound was not asked for.", "Ask for the whole clip to have it listened to.")
SPOILT = NotMeasured(
    "The file's sound cannot be decoded, so it was left out.", "Copy the clip again from the camera."
)
TWICE_OR_NOT = NotMeasured(
    "The sound leaves open whether the flyer turns once or twice as fast, because two like arms sound alike.",
    "Film so that the flyer is well seen, with a strip of light tape on one arm.",
)
CLOCK_OR_WHEEL = NotMeasured(
    "What is heard may go by the clock (a fan, music) as well as by the wheel, which turns so evenly.",
    "Film again without other sounds, while the wheel speeds up and slows down.",
)
CLOCK_UNSURE = NotMeasured(
    "The sound's clock is not the pictures' clock, so what is heard cannot be counted against the wheel.",
    "Film at the camera's usual rate, and use the file as the camera saved it.",
)
HEARD_EITHER = "In the sound something turns {either} times while the wheel turns once."
TIE_BROKEN = "The pictures left open which of two ratios is the true one; the sound decides it."
ONLY_HEARD = "The ratio comes from the sound alone; the pictures do not tell it."
DISAGREEMENT = (
    "Pictures and sound disagree on the ratio ({seen} and {heard} turns), so they were not put together."
)
BOTH_COVERED = (
    "Pictures and sound differ a little on the ratio ({seen} and {heard} turns); the interval covers both."
)
LENGTHS = (
    "The sound lasts {sound:.2f} s, the pictures {pictures:.2f} s: their clocks do not agree. If this is "
    "slow motion, say at which rate it was taken (--captured-at)."
)
SOUND_AS_STORED = (
    "The sound lasts as long as the file plays. If you hear it at its natural pitch, the clip was not taken "
    "at the rate that you gave; then leave it out (--captured-at)."
)


@dataclass(frozen=True, slots=True)
class Witnesses:
    """What both witnesses say: the flyer as the pictures tell it (a tie broken by ear), the sound, both."""

    flyer: FlyerTurning | NotMeasured
    sound: SoundTurning | NotMeasured
    ratio: Outcome
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Clock:
    """The pictures' clock.

    Attributes
    ----------
    times_s : (n,) array
        Real time of each picture since the first.
    stored_s : float
        Length from the first to the last time stamp as stored; longer in slow motion.
    given : bool
        Whether the rate behind ``times_s`` is the user's word.
    """

    times_s: Floats
    stored_s: float
    given: bool = False

    @property
    def stretch(self) -> float:
        """How many times longer the file plays than reality."""
        return self.stored_s / float(self.times_s[-1])


def with_sound(
    sound: SoundBands | NotMeasured, clock: Clock, turned: Turns, flyer: FlyerTurning | NotMeasured
) -> Witnesses:
    """Ask the sound track of a clip, and put both witnesses together; without sound the flyer is alone."""
    if isinstance(sound, NotMeasured):
        return Witnesses(flyer, sound, _ratio_seen(flyer), ())
    times_s, clock_remarks = _real_times(sound, clock)
    if times_s is None:
        return Witnesses(flyer, CLOCK_UNSURE, _ratio_seen(flyer), clock_remarks)
    seen = [] if isinstance(flyer, NotMeasured) else [float(peak.order.n) for peak in flyer.candidates]
    heard = hear_flyer(sound, times_s, clock.times_s, turned.path_rad, seen)
    if isinstance(heard, NotMeasured):
        return Witnesses(flyer, heard, _ratio_seen(flyer), clock_remarks)
    turning = _turning(heard, turned, seen, sure_of_clock=not clock_remarks and clock.stretch < SLOW)
    flyer, tie = _tie_broken(flyer, turning, turned)
    ratio, remarks = _together(_ratio_seen(flyer), turning.ratio)
    either = " or ".join(f"{each.n:.4g}" for each in turning.candidates)
    open_ = (HEARD_EITHER.format(either=either),) if isinstance(turning.ratio, NotMeasured) else ()
    return Witnesses(flyer, turning, ratio, (*clock_remarks, *open_, *tie, *remarks))


def sound_of(path: pathlib.Path | None) -> SoundBands | NotMeasured:
    """Read the sound of a clip, if it is asked for; a spoilt one is no reason to give up the pictures."""
    if path is None:
        return NOT_ASKED
    try:
        return read_sound(path)
    except UnreadableFileError:
        return SPOILT


def _real_times(sound: SoundBands, clock: Clock) -> tuple[Floats | None, tuple[str, ...]]:
    """Real time of each moment since the first picture; None where it cannot be known; and remarks."""
    since_s = sound.times_s - sound.pictures_start_s
    if _as_long(sound.seconds, clock.stored_s):
        doubted = clock.given and abs(clock.stretch - 1) > SAME_RATE
        return since_s / clock.stretch, (SOUND_AS_STORED,) if doubted else ()
    if clock.stretch > SLOW:
        # The sound of slow motion may be kept at its own speed, and is then over long before the pictures.
        return (since_s, ()) if _as_long(sound.seconds, float(clock.times_s[-1])) else (None, ())
    return since_s, (LENGTHS.format(sound=sound.seconds, pictures=clock.stored_s),)


def _as_long(sound_s: float, pictures_s: float) -> bool:
    return abs(sound_s - pictures_s) < max(SAME_LENGTH_S, SAME_LENGTH_SHARE * pictures_s)


def _turning(heard: HeardFlyer, turned: Turns, seen: list[float], *, sure_of_clock: bool) -> SoundTurning:
    """What is heard as a ratio, where no doubt is left but what its interval holds."""
    own = _ratio(heard, turned, 1)
    twice = [s for s in seen if abs(own.n / 2 / s - 1) < SAME]
    once = [s for s in seen if abs(own.n / s - 1) < SAME]
    half = _ratio(heard, turned, 2)
    course = _course(heard)
    if once:
        return SoundTurning(own, (own,), heard.evidence, course)
    if twice:
        # Two like arms are heard twice a turn.
        return SoundTurning(half, (half,), heard.evidence, course / (1, 2))
    if not sure_of_clock:
        return SoundTurning(CLOCK_UNSURE, (own, half), heard.evidence, course)
    if heard.by_clock:
        return SoundTurning(CLOCK_OR_WHEEL, (own, half), heard.evidence, course)
    if not heard.half_silent:
        return SoundTurning(TWICE_OR_NOT, (own, half), heard.evidence, course)
    return SoundTurning(own, (own,), heard.evidence, course)


def _ratio(heard: HeardFlyer, turned: Turns, times: int) -> UFloat:
    """Turns of the flyer over turns of the wheel, if it is heard so many times a turn."""
    ratio = heard.course.ratio / times
    flyer_turns = ufloat(ratio * turned.turns.n, heard.course.turns_std / times)
    return (flyer_turns + ratio * turned.shutter_turns) / turned.turns


def _course(heard: HeardFlyer) -> Floats:
    return np.column_stack([heard.course.way_turns, heard.course.turned])


def _ratio_seen(flyer: FlyerTurning | NotMeasured) -> Outcome:
    return flyer if isinstance(flyer, NotMeasured) else flyer.ratio


def _tie_broken(
    flyer: FlyerTurning | NotMeasured, sound: SoundTurning, turned: Turns
) -> tuple[FlyerTurning | NotMeasured, tuple[str, ...]]:
    """Choose of the flyer's candidates the one that is heard, unless another is heard twice a turn."""
    if isinstance(flyer, NotMeasured) or len(flyer.candidates) < 2 or isinstance(sound.ratio, NotMeasured):
        return flyer, ()
    agree = [peak for peak in flyer.candidates if abs(sound.ratio.n / peak.order.n - 1) < SAME]
    others = [peak for peak in flyer.candidates if abs(sound.ratio.n / 2 / peak.order.n - 1) < SAME]
    if len(agree) != 1 or others:
        return flyer, ()
    ratio = agree[0].order
    chosen = replace(
        flyer,
        ratio=ratio,
        turns=ratio * turned.turns,
        speed_per_min=ratio * turned.cadence_per_min,
        candidates=(agree[0],),
    )
    return chosen, (TIE_BROKEN,)


def _together(seen: Outcome, heard: Outcome) -> tuple[Outcome, tuple[str, ...]]:
    """Ratio from both witnesses where they agree, from the one that tells it where the other is silent."""
    if isinstance(heard, NotMeasured):
        return seen, ()
    if isinstance(seen, NotMeasured):
        return heard, (ONLY_HEARD,)
    apart = heard - seen
    said = {"seen": f"{seen.n:.4g}", "heard": f"{heard.n:.4g}"}
    if abs(apart.n) > NEARLY_SAME * seen.n:
        return NotMeasured(DISAGREEMENT.format(**said), FILM_AGAIN), ()
    if abs(apart.n) > DISAGREE * apart.s:
        wide = ufloat(0, abs(apart.n) / 2)
        return (seen + heard) / 2 + wide, (BOTH_COVERED.format(**said),)
    return _fused(seen, heard), ()


def _fused(one: UFloat, other: UFloat) -> UFloat:
    """Mean of two numbers with the least uncertainty; what they share (the wheel's turns) is kept.

    The share of the second is (u1^2 - c) / (u1^2 + u2^2 - 2 c), c their covariance: JCGM 100:2008, 5.2, with
    the derivative of the variance set to zero.
    """
    spread = float((other - one).s) ** 2
    common = (float(one.s) ** 2 + float(other.s) ** 2 - spread) / 2
    share = 0.5 if spread == 0 else min(max((float(one.s) ** 2 - common) / spread, 0.0), 1.0)
    return one * (1 - share) + other * share if math.isfinite(share) else one
