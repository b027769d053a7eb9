"""Ratios of a flyer held against each other: which of them stay beside the best one.

Why they are held so is told in `flyer.py`.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .like_arms import surrounds_axis
from .phase import RADII, PhaseCourse, explained_by
from .polar import Cutout

Floats = NDArray[np.float64]

#: A rival below this share of the winner is beaten outright; an alias below the other.
BEATEN, BEATEN_ALIAS = 0.6, 0.45
#: Odd windings tell the half ratio from the whole if they are so much above chance, and this share of all.
ODD_ABOVE_CHANCE, ODD_SHARE = 5.0, 0.04
#: Most bands are not crossed (common practice, no source): turning against the wheel counts by this share.
AGAINST_THE_WHEEL = 0.5
#: Ratios above this are rare (common practice, no source), and twice a true ratio is often above it. A prior:
#: they are held to be so many times less likely, and need so many times more to speak for them.
RARE, RARER_TIMES = 20.0, 3.0
#: Two ratios nearer than this (share) are one.
SAME = 0.01
#: How near (orders) an alias lies to where the frame rate would put it.
ALIAS_REACH = 0.15


@dataclass(frozen=True, slots=True)
class Judge:
    """Holds rivals against the best candidate; ``chance`` is what chance explains (k,)."""

    cutout: Cutout
    best: PhaseCourse
    chance: Floats
    pictures_per_turn: float
    angle_std_rad: float
    unlike: bool
    courses: tuple[PhaseCourse, ...]

    def stays(self, rival: PhaseCourse) -> bool:
        """Whether a rival is not beaten: neither outright, nor in every third of the clip."""
        share = weight(rival) / weight(self.best)
        if same_ratio(rival.ratio, 2 * self.best.ratio):
            if self.unlike or winds_oddly(self.best, self.chance):
                return False
            if share >= BEATEN and self._overtone_leads(self.best, rival):
                return True
        if same_ratio(2 * rival.ratio, self.best.ratio):
            if not surrounds_axis(self.cutout, self.best.plane, RADII):
                return True
            return share >= BEATEN and not self._overtone_leads(rival, self.best)
        if abs(rival.ratio) > RARE >= abs(self.best.ratio):
            share /= RARER_TIMES
        if self._is_alias(rival):
            return share / self._blur(rival) >= BEATEN_ALIAS
        return share >= BEATEN and not all(self._wins(third, rival) for third in self._thirds())

    def _overtone_leads(self, low: PhaseCourse, high: PhaseCourse) -> bool:
        """Whether what two arms at the lower ratio would show as their overtone is more than their own order.

        A thing with two arms shows most at twice its ratio, less at four times: its overtone.
        """
        double = [c.explained[0] for c in self.courses if same_ratio(c.ratio, 2 * high.ratio)]
        own = max(low.explained[1], high.explained[0])
        return bool(max([low.explained[3], high.explained[1], *double]) > own)

    def _blur(self, rival: PhaseCourse) -> float:
        """How much more the wheel angle's uncertainty takes from a rival of higher order (1: no more)."""
        more = max(_strongest_order(rival) ** 2 - _strongest_order(self.best) ** 2, 0.0)
        return float(np.exp(-more * self.angle_std_rad**2))

    def _thirds(self) -> list[slice]:
        ends = np.linspace(0, len(self.best.phase_rad), 4).astype(int)
        return [slice(int(a), int(b)) for a, b in pairwise(ends)]

    def _wins(self, third: slice, rival: PhaseCourse) -> bool:
        best, other = (
            float(explained_by(self.cutout, c.plane, c.phase_rad, third).sum()) for c in (self.best, rival)
        )
        return best > other

    def _is_alias(self, rival: PhaseCourse) -> bool:
        """Whether the strongest orders of both differ by whole multiples of the pictures per turn."""
        one, other = _strongest_order(self.best), _strongest_order(rival)
        for apart in (one - other, one + other):
            folds = round(apart / self.pictures_per_turn)
            if folds != 0 and abs(apart - folds * self.pictures_per_turn) < ALIAS_REACH + SAME * max(
                one, other
            ):
                return True
        return False


def _strongest_order(course: PhaseCourse) -> float:
    """Order in the wheel's angle at which a candidate shows most."""
    return abs(course.ratio) * (1 + float(np.argmax(course.explained)))


def same_ratio(one: float, other: float) -> bool:
    """Whether two ratios are one, either way round."""
    return abs(abs(one / other) - 1) < SAME


def weight(course: PhaseCourse) -> float:
    """How much speaks for a candidate."""
    return float(course.explained.sum()) * (AGAINST_THE_WHEEL if course.ratio < 0 else 1.0)


def winds_oddly(course: PhaseCourse, chance: Floats) -> bool:
    """Whether something winds 1, 3, 5 ... times, beyond chance."""
    odd = float(course.explained[::2].sum())
    return odd > ODD_ABOVE_CHANCE * float(chance[::2].sum()) and odd > ODD_SHARE * float(
        course.explained.sum()
    )
