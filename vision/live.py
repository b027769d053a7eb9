"""Cadence, turns and ratio while the wheel turns, from pictures that keep coming.

The last seconds of pictures are kept. In them the wheel is found once, as in a clip; from then on its angle
is followed block by block, each block joined to the last by the pictures that both hold. The ratio takes
longer to reckon and more turns to tell, so it is left to whoever was named for that and taken up when it is
there.

What this cannot do: a camera that moves, or one that is moved: then the wheel is lost and looked for again.
"""

from collections import deque
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Protocol

import cv2
import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat

from .clip import ClipSettings, measure_frames
from .clip_reading import ClipReading, WheelTurning
from .measured import NotMeasured, Outcome
from .open.capture import Snapshot
from .open.clip import ClipFrames
from .open.frame_rate import FrameRate
from .turning.polar import TurningPlane, angular_harmonics, cut_out, levelled
from .turning.smoothing import scatter_about_course
from .turning.turning_count import TurningCount
from .turning.wheel_angle import HARMONICS, RADII, follow_wheel

Floats = NDArray[np.float64]

#: Pictures of so many seconds are kept, and at most so many: memory stays the same however long it runs.
KEPT_S, MOST_PICTURES = 14.0, 900
#: The wheel is looked for in so many seconds, and followed in so many.
SEARCH_S, FOLLOW_S = 5.0, 4.0
#: Looking for it takes a second or two, so after a search in vain so many seconds pass.
SEARCH_AGAIN_S = 2.0
#: Something moves where a hundredth of the picture changes so many times as much as its middling part; the
#: noise of a still picture makes it four times (99th against 50th percentile of a normal distribution).
MOVES = 6.0
#: A wheel that cannot be followed so many times running is looked for again.
PATIENCE = 3
#: A turning texture explains at least this share of what changes.
LEAST_COHERENCE = 0.08
#: The ratio is asked for after so many turns, and again after so many seconds.
RATIO_TURNS, RATIO_AGAIN_S = 7.0, 20.0
#: An angle is never known better than this (rad): compression and the read-out of rows.
LEAST_STD_RAD = 0.004

NOT_YET = NotMeasured(
    "No turning wheel is seen yet.", "Turn it, show all of it, squarely, and keep the camera still."
)
RESTS = NotMeasured("The wheel rests or is hidden.", "Turn it, and keep out of the picture.")
RATIO_NOT_YET = NotMeasured(
    "The ratio is not known yet.",
    "Keep treadling; show the flyer, with a strip of light tape on one of its arms.",
)


@dataclass(frozen=True, slots=True)
class LiveReading:
    """What is known at one moment.

    Attributes
    ----------
    time_s : float
        Since the first picture.
    cadence_per_min : Outcome
        Over the last whole turn, or what there is of it.
    turns : UFloat
        Along the path, since the wheel was found.
    mean_per_min : Outcome
        Turns over the time in which the wheel was followed.
    ratio : Outcome
    """

    time_s: float
    cadence_per_min: Outcome
    turns: UFloat
    mean_per_min: Outcome
    ratio: Outcome


class Reckoner(Protocol):
    """Measures pictures, now or meanwhile."""

    def begin(self, frames: ClipFrames, settings: ClipSettings) -> None:
        """Take up pictures to measure; only called when idle."""

    def outcome(self, wait_s: float = 0.0) -> ClipReading | None:
        """What came out of the pictures taken up last, once, when it is there."""

    @property
    def idle(self) -> bool:
        """Whether nothing is taken up."""


class AtOnce:
    """Measures while the pictures wait."""

    def __init__(self) -> None:
        self._reading: ClipReading | None = None

    def begin(self, frames: ClipFrames, settings: ClipSettings) -> None:
        """Measure."""
        self._reading = measure_frames(frames, settings)

    def outcome(self, wait_s: float = 0.0) -> ClipReading | None:
        """Give what was measured, once."""
        reading, self._reading = self._reading, None
        return reading

    @property
    def idle(self) -> bool:
        """Whether nothing waits to be taken."""
        return self._reading is None


