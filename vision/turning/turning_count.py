"""Turns counted block by block, in memory that does not grow."""

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, ufloat

from ..measured import NotMeasured, Outcome

Floats = NDArray[np.float64]

#: Angles of so many seconds are remembered: the slowest turn that has a cadence takes no longer.
REMEMBERED_S = 20.0
#: The way is counted in steps of so many seconds, lest noise counts as turning.
STEP_S = 0.15
#: Of a whole turn at least this share is needed for a cadence.
LEAST_TURN = 0.25
TOO_LITTLE = NotMeasured("The wheel has hardly turned yet.", "Keep turning it.")


class TurningCount:
    """Adds up the angle of a wheel that is read in overlapping blocks.

    Parameters
    ----------
    least_std_rad : float
        No angle is taken to be known better.
    """

    def __init__(self, least_std_rad: float) -> None:
        self._times_s: Floats = np.empty(0)
        self._angles_rad: Floats = np.empty(0)
        self._std_rad = self._end_std_rad = least_std_rad
        self._least_std_rad = least_std_rad
        self._way_rad = 0.0
        self._followed_s = 0.0
        self._counted_to: tuple[float, float] | None = None

    def doubt(self, end_std_rad: float) -> None:
        """Say how well the angle between any two moments is known (standard uncertainty, rad)."""
        self._end_std_rad = max(end_std_rad, self._least_std_rad)

    def add(self, times_s: Floats, angles_rad: Floats, std_rad: float) -> None:
        """Take in a block (n,) of angles; those of moments known already join it to what was there."""
        self._std_rad = max(std_rad, self._least_std_rad)
        known = np.isin(times_s, self._times_s)
        if known.any():
            before = self._angles_rad[np.isin(self._times_s, times_s)]
            angles_rad = angles_rad + float(np.median(before - angles_rad[known]))
        else:
            # Whatever was turned unseen is not counted.
            angles_rad = angles_rad + (self._angles_rad[-1] if len(self._angles_rad) else 0.0)
            self._counted_to = None
        new = times_s > (self._times_s[-1] if len(self._times_s) else -np.inf)
        self._count(times_s[new], angles_rad[new])
        self._times_s = np.concatenate([self._times_s, times_s[new]])
        self._angles_rad = np.concatenate([self._angles_rad, angles_rad[new]])
        remembered = self._times_s >= times_s[-1] - REMEMBERED_S
        self._times_s, self._angles_rad = self._times_s[remembered], self._angles_rad[remembered]

    def _count(self, times_s: Floats, angles_rad: Floats) -> None:
        for at_s, angle in zip(times_s.tolist(), angles_rad.tolist(), strict=True):
            if self._counted_to is None:
                self._counted_to = (at_s, angle)
            since_s, since_rad = self._counted_to
            if at_s - since_s < STEP_S:
                continue
            if abs(angle - since_rad) > 3 * self._std_rad:
                self._way_rad += abs(angle - since_rad)
            self._followed_s += at_s - since_s
            self._counted_to = (at_s, angle)

    def turns(self) -> UFloat:
        """Turns along the path so far."""
        way_rad, _ = self._way_and_time()
        return ufloat(way_rad / (2 * np.pi), self._end_std_rad / (2 * np.pi))

    def _way_and_time(self) -> tuple[float, float]:
        """Way and time so far, the part of a step that is under way included."""
        if self._counted_to is None:
            return self._way_rad, self._followed_s
        since_s, since_rad = self._counted_to
        return (
            self._way_rad + abs(float(self._angles_rad[-1]) - since_rad),
            self._followed_s + float(self._times_s[-1]) - since_s,
        )

    def turns_since(self, time_s: float) -> float:
        """Net turns since a moment, as far as it is remembered."""
        some = self._angles_rad[self._times_s >= time_s]
        return float(abs(some[-1] - some[0]) / (2 * np.pi)) if len(some) else 0.0

    def mean_per_min(self) -> Outcome:
        """Turns a minute over all the time in which the wheel was followed."""
        way_rad, followed_s = self._way_and_time()
        return 60 * self.turns() / followed_s if way_rad > 2 * np.pi * LEAST_TURN else TOO_LITTLE

    @property
    def begun(self) -> bool:
        """Whether any angle was taken in."""
        return len(self._times_s) > 0

    def cadence_per_min(self) -> Outcome:
        """Turns a minute over the last whole turn, or over what there is where there is less than one.

        After a whole turn the wheel looks as it did, so a misplaced axle drops out.
        """
        if len(self._times_s) < 2:
            return TOO_LITTLE
        back = np.abs(self._angles_rad[-1] - self._angles_rad)
        far = np.flatnonzero(back >= 2 * np.pi)
        if len(far):
            i = int(far[-1])
            share = (back[i] - 2 * np.pi) / (back[i] - back[i + 1])
            since_s = self._times_s[i] + share * (self._times_s[i + 1] - self._times_s[i])
            turned = ufloat(1.0, np.sqrt(2) * self._std_rad / (2 * np.pi))
        else:
            first = int(np.argmax(back))
            since_s = self._times_s[first]
            turned = ufloat(back[first] / (2 * np.pi), self._end_std_rad / (2 * np.pi))
        if turned.n < LEAST_TURN:
            return TOO_LITTLE
        return 60 * turned / float(self._times_s[-1] - since_s)
