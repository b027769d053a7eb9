"""Middle lines of cords, in a strip and in the picture."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points

Numbers = NDArray[np.float64]


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
    doubts_px : tuple of float
        How far each line may lie across from where it is, one deviation; empty where it was not reckoned.
    """

    ends_px: Numbers
    bow_px: float
    half_px: float
    doubts_px: tuple[float, ...] = ()

    def at(self, share: Numbers) -> Numbers:
        """Offsets (cords, n) at shares (n,) of the strip's length."""
        return places([self], share)[:, 0]

    def slopes(self, motions: Numbers, share: Numbers) -> Numbers:
        """How something grows with all ends, the bow and the thickness' logarithm, (groups * n, unknowns).

        ``motions`` (cords + 1, groups, n) is how it grows in each group with the middle of each line there,
        and then with the thickness' logarithm; ``share`` (groups,) where along the strip each group lies.
        """
        *moved, thicker = motions
        share = share[:, None]
        by_ends = [moves * part for moves in moved for part in (1 - share, share)]
        bowed = np.sum(moved, axis=0) * 4 * share * (1 - share)
        return np.stack([*by_ends, bowed, thicker], axis=-1).reshape(-1, len(by_ends) + 2)


def places(ways: Sequence[CordLines], share: Numbers) -> Numbers:
    """Offsets (cords, ways, n) of several ways to draw the same cords, at shares (n,) of the length."""
    ends = np.stack([lines.ends_px for lines in ways], axis=1)
    bows = np.array([[lines.bow_px] for lines in ways])
    start, end = ends[..., :1], ends[..., 1:]
    return np.asarray(start + (end - start) * share + bows * 4 * share * (1 - share))


@dataclass(frozen=True, slots=True)
class CordLine:
    """Points (n, 2) on a cord's centre line, and their scatter about the straight line through them.

    ``seen`` is the share of the run along which there is a cord rather than background alone; ``doubt_px``
    tells how far the whole line may lie across from where it is, where part of the cord looks like the wall
    or something else stands before it; ``thickness_px`` how thick it seems.
    """

    points_px: Points
    scatter_px: float
    seen: float
    doubt_px: float = 0.0
    thickness_px: float = 0.0
