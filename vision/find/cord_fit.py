"""One cord, or two of one band, fitted to the whole strip at once: the middle lines and the thickness.

A profile alone cannot tell a cord's middle where half of it looks like the wall. What it lacks the others
have: a cord is straight, as thick at one end as at the other, lit alike all along, and of one colour from
edge to edge, however the light falls on it. Two cords of one band are of one colour, and the nearer one hides
part of the other.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.special import erf

from .cord_profile import CHANNEL_BLURS_PX, NOISE_FLOOR

Numbers = NDArray[np.float64]

#: A cord bends a little in the picture where the lens distorts.
BOW_DOUBT_PX: Final = 0.2
#: Beside the outermost cord so many half thicknesses and pixels of background are looked at.
BESIDE_HALVES, BESIDE_PX = 1.0, 4.0
#: The most that one profile may say against a place, as a share of what it leaves unexplained at best.
MOST_MISFIT: Final = 4.0
#: How much a deviation of thickness and bow weighs beside the profiles, whose pixels err together.
PRIOR_WEIGHT: Final = 0.3
#: How strongly the light on a cord is held to be alike all along, against its scatter from group to group,
#: and the least scatter that is reckoned with, in grey values.
ALIKE, LEAST_UNLIKE = 5.0, 1.0
#: First as the profiles say one by one, then with the cord lit alike all along.
ROUNDS: Final = 2
#: Steps of the first search: at the ends, of the bow and of the logarithm of the thickness.
END_STEP_PX, BOW_STEP_PX, LOG_HALF_STEP = 0.6, 0.4, 0.15
MOST_TRIALS_A_CORD: Final = 400
#: Rough shifts of a line, in half thicknesses, and thicknesses, in deviations: the best is started from.
ROUGH_SHIFTS, ROUGH_THICKNESSES = (-0.7, -0.35, 0.0, 0.35, 0.7), (-1.0, 0.0, 1.0)
#: A line shifted so that the profiles say no more than this against it may as well be the middle: two
#: deviations.
AS_WELL, SHIFT_REACH, SHIFT_STEPS = 4.0, 1.5, 30
#: Two cords are sought at so many steps to either side of where one fits best; a step in half thicknesses.
PAIR_STEPS, PAIR_STEP_HALVES = 6, 0.6
#: The likeliest so many rough pairs are fitted; their ends differ by more than a step.
PAIRS_KEPT: Final = 4
#: Where a single profile puts the cord is looked for so far to either side, in such steps.
WANDER_PX, WANDER_STEP_PX = 1.5, 0.1


@dataclass(frozen=True, slots=True)
class CordLines:
    """Middle lines of the cords, the nearest to the camera first.

    Attributes
    ----------
    ends_px : (cords, 2) array
        Offsets across the strip at its start and end.
    bow_px : float
        How far the middles of all lines lie off the straight line between their ends.
    half_px : float
        Half the thickness.
    """

    ends_px: Numbers
    bow_px: float
    half_px: float

    def at(self, share: Numbers) -> Numbers:
        """Offsets (cords, n) at shares (n,) of the strip's length."""
        start, end = self.ends_px[:, :1], self.ends_px[:, 1:]
        return np.asarray(start + (end - start) * share + self.bow_px * 4 * share * (1 - share))


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

    def fitted(self, start: CordLines) -> CordLines:
        """The lines nearby that explain the strip best."""
        lines, alike = start, None
        for _ in range(ROUNDS):
            seen = _Window(self._profiles, self._across_px, lines.at(self.shares), self._usual_half_px)
            seen.settle(lines, self.shares, alike)
            lines = self._searched(seen, lines)
            alike = seen.light(lines, self.shares, seen.noise)
        return lines

    def _searched(self, seen: "_Window", start: CordLines) -> CordLines:
        cords = len(start.ends_px)

        def lines(vector: Numbers) -> CordLines:
            ends = vector[: 2 * cords].reshape(cords, 2)
            return CordLines(ends, float(vector[-2]), self._usual_half_px * float(np.exp(vector[-1])))

        def misfit(vector: Numbers) -> float:
            tried = lines(vector)
            said = np.minimum(seen.misfits(tried, self.shares), MOST_MISFIT)
            return float(said.sum()) + PRIOR_WEIGHT * self._unlikely(tried)

        log_half = np.log(start.half_px / self._usual_half_px)
        first = np.array([*start.ends_px.ravel(), start.bow_px, log_half])
        steps = np.diag([*(END_STEP_PX,) * (2 * cords), BOW_STEP_PX, LOG_HALF_STEP])
        found = minimize(
            misfit,
            first,
            method="Nelder-Mead",
            options={
                "initial_simplex": np.vstack([first, first + steps]),
                "xatol": 0.01,
                "fatol": 0.002,
                "maxfev": MOST_TRIALS_A_CORD * cords,
            },
        )
        return lines(found.x)

    def roughly(self, ridge: CordLines) -> CordLines:
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
        """Deviation of a shift of all lines together, from how far the profiles don't speak against one."""
        shifts = SHIFT_REACH * lines.half_px * np.linspace(-1.0, 1.0, 2 * SHIFT_STEPS + 1)
        ways = [CordLines(lines.ends_px + shift, lines.bow_px, lines.half_px) for shift in shifts]
        said = self._said(ways).sum(axis=1)
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
        seen = _Window(self._profiles, self._across_px, middles, self._usual_half_px, alone=not roughly)
        rests = np.array([seen.rests(lines, self.shares) for lines in ways])
        noise = rests.min(axis=0) + seen.grain
        if not roughly:
            rests = np.array(
                [seen.rests(lines, self.shares, seen.light(lines, self.shares, noise)) for lines in ways]
            )
        said = (rests / noise).sum(axis=2)
        return np.asarray(np.minimum(said - said.min(axis=0), MOST_MISFIT))

    def _unlikely(self, lines: CordLines) -> float:
        log_half = float(np.log(lines.half_px / self._usual_half_px))
        return (log_half / self._doubt) ** 2 + (lines.bow_px / BOW_DOUBT_PX) ** 2

    def wander_px(self, lines: CordLines, cord: int) -> Numbers:
        """How far off its line each profile (groups,) would put one cord, the other staying where it is."""
        seen = _Window(self._profiles, self._across_px, lines.at(self.shares), self._usual_half_px)
        seen.settle(lines, self.shares, None)
        steps = np.arange(-WANDER_PX, WANDER_PX + WANDER_STEP_PX / 2, WANDER_STEP_PX)
        misfits = []
        for step in steps:
            ends = lines.ends_px.copy()
            ends[cord] += step
            misfits.append(seen.misfits(CordLines(ends, lines.bow_px, lines.half_px), self.shares))
        return np.asarray(steps[np.argmin(misfits, axis=0)])


