"""One cord, or two of one band, fitted to the whole strip at once: the middle lines and the thickness.

A profile alone cannot tell a cord's middle where half of it looks like the wall. What it lacks the others
have: a cord is straight, as thick at one end as at the other, lit alike all along, and of one colour from
edge to edge, however the light falls on it. Two cords of one band are of one colour, and the nearer one hides
part of the other.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby
from typing import Final

import numpy as np
from numpy.typing import NDArray

from .cord_lines import CordLines
from .cord_window import MOST_MISFIT, Window
from .descent import descended

Numbers = NDArray[np.float64]

#: A cord bends a little in the picture where the lens distorts.
BOW_DOUBT_PX: Final = 0.2
#: How much a deviation of thickness and bow weighs beside the profiles, whose pixels err together.
PRIOR_WEIGHT: Final = 0.3
#: First as the profiles say one by one, then with the cord lit alike all along.
ROUNDS: Final = 2
#: Usual change of the ends in a step of the fit; how near is near enough.
END_STEP_PX, NEAR_ENOUGH, MOST_TRIALS = 0.6, 1e-4, 25
#: Rough shifts of a line, in half thicknesses, and thicknesses, in deviations: the best is started from.
ROUGH_SHIFTS, ROUGH_THICKNESSES = (-0.7, -0.35, 0.0, 0.35, 0.7), (-1.0, 0.0, 1.0)
#: A line shifted so that the profiles say no more than this against it may as well be the middle: two
#: deviations.
AS_WELL, SHIFT_REACH, SHIFT_STEPS = 4.0, 2.0, 16
#: Misfits are measured in what a whole profile leaves unexplained, and its pixels err together. Held against
#: pictures with known truth, so much of that is a deviation.
GROUP_DEVIATION: Final = 0.6
#: What the curve of the light leaves out.
MODEL_DOUBT_PX: Final = 0.08
#: Two cords are sought at so many steps to either side of where one fits best; a step in half thicknesses.
PAIR_STEPS, PAIR_STEP_HALVES = 6, 0.6
#: The likeliest so many rough pairs are fitted; their ends differ by more than a step.
PAIRS_KEPT: Final = 4
#: Where a single profile puts the cord is looked for so far to either side, in such steps.
WANDER_PX, WANDER_STEP_PX = 1.5, 0.1


class CordStrip:
    """Profiles across a run, and how well lines of cords explain them.

    Parameters
    ----------
    profiles : (groups, columns, 3) array
        Linear lightness and the two chroma channels.
    across_px : (columns,) array
        Distance of each column across the strip.
    thickness_px : tuple of float
        The cord's usual thickness in the picture, and its relative doubt.
    """

    def __init__(self, profiles: Numbers, across_px: Numbers, thickness_px: tuple[float, float]) -> None:
        self._profiles = profiles
        self._across_px = across_px
        self._usual_half_px, self._doubt = 0.5 * thickness_px[0], thickness_px[1]
        self.shares = (np.arange(len(profiles)) + 0.5) / len(profiles)

    def expecting(self, thickness_px: tuple[float, float]) -> "CordStrip":
        """The same profiles, for cords of another thickness."""
        return CordStrip(self._profiles, self._across_px, thickness_px)

    def fitted(self, start: CordLines) -> CordLines:
        """The lines nearby that explain the strip best."""
        lines, alike = start, None
        for _ in range(ROUNDS):
            seen = Window(self._profiles, self._across_px, lines.at(self.shares), self._usual_half_px)
            seen.settle(lines, self.shares, alike)
            lines = self._searched(seen, lines)
            alike = seen.light(seen.drawn([lines], self.shares), seen.noise)
        return lines

    def _searched(self, seen: "Window", start: CordLines) -> CordLines:
        cords = len(start.ends_px)

        def lines(vector: Numbers) -> CordLines:
            bow_px, log_half = vector[2 * cords :].tolist()
            ends_px = vector[: 2 * cords].reshape(cords, 2)
            return CordLines(ends_px, bow_px, self._usual_half_px * float(np.exp(log_half)))

        log_half = float(np.log(start.half_px / self._usual_half_px))
        doubts = np.array([BOW_DOUBT_PX, self._doubt])
        stretch = np.sqrt(PRIOR_WEIGHT) / doubts

        def explained(vector: Numbers) -> tuple[Numbers, Numbers]:
            """All misfits, those of the profiles first, and how they grow."""
            left, grows = seen.residuals(lines(vector), self.shares)
            prior = np.zeros((2, len(vector)))
            prior[:, 2 * cords :] = np.diag(stretch)
            return (
                np.concatenate([left, stretch * vector[2 * cords :]]),
                np.concatenate([grows, prior]),
            )

        vector, slopes = descended(
            explained,
            np.array([*start.ends_px.ravel(), start.bow_px, log_half]),
            np.array([*(END_STEP_PX,) * (2 * cords), *doubts]),
            NEAR_ENOUGH,
            MOST_TRIALS,
        )
        return replace(lines(vector), doubts_px=_doubts_px(slopes, cords))

    def likeliest(self, ridge: CordLines) -> CordLines:
        """The lines near a ridge that explain the strip best."""
        return self.fitted(self._roughly(ridge))

    def _roughly(self, ridge: CordLines) -> CordLines:
        """The best of the parallel lines near a ridge, for some thicknesses: where to start from."""
        ways = []
        for deviations in ROUGH_THICKNESSES:
            half_px = self._usual_half_px * float(np.exp(self._doubt * deviations))
            ways += [
                CordLines(ridge.ends_px + shift * self._usual_half_px, ridge.bow_px, half_px)
                for shift in ROUGH_SHIFTS
            ]
        return ways[int(self.compared(ways).argmin())]

    def shift_doubt_px(self, lines: CordLines) -> float:
        """Deviation of a shift of all lines together, from how far the profiles don't speak against one.

        Where half a cord looks like the wall, another place may explain the strip as well as the best one.
        """
        shifts = SHIFT_REACH * lines.half_px * np.linspace(-1.0, 1.0, 2 * SHIFT_STEPS + 1)
        said = self._said([replace(lines, ends_px=lines.ends_px + shift) for shift in shifts]).sum(axis=1)
        return float(np.abs(shifts[said <= said[SHIFT_STEPS] + AS_WELL]).max() / np.sqrt(AS_WELL))

    def pairs(self, one: CordLines) -> list[tuple[float, CordLines]]:
        """Two cords of one band near where one alone fits best: ways to see them, each with its misfit."""
        fitted = [self.fitted(start) for start in self._rough_pairs(one)]
        misfits = self.compared(fitted).tolist()
        return sorted(zip(misfits, fitted, strict=True), key=lambda way: way[0])

    def _rough_pairs(self, one: CordLines) -> list[CordLines]:
        """Pairs of parallel shifts of one line at either end, the likeliest first."""
        half_px = min(one.half_px, self._usual_half_px)
        steps = np.arange(-PAIR_STEPS, PAIR_STEPS + 1)
        shifts = PAIR_STEP_HALVES * half_px * steps
        front, back = (each.ravel() for each in np.meshgrid(shifts, shifts, indexing="ij"))
        shifted = [
            CordLines(one.ends_px + np.array([[f], [b]]), one.bow_px, half_px)
            for f, b in zip(front, back, strict=True)
        ]
        said = self._said(shifted, roughly=True).reshape(len(steps), len(steps), -1)
        # Every straight way from a pair of places at the start to one at the end.
        ends = np.stack(np.meshgrid(*[np.arange(len(steps))] * 4, indexing="ij")).reshape(4, -1)
        total = np.zeros(ends.shape[1])
        for group, share in enumerate(self.shares):
            front_at = np.rint(ends[0] + (ends[1] - ends[0]) * share).astype(np.intp)
            back_at = np.rint(ends[2] + (ends[3] - ends[2]) * share).astype(np.intp)
            total += said[front_at, back_at, group]
        kept: list[NDArray[np.signedinteger]] = []
        for k in np.argsort(total):
            if all(np.abs(ends[:, k] - other).max() > 1 for other in kept):
                kept.append(ends[:, k])
            if len(kept) == PAIRS_KEPT:
                break
        return [CordLines(one.ends_px + shifts[chosen].reshape(2, 2), one.bow_px, half_px) for chosen in kept]

    def compared(self, ways: Sequence[CordLines]) -> Numbers:
        """What each way to explain the strip leaves unexplained, (ways,), thickness and bow included."""
        unlikely = [self._unlikely(lines) for lines in ways]
        return np.asarray(self._said(ways).sum(axis=1) + PRIOR_WEIGHT * np.array(unlikely))

    def _said(self, ways: Sequence[CordLines], *, roughly: bool = False) -> Numbers:
        """What each group says against each way, (ways, groups), beside the best way for that group.

        A way is a line all along, lit alike all along; ``roughly`` it is only a place in each group, and both
        cords are lit alike there.
        """
        middles = np.concatenate([lines.at(self.shares) for lines in ways])
        seen = Window(self._profiles, self._across_px, middles, self._usual_half_px, alone=not roughly)
        # One cord and two of them leave arrays of unlike size.
        alike = groupby(ways, key=lambda lines: len(lines.ends_px))
        drawn = [seen.drawn(list(same), self.shares) for _, same in alike]
        rests = np.concatenate([seen.rests(each) for each in drawn])
        noise = rests.min(axis=0) + seen.grain
        if not roughly:
            rests = np.concatenate([seen.rests(each, seen.light(each, noise)) for each in drawn])
        said = (rests / noise).sum(axis=2)
        return np.asarray(np.minimum(said - said.min(axis=0), MOST_MISFIT))

    def _unlikely(self, lines: CordLines) -> float:
        log_half = float(np.log(lines.half_px / self._usual_half_px))
        return (log_half / self._doubt) ** 2 + (lines.bow_px / BOW_DOUBT_PX) ** 2

    def wander_px(self, lines: CordLines, cord: int) -> Numbers:
        """How far off its line each profile (groups,) would put one cord, the other staying where it is."""
        seen = Window(self._profiles, self._across_px, lines.at(self.shares), self._usual_half_px)
        seen.settle(lines, self.shares, None)
        steps = np.arange(-WANDER_PX, WANDER_PX + WANDER_STEP_PX / 2, WANDER_STEP_PX)
        moved = np.zeros((len(steps), *lines.ends_px.shape))
        moved[:, cord] = steps[:, None]
        ways = [replace(lines, ends_px=lines.ends_px + each) for each in moved]
        return np.asarray(steps[np.argmin(seen.misfits(ways, self.shares), axis=0)])


def _doubts_px(slopes: Numbers, cords: int) -> tuple[float, ...]:
    """Deviation of each line's place across, from how fast the misfits (n, unknowns) grow."""
    covariance = np.linalg.pinv(slopes.T @ slopes)
    ends = [covariance[2 * k : 2 * k + 2, 2 * k : 2 * k + 2] for k in range(cords)]
    by_profiles = [GROUP_DEVIATION * np.sqrt(max(each.mean(), 0.0)) for each in ends]
    return tuple(float(np.hypot(each, MODEL_DOUBT_PX)) for each in by_profiles)
