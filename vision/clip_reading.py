"""What one clip tells: the result types of :func:`whirlwise.vision.clip.measure_clip`."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat

from .measured import NotMeasured, Outcome
from .open.frame_rate import FrameRate
from .turning.course import Direction
from .turning.rhythm import Rhythm

__all__ = [
    "ClipReading",
    "Direction",
    "FlyerTurning",
    "FrameRate",
    "OrderPeak",
    "Rhythm",
    "SoundTurning",
    "WheelTurning",
]


@dataclass(frozen=True, slots=True)
class WheelTurning:
    """The drive wheel's turning.

    Attributes
    ----------
    hub_px : tuple of float
        The axle in the first picture.
    outline_px : (k, 2) array
        Round the disc whose turning was followed, in the first picture. Evidence, not a measured rim: the
        disc ends where the turning was seen, on the rim or within it.
    turns : UFloat
        Turns along the path: back and forth both count.
    cadence_per_min : UFloat
        Mean turns a minute while it turns.
    direction : str
        As seen in the upright picture.
    times_s : (n,) array
        Real time of each picture since the first.
    angles_rad : (n,) array
        Wheel angle, positive anticlockwise as seen, 0 in the first picture.
    cadence_series : (m, 2) array
        Real time in s and turns a minute, smoothed over a fraction of a turn.
    angle_rms_rad : float
        Scatter of the angle about its smooth course.
    """

    hub_px: tuple[float, float]
    outline_px: NDArray[np.float64]
    turns: UFloat
    cadence_per_min: UFloat
    direction: Direction
    times_s: NDArray[np.float64]
    angles_rad: NDArray[np.float64]
    cadence_series: NDArray[np.float64]
    angle_rms_rad: float


@dataclass(frozen=True, slots=True)
class OrderPeak:
    """One candidate for the ratio: its order and how far it stands above the noise of the spectrum."""

    order: UFloat
    strength: float


@dataclass(frozen=True, slots=True)
class FlyerTurning:
    """The flyer's turning, counted in wheel angle. ``ratio`` is not measured while two candidates stay.

    ``phase_rad`` (n,) is the way that the first candidate turned until each picture, without sign.
    ``outline_px`` (k, 2) runs round the place in the first picture whose changes were followed; ``orders``
    and ``power`` are the order spectrum that was searched: evidence all three. ``sway_rad`` is how its phase
    sways within every turn of the wheel, see :func:`.turning.through_turn.sway_through_turn`; empty where
    that was not looked at.
    """

    turns: Outcome
    ratio: Outcome
    speed_per_min: Outcome
    candidates: tuple[OrderPeak, ...]
    flyer_px: tuple[float, float]
    outline_px: NDArray[np.float64]
    orders: NDArray[np.float64]
    power: NDArray[np.float64]
    phase_rad: NDArray[np.float64]
    sway_rad: tuple[UFloat, ...] = ()


@dataclass(frozen=True, slots=True)
class SoundTurning:
    """What is heard to turn with the wheel.

    Attributes
    ----------
    ratio : Outcome
        Turns for one turn of the wheel, from the sound alone; not measured while a doubt stays.
    candidates : tuple of UFloat
        The ratios that it may be.
    evidence : float
        Natural logarithm of how much likelier the lines are than noise, at their best.
    course : (m, 2) array
        Turns of the wheel, and turns of what is heard.
    """

    ratio: Outcome
    candidates: tuple[UFloat, ...]
    evidence: float
    course: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ClipReading:
    """All that one clip told. ``ratio`` is what pictures and sound say together, where they agree."""

    file: str
    seconds: float
    frames: int
    lost_frames: int
    frame_rate: FrameRate
    wheel: WheelTurning | NotMeasured
    flyer: FlyerTurning | NotMeasured
    rhythm: Rhythm | NotMeasured
    sound: SoundTurning | NotMeasured
    ratio: Outcome
    remarks: tuple[str, ...]