class LiveWheel:
    """Follows a wheel in pictures that keep coming.

    Parameters
    ----------
    settings : ClipSettings
        Clicks in the first picture, in its own pixels.
    reckoner : Reckoner
        Who measures the ratio.
    """

    def __init__(self, settings: ClipSettings, reckoner: Reckoner) -> None:
        self._settings = settings
        self._reckoner = reckoner
        self._kept: deque[Snapshot] = deque(maxlen=MOST_PICTURES)
        self._plane: TurningPlane | None = None
        self._count = TurningCount(LEAST_STD_RAD)
        self._lost = 0
        self._searched_s = -SEARCH_AGAIN_S
        self._ratio: Outcome = RATIO_NOT_YET
        self._ratio_asked_s = -RATIO_AGAIN_S

    def add(self, picture: Snapshot) -> None:
        """Take in one picture."""
        self._kept.append(picture)
        while self._kept[-1].time_s - self._kept[0].time_s > KEPT_S:
            self._kept.popleft()

    @property
    def pictures_kept(self) -> int:
        """How many pictures are held."""
        return len(self._kept)

    def look(self) -> LiveReading:
        """Say what is known now."""
        if len(self._kept) < 2:
            return self._reading(NOT_YET)
        if self._plane is None:
            self._find()
        followed = self._plane is not None and self._follow()
        self._take_ratio()
        self._ask_for_ratio()
        if followed:
            return self._reading(self._count.cadence_per_min())
        return self._reading(RESTS if self._plane is not None else NOT_YET)

    def so_far(self) -> LiveReading:
        """Say what is known without looking for a wheel, as for a person who wants to stop."""
        if self._plane is not None:
            self._follow()
        self._take_ratio()
        return self._reading(self._count.cadence_per_min())

    def finish(self, wait_s: float) -> LiveReading:
        """Say what is known at the end, with the ratio if it comes in time."""
        self.look()
        if isinstance(self._ratio, NotMeasured) and self._plane is not None and self._reckoner.idle:
            self._reckoner.begin(_frames(list(self._kept)), self._settings)
        self._take_ratio(wait_s)
        return self._reading(self._count.cadence_per_min())

    def _reading(self, cadence_per_min: Outcome) -> LiveReading:
        now_s = self._kept[-1].time_s if self._kept else 0.0
        return LiveReading(
            now_s, cadence_per_min, self._count.turns(), self._count.mean_per_min(), self._ratio
        )

    def _last(self, seconds: float) -> list[Snapshot]:
        return [each for each in self._kept if each.time_s >= self._kept[-1].time_s - seconds]

    def _find(self) -> None:
        """Find the wheel as in a clip, when enough is seen for that."""
        pictures = self._last(SEARCH_S)
        now_s = pictures[-1].time_s
        if now_s - pictures[0].time_s < 0.8 * SEARCH_S or now_s - self._searched_s < SEARCH_AGAIN_S:
            return
        if not something_moves(pictures):
            return
        self._searched_s = now_s
        only_wheel = ClipSettings(hub_px=self._settings.hub_px, with_flyer=False)
        wheel = measure_frames(_frames(pictures), only_wheel).wheel
        if isinstance(wheel, WheelTurning):
            outline_px = (wheel.outline_px + 0.5) / pictures[0].shrink - 0.5
            self._plane = plane_within(outline_px)
            self._count.doubt(2 * np.pi * float(wheel.turns.s))
            self._lost = 0

    def _follow(self) -> bool:
        """Read the angle in the last seconds, and add what is new of it."""
        assert self._plane is not None
        # The first time all that is kept is read, so that no turn is left out.
        pictures = self._last(FOLLOW_S if self._count.begun else KEPT_S)
        times_s = np.array([each.time_s for each in pictures])
        if len(pictures) < 10:
            return False
        cutout = cut_out(np.stack([each.gray for each in pictures]), self._plane)
        course = follow_wheel(levelled(angular_harmonics(cutout, self._plane, RADII, HARMONICS)), times_s)
        if course.coherence < max(LEAST_COHERENCE, 12 / len(pictures)):
            self._lost += 1
            if self._lost >= PATIENCE:
                self._plane = None
            return False
        self._lost = 0
        self._count.add(times_s, course.angles_rad, scatter_about_course(times_s, course.angles_rad))
        return True

    def _ask_for_ratio(self) -> None:
        now_s = self._kept[-1].time_s
        if (
            self._reckoner.idle
            and self._plane is not None
            and self._count.turns_since(self._kept[0].time_s) >= RATIO_TURNS
            and now_s - self._ratio_asked_s >= RATIO_AGAIN_S
        ):
            self._ratio_asked_s = now_s
            self._reckoner.begin(_frames(list(self._kept)), self._settings)

    def _take_ratio(self, wait_s: float = 0.0) -> None:
        """Keep the sharpest ratio; the slip in it may vary, the wheel's own does not."""
        reading = self._reckoner.outcome(wait_s)
        if reading is None or isinstance(reading.flyer, NotMeasured):
            return
        ratio = reading.flyer.ratio
        known = not isinstance(self._ratio, NotMeasured)
        if isinstance(ratio, NotMeasured):
            self._ratio = self._ratio if known else ratio
        elif isinstance(self._ratio, NotMeasured) or ratio.s < self._ratio.s:
            self._ratio = ratio


def something_moves(pictures: list[Snapshot]) -> bool:
    """Whether anything but noise and the light changes between a few of the last pictures."""
    few = [each.gray.astype(np.float32) for each in pictures[:: max(1, len(pictures) // 8)]]
    for before, after in pairwise(few):
        change = np.abs(cv2.blur(after - before, (5, 5)))
        if np.percentile(change, 99) > MOVES * max(float(np.median(change)), 0.2):
            return True
    return False


def _frames(pictures: list[Snapshot]) -> ClipFrames:
    """Put pictures together as those of a clip, their times to the microsecond."""
    times = [Fraction(round(each.time_s * 1_000_000), 1_000_000) for each in pictures]
    gap_s = float(np.median(np.diff([each.time_s for each in pictures])))
    return ClipFrames(
        file="live",
        gray=np.stack([each.gray for each in pictures]),
        times=tuple(time - times[0] for time in times),
        shrink=pictures[0].shrink,
        stored_s=float(times[-1] - times[0]),
        lost_frames=0,
        frame_rate=FrameRate(1 / max(gap_s, 1e-3), "the clock while watching"),
    )


def plane_within(outline_px: Floats) -> TurningPlane:
    """Give the plane whose circle has this outline (k, 2), its points evenly round.

    Examples
    --------
    >>> tilted = TurningPlane((40.0, 30.0), 20.0, (0.1, 0.05))
    >>> found = plane_within(tilted.outline_px())
    >>> round(found.radius_px, 6), [round(float(e), 6) for e in found.squeeze]
    (20.0, [0.1, 0.05])
    """
    centre = outline_px.mean(axis=0)
    away = (outline_px - centre) * (1, -1)
    # Points evenly round a circle of radius r have the variance r^2 / 2 along either direction.
    variances, directions = np.linalg.eigh(away.T @ away / len(away))
    short, long = np.sqrt(2 * variances)
    along = np.arctan2(directions[1, 0], directions[0, 0])
    share = 1 - short / long
    squeeze = (float(share * np.cos(2 * along)), float(share * np.sin(2 * along)))
    return TurningPlane((float(centre[0]), float(centre[1])), float(long), squeeze)