@dataclass(frozen=True, slots=True)
class _Alike:
    """Light (cords * 3,) on the cords as it is all along, and how firmly each group is held to it."""

    light: Numbers
    firmness: Numbers


class _Window:
    """The part of the profiles near the cords, with what is unexplained there at best.

    ``alone`` tells that each cord has a light of its own.
    """

    def __init__(
        self,
        profiles: Numbers,
        across_px: Numbers,
        middles_px: Numbers,
        half_px: float,
        *,
        alone: bool = True,
    ) -> None:
        beside = (1 + BESIDE_HALVES) * half_px + BESIDE_PX
        low, high = middles_px.min(axis=0)[:, None] - beside, middles_px.max(axis=0)[:, None] + beside
        # (groups, columns), 0 outside the window; columns that no group needs are left out.
        inside = ((across_px >= low) & (across_px <= high)).astype(float)
        used = inside.any(axis=0)
        self._inside, self._x = inside[:, used], across_px[used]
        self._columns = np.maximum(self._inside.sum(axis=1), 1.0)
        self._seen = profiles[:, used] * self._inside[..., None]
        self._alone = alone
        #: Squares (groups, 2) that are noise, whatever is seen.
        self.grain = NOISE_FLOOR * self._columns[:, None] * [1.0, 2.0]
        self.noise: Numbers = self.grain
        self._least: Numbers = np.zeros(len(profiles))
        self._alike: _Alike | None = None

    def settle(self, lines: CordLines, shares: Numbers, alike: _Alike | None) -> None:
        """Take what these lines leave unexplained as the measure for all others."""
        self._alike = alike
        rest = self.rests(lines, shares, alike)
        self.noise = rest + self.grain
        self._least = (rest / self.noise).sum(axis=1) - 1.0

    def misfits(self, lines: CordLines, shares: Numbers) -> Numbers:
        """What the lines leave unexplained in each group (groups,), as a share of what is usual there."""
        return np.asarray((self.rests(lines, shares, self._alike) / self.noise).sum(axis=1) - self._least)

    def light(self, lines: CordLines, shares: Numbers, noise: Numbers) -> _Alike:
        """The light on the cords that most groups agree on; a group with more noise says less about it."""
        found = _solved(self._lightness(lines, shares), self._seen[..., 0], None)[0][:, 2:]
        middle = np.median(found, axis=0)
        unlike = np.maximum(1.4826 * np.median(np.abs(found - middle), axis=0), LEAST_UNLIKE)
        return _Alike(middle, (noise[:, 0] / self._columns)[:, None] * ALIKE / unlike**2)

    def rests(self, lines: CordLines, shares: Numbers, alike: _Alike | None = None) -> Numbers:
        """Squares (groups, 2) that lightness and chroma leave unexplained."""
        lightness = _solved(self._lightness(lines, shares), self._seen[..., 0], alike)[1]
        chroma = _solved(self._chroma(lines, shares), self._seen[..., 1:], None)[1]
        return np.stack([lightness, chroma], axis=1)

    def _lightness(self, lines: CordLines, shares: Numbers) -> Numbers:
        """Columns (groups, columns, k): background, and on each cord a light curved across it."""
        covered = self._covered(lines, shares, CHANNEL_BLURS_PX[0])
        lights = [[seen, seen * u, seen * u**2] for seen, u in covered]
        own = [light for cord in lights for light in cord]
        both = [np.sum(each, axis=0) for each in zip(*lights, strict=True)]
        return np.stack([*self._background(), *(own if self._alone else both)], axis=-1)

    def _chroma(self, lines: CordLines, shares: Numbers) -> Numbers:
        """Columns (groups, columns, 3): background, and the one colour of all cords."""
        covered = [seen for seen, _ in self._covered(lines, shares, CHANNEL_BLURS_PX[1])]
        return np.stack([*self._background(), np.sum(covered, axis=0)], axis=-1)

    def _background(self) -> tuple[Numbers, Numbers]:
        return self._inside, self._inside * self._x / 10.0

    def _covered(
        self, lines: CordLines, shares: Numbers, blur_px: float
    ) -> Sequence[tuple[Numbers, Numbers]]:
        """How far each cord is seen in each place (groups, columns), and where across it that is."""
        covered = []
        free = self._inside
        for middles_px in lines.at(shares):
            u = self._x[None] - middles_px[:, None]
            spread = np.sqrt(2) * blur_px
            inside = 0.5 * (erf((u + lines.half_px) / spread) - erf((u - lines.half_px) / spread))
            covered.append((inside * free, np.clip(u / lines.half_px, -1.5, 1.5)))
            free = free * (1 - inside)
        return covered


