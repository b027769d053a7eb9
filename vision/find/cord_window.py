"""The part of a strip near its cords, and what lines of cords leave unexplained there."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import erf

from .cord_growth import covers, curved_light_grows, left_as_it_grows
from .cord_light import BACKGROUND, Alike, curved_light, explained_by_light, left_of_colour
from .cord_lines import CordLines, places
from .cord_profile import CHANNEL_BLURS_PX, NOISE_FLOOR

Numbers = NDArray[np.float64]

#: Beside the outermost cord so many half thicknesses and pixels of background are looked at.
BESIDE_HALVES, BESIDE_PX = 1.0, 4.0
#: The most that one profile may say against a place, as a share of what it leaves unexplained at best.
MOST_MISFIT: Final = 4.0
#: How strongly the light on a cord is held to be alike all along, against its scatter from group to group,
#: and the least scatter that is reckoned with, in grey values.
ALIKE, LEAST_UNLIKE = 5.0, 1.0


@dataclass(frozen=True, slots=True)
class Drawn:
    """Ways to draw the cords, as far as that has to do with the picture alone.

    Attributes
    ----------
    lightness : (ways, groups, columns, k) array
        Background, and the light on each cord.
    off_colour : (ways, groups, n) array
        What one colour of all cords leaves unexplained.
    """

    lightness: Numbers
    off_colour: Numbers


class Window:
    """The part of the profiles near the cords, with what is unexplained there at best.

    Several ways to draw the cords are held against it in one go: each is a matter of small arrays.

    Parameters
    ----------
    profiles : (groups, columns, 3) array
        Linear lightness and the two chroma channels.
    across_px : (columns,) array
        Distance of each column across the strip.
    middles_px : (lines, groups) array
        Where cords may be: so far the window reaches.
    half_px : float
        Half a cord's thickness.
    alone : bool
        Whether each cord has a light of its own.
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
        self._alike: Alike | None = None

    def settle(self, lines: CordLines, shares: Numbers, alike: Alike | None) -> None:
        """Take what these lines leave unexplained as the measure for all others."""
        self._alike = alike
        rest = self.rests(self.drawn([lines], shares), alike)[0]
        self.noise = rest + self.grain
        self._least = (rest / self.noise).sum(axis=1) - 1.0

    def misfits(self, ways: Sequence[CordLines], shares: Numbers) -> Numbers:
        """What each way leaves unexplained (ways, groups), as a share of what is usual in each group."""
        rests = self.rests(self.drawn(ways, shares), self._alike)
        return np.asarray((rests / self.noise).sum(axis=-1) - self._least)

    def residuals(self, lines: CordLines, shares: Numbers) -> tuple[Numbers, Numbers]:
        """What one way leaves unexplained, in what is usual, and how that grows with its unknowns.

        In each group it is bounded. The unknowns are start and end of each line, the bow, and the logarithm
        of the thickness.

        Returns
        -------
        tuple of (n,) and (n, unknowns) array
        """
        alike = None if self._alike is None else Alike(self._alike.light[0], self._alike.firmness[0])
        (lightness, light_moves), (chroma, colour_moves) = self._drawn_as_it_grows(lines, shares)
        channels = (
            left_as_it_grows(lightness, light_moves, self._seen[..., :1], alike),
            left_as_it_grows(chroma, colour_moves, self._seen[..., 1:]),
        )
        usual = np.sqrt(self.noise.T[..., None])
        both, grows = (
            np.concatenate([each / by for each, by in zip(part, usual, strict=True)], axis=-1)
            for part in zip(*channels, strict=True)
        )
        bound = 1 + (both**2).sum(axis=-1, keepdims=True) / MOST_MISFIT
        along = (both * grows).sum(axis=-1, keepdims=True) / (MOST_MISFIT * bound)
        bounded = (grows - both * along) / np.sqrt(bound)
        return (both / np.sqrt(bound)).ravel(), lines.slopes(bounded, shares)

    def drawn(self, ways: Sequence[CordLines], shares: Numbers) -> Drawn:
        """The ways, with what light and colour may explain worked out."""
        off_colour = left_of_colour(self._chroma(ways, shares), self._seen[..., 1:])
        return Drawn(self._lightness(ways, shares), off_colour)

    def light(self, drawn: Drawn, noise: Numbers) -> Alike:
        """The light on the cords that most groups agree on; a group with more noise says less about it."""
        found = explained_by_light(drawn.lightness, self._seen[..., 0])[0][..., BACKGROUND:]
        middle = np.median(found, axis=-2, keepdims=True)
        scatter = np.median(np.abs(found - middle), axis=-2, keepdims=True)
        unlike = np.maximum(1.4826 * scatter, LEAST_UNLIKE)
        return Alike(middle, (noise[:, 0] / self._columns)[:, None] * ALIKE / unlike**2)

    def rests(self, drawn: Drawn, alike: Alike | None = None) -> Numbers:
        """Squares (ways, groups, 2) that lightness and chroma leave unexplained."""
        return np.stack([(left**2).sum(axis=-1) for left in self._left(drawn, alike)], axis=-1)

    def _left(self, drawn: Drawn, alike: Alike | None) -> tuple[Numbers, Numbers]:
        _, lightness = explained_by_light(drawn.lightness, self._seen[..., 0], alike)
        return lightness, drawn.off_colour

    def _lightness(self, ways: Sequence[CordLines], shares: Numbers) -> Numbers:
        """Columns (ways, groups, columns, k): background, and on each cord a light curved across it."""
        lights = [
            curved_light(u, covered) for u, _, covered in self._covered(ways, shares, CHANNEL_BLURS_PX[0])
        ]
        if self._alone:
            return self._before_background([light for cord in lights for light in cord])
        return self._before_background([np.sum(each, axis=0) for each in zip(*lights, strict=True)])

    def _chroma(self, ways: Sequence[CordLines], shares: Numbers) -> Numbers:
        """Columns (ways, groups, columns, 3): background, and the one colour of all cords."""
        covered = [seen for _, _, seen in self._covered(ways, shares, CHANNEL_BLURS_PX[1])]
        return self._before_background([np.sum(covered, axis=0)])

    def _drawn_as_it_grows(
        self, lines: CordLines, shares: Numbers
    ) -> tuple[tuple[Numbers, Numbers], tuple[Numbers, Numbers]]:
        """Columns (groups, columns, k) for lightness, how the cords' grow, and likewise for chroma."""
        half_px = lines.half_px
        cords = list(covers(self._x, lines.at(shares), half_px, CHANNEL_BLURS_PX[:2], self._inside))
        lights: list[Numbers] = []
        light_moves: list[Numbers] = []
        colour, colour_moves = [], []
        for k, (u, covered, grows) in enumerate(cords):
            lights += curved_light(u, covered[0])
            light_moves += curved_light_grows(k, u, covered[0], grows[:, 0], half_px)
            colour.append(covered[1])
            colour_moves.append(grows[:, 1])
        return (
            (self._before_background(lights), np.stack(light_moves, axis=-1)),
            (self._before_background([np.sum(colour, axis=0)]), np.sum(colour_moves, axis=0)[..., None]),
        )

    def _before_background(self, cords: Sequence[Numbers]) -> Numbers:
        """Columns (ways, groups, columns, k): an even and a sloping background, then the given ones."""
        columns = np.empty((*cords[0].shape, BACKGROUND + len(cords)))
        columns[..., 0], columns[..., 1] = self._inside, self._inside * self._x / 10.0
        for k, cord in enumerate(cords, start=BACKGROUND):
            columns[..., k] = cord
        return columns

    def _covered(
        self, ways: Sequence[CordLines], shares: Numbers, blur_px: float
    ) -> Iterator[tuple[Numbers, Numbers, Numbers]]:
        """Of each cord places across it, what nearer ones leave free, and what is seen of it.

        All are arrays (ways, groups, columns); the places run from -1 at one edge to 1 at the other.
        """
        free = self._inside
        half_px = np.array([lines.half_px for lines in ways])[:, None, None]
        spread = np.sqrt(2) * blur_px
        for middles_px in places(ways, shares):
            x_px = self._x - middles_px[..., None]
            inside = 0.5 * (erf((x_px + half_px) / spread) - erf((x_px - half_px) / spread))
            yield x_px / half_px, free, inside * free
            free = free * (1 - inside)
