"""The picture along one run, straightened, with the cords in it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from .cord_breadth import broad_as
from .cord_fit import CordStrip
from .cord_lines import CordLine, CordLines
from .cord_profile import share_with_cord
from .cord_ridges import straight_ridges, usual_half_px
from .edges import Pixels
from .runs import BandRun
from .strip import ACROSS_STEP_PX, STATIONS, profiles, straightened

#: How far across the strip reaches, as a share of the rim's radius; for two cords that are known to be thick,
#: so many thicknesses. A lone cord is not looked for so far off: other edges are as clear there.
STRIP_REACH, TWO_REACH = 0.035, 3.5
#: Doubt of the cord's thickness in the picture: known to the spinner, or only as cords usually are.
KNOWN_THICKNESS_DOUBT, USUAL_THICKNESS_DOUBT = 0.07, 0.28
#: So much beside another cord is painted over with it.
COVER_PX = 1.5
#: Both runs of a band are of one cord: this much its thickness may differ from one to the other.
UNLIKE_THICKNESS = 0.07
#: A run hides here and there behind a spoke or a hand. Where it hides along more than a tenth, what stands
#: before it pulls the line, by as much of half the cord's thickness.
USUALLY_SEEN = 0.9


@dataclass(frozen=True)
class Strip:
    """The picture along one run, straightened, and what is known of the cord before looking.

    Attributes
    ----------
    pixels : (stations, columns, 3) array
    across_px : (columns,) array
        Distance of each column across the run.
    stations_px, normal : (stations, 2) and (2,) array
        Where the stations lie in the picture, and the direction across.
    usual_half_px : float
        Half a cord's usual thickness.
    thickness_px : tuple of float
        The thickness that is expected, and its relative doubt.
    found : CordLines, optional
        The lone cord that explains it best, where that was found before.
    """

    pixels: Pixels
    across_px: NDArray[np.float64]
    stations_px: Points
    normal: Points
    usual_half_px: float
    thickness_px: tuple[float, float]
    found: CordLines | None = None

    @classmethod
    def along(cls, lab: Pixels, run: BandRun, rim_radius_px: float, thickness_px: float | None) -> "Strip":
        """The strip along a run; ``thickness_px``: the cord's in the picture, where it is known."""
        return cls._reaching(lab, run, rim_radius_px, thickness_px, max(STRIP_REACH * rim_radius_px, 8.0))

    def for_two(self, lab: Pixels, run: BandRun, rim_radius_px: float, thickness_px: float | None) -> "Strip":
        """The strip along the same run, broad enough for two cords beside each other."""
        reach_px = TWO_REACH * (thickness_px or 0.0)
        if reach_px <= self.across_px[-1] or self.alone is None:
            return self
        return replace(self._reaching(lab, run, rim_radius_px, thickness_px, reach_px), found=self.alone)

    @classmethod
    def _reaching(
        cls, lab: Pixels, run: BandRun, rim_radius_px: float, thickness_px: float | None, reach_px: float
    ) -> "Strip":
        across_px = np.arange(-reach_px, reach_px + ACROSS_STEP_PX / 2, ACROSS_STEP_PX)
        half_px = usual_half_px(rim_radius_px)
        thickness = (2 * half_px, USUAL_THICKNESS_DOUBT)
        if thickness_px is not None:
            thickness = (thickness_px, KNOWN_THICKNESS_DOUBT)
        pixels, stations_px, normal = straightened(lab, run, across_px)
        return cls(pixels, across_px, stations_px, normal, half_px, thickness)

    @property
    def half_px(self) -> float:
        """Half the thickness that is expected."""
        return 0.5 * self.thickness_px[0]

    @cached_property
    def ridges(self) -> list[CordLines]:
        """The one or two clearest straight ridges, as cords of the thickness that is expected."""
        found = straight_ridges(self.pixels, self.across_px, self.usual_half_px)
        return [CordLines(np.array([ends_px]), 0.0, self.half_px) for ends_px in found]

    @cached_property
    def fits(self) -> CordStrip:
        """The strip, ready for cords to be fitted to it."""
        return CordStrip(profiles(self.pixels), self.across_px, self.thickness_px)

    @cached_property
    def alone(self) -> CordLines | None:
        """The one cord that explains the strip best; None if it shows none."""
        if self.found is not None:
            return self.fits.fitted(self.found)
        return self.fits.likeliest(self.ridges[0]) if self.ridges else None

    @cached_property
    def pairs(self) -> list[tuple[float, CordLines]]:
        """Ways to see two cords, each with what it leaves unexplained, the likeliest first."""
        return self.fits.pairs(self.alone) if self.alone is not None else []

    def broad_as(self, both: CordLines) -> bool:
        """Whether what is seen along the run grows broader and narrower as two cords do."""
        return broad_as(profiles(self.pixels), self.across_px, both, self.fits.shares)

    def as_thick_as(self, lines: CordLines) -> CordStrip:
        """The strip for cords that are about as thick as another one."""
        return self.fits.expecting((2 * lines.half_px, UNLIKE_THICKNESS))

    def without(self, others: Sequence[CordLines]) -> "Strip":
        """The strip with other cords painted over by what lies to their left and right."""
        pixels = self.pixels.copy()
        share = np.linspace(0.0, 1.0, STATIONS)
        for cord in others:
            for row, middle in enumerate(cord.at(share)[0]):
                hidden = np.abs(self.across_px - middle) <= cord.half_px + COVER_PX
                if hidden.any() and not hidden.all():
                    for channel in range(3):
                        pixels[row, hidden, channel] = np.interp(
                            self.across_px[hidden],
                            self.across_px[~hidden],
                            self.pixels[row, ~hidden, channel],
                        )
        return replace(self, pixels=pixels)

    def lines(self, lines: CordLines) -> list[CordLine]:
        """The lines in the picture, with how well the profiles agree on each."""
        shift_doubt_px = self.fits.shift_doubt_px(lines)
        return [self._line(lines, k, shift_doubt_px) for k in range(len(lines.ends_px))]

    def _line(self, lines: CordLines, k: int, shift_doubt_px: float) -> CordLine:
        fits = self.fits
        offsets_px = lines.at(fits.shares)[k]
        start, end = self.stations_px[0], self.stations_px[-1]
        places = start + fits.shares[:, None] * (end - start) + offsets_px[:, None] * self.normal
        wander_px = fits.wander_px(lines, k)
        centred = profiles(self.pixels, lines.at(np.linspace(0.0, 1.0, STATIONS))[k])
        seen = share_with_cord(centred, self.across_px, 2 * lines.half_px)
        scatter_px = float(1.4826 * np.median(np.abs(wander_px)))
        # Of two cords one hides part of the other, and the fit knows of it.
        unseen_px = max(USUALLY_SEEN - seen, 0.0) * lines.half_px if len(lines.ends_px) == 1 else 0.0
        doubt_px = float(np.hypot(max(lines.doubts_px[k], shift_doubt_px), unseen_px))
        return CordLine(places, scatter_px, seen, doubt_px, 2 * lines.half_px)