def _solved(design: Numbers, seen: Numbers, alike: _Alike | None) -> tuple[Numbers, Numbers]:
    """Coefficients (groups, k) and squares left (groups,); the first two belong to the background.

    ``seen`` is (groups, columns), or (groups, columns, channels) for channels with coefficients of their own,
    whose squares are summed; then the coefficients are (groups, k, channels).
    """
    across, channels = design.transpose(0, 2, 1), seen if seen.ndim == 3 else seen[..., None]
    right = across @ channels
    # Products by matmul: einsum's own loops take twice as long.
    normal = across @ design
    count = normal.shape[-1]
    # A cord that another one hides altogether has any light.
    normal[:, np.arange(count), np.arange(count)] += 1e-6
    if alike is not None:
        normal[:, np.arange(2, count), np.arange(2, count)] += alike.firmness
        right[:, 2:, 0] += alike.firmness * alike.light
    found = np.linalg.solve(normal, right)
    rest = ((channels - design @ found) ** 2).sum(axis=(1, 2))
    if seen.ndim == 2:
        found = found[..., 0]
    if alike is not None:
        rest = rest + (alike.firmness * (found[:, 2:] - alike.light) ** 2).sum(axis=1)
    return np.asarray(found, dtype=np.float64), np.asarray(rest, dtype=np.float64)
