"""Ticks of a rule as lines that are parallel on it, held against a plane in which it lies."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Points
from ..geometry.plane import BandPlane
from ..references.found import TicksSeen

Numbers = NDArray[np.float64]

#: Neighbouring ticks are put together into so many groups: blur, print and lens shift them alike.
GROUPS = 12
#: One end of a group of ticks is off against the other by so much across, by print and grain. In given
#: pictures the ends of a rule were off by a tenth of a pixel where single ticks scattered by 0.06.
ENDS_PX = 0.1
#: A rule's ticks are square to its edge within so much (common practice, no source).
SQUARE_RAD = np.radians(0.3)


@dataclass(frozen=True, slots=True)
class TickLines:
    """Mean ends (k, 2, 2) of groups of ticks in pixels, and their marks (k,) from the rule's middle in mm."""

    ends_px: Points
    from_middle_mm: Numbers
    deviation_px: float

    @classmethod
    def of(cls, ticks: TicksSeen, deviation_px: float) -> "TickLines | None":
        """Groups of those ticks whose ends were seen; None where there are too few."""
        if ticks.ends_px is None:
            return None
        seen = np.flatnonzero(np.isfinite(ticks.ends_px).all(axis=(1, 2)))
        if len(seen) < 2 * GROUPS:
            return None
        groups = np.array_split(seen, GROUPS)
        middle_mm = 0.5 * (ticks.at_mm[0] + ticks.at_mm[-1])
        return cls(
            np.array([ticks.ends_px[group].mean(axis=0) for group in groups]),
            np.array([ticks.at_mm[group].mean() - middle_mm for group in groups]),
            deviation_px,
        )

    def residuals(self, plane: BandPlane, turn: NDArray[np.float64]) -> Numbers:
        """Misfit of the ticks' places along the rule, of their leans, and of how square they stand to it.

        Parameters
        ----------
        plane : BandPlane
            Its origin in the rule's middle.
        turn : (2, 2) array
            Takes places on the rule into the plane, as ``places @ turn``.
        """
        one, other = (plane.plane_from_pixels(ends) @ turn.T for ends in self.ends_px.swapaxes(0, 1))
        px_per_mm = plane.px_per_mm((0.0, 0.0))
        place = 0.5 * (one + other)[:, 0] - self.from_middle_mm
        across, along = (other - one).T[::-1]
        # How far the ticks lean together is free within what rules are; each group's own lean is not.
        lean = along / across
        together = float(lean.mean())
        return np.concatenate(
            [
                place * px_per_mm / self.deviation_px,
                (lean - together) * np.abs(across) * px_per_mm / ENDS_PX,
                [together / SQUARE_RAD],
            ]
        )
