"""Whether a thing turns at a ratio or at half of it: two like arms look the same after half a turn.

Two witnesses. Anything unlike between the arms (a tape, a hook, the light) shows at the half ratio, wherever
in the picture. (It shows at three times that too, but less, and there an even frame rate may have put an
overtone of what turns twice as fast.) And what winds round the axis tells the number of arms, if the changing
part of the picture lies all round that axis.
"""

import numpy as np
from numpy.typing import NDArray

from .polar import Cutout, TurningPlane

Floats = NDArray[np.float64]

#: Neighbouring orders, in turns over the clip, that show what chance gives there.
NEIGHBOURS = (-9.3, -7.6, -6.4, -5.2, -4.3, -3.4, 3.4, 4.3, 5.2, 6.4, 7.6, 9.3)
#: Evidence is this many times the highest of the neighbours.
CLEAR = 1.6
#: Sectors round the axis, and how many must change for the winding to be trusted.
SECTORS, ENOUGH_SECTORS = 12, 8
#: A sector changes if it does so by this share of the median sector that changes most.
CHANGES = 0.25


def half_turns_differ(cutout: Cutout, phase_rad: Floats) -> bool:
    """Whether what turns with a phase also shows at half that phase."""
    way = np.linspace(0, 2 * np.pi, len(phase_rad))
    apart = np.array([0.0, *NEIGHBOURS])[:, None] * way
    # One product for all: it reads the pixels once.
    own, *neighbours = _powers(cutout, phase_rad / 2 + apart)
    return bool(own > CLEAR * max(neighbours))


def _powers(cutout: Cutout, phases_rad: Floats) -> Floats:
    """(m,) power of all pixels together at each of (m, n) phases."""
    waves = np.concatenate([np.cos(phases_rad), np.sin(phases_rad)])
    if cutout.taken_out is not None:
        # Out of the waves instead of out of every pixel: the products are the same.
        waves = waves - (waves @ cutout.taken_out) @ cutout.taken_out.T
    along = cutout.pixels @ waves.T.astype(np.float32)
    squares = np.einsum("pm,pm->m", along, along, dtype=np.float64)
    return np.asarray(squares.reshape(2, -1).sum(axis=0), dtype=np.float64)


def surrounds_axis(cutout: Cutout, plane: TurningPlane, radii: Floats) -> bool:
    """Whether the picture changes all round an axis, or nearly."""
    turn = np.linspace(0, 2 * np.pi, 6 * SECTORS, endpoint=False)
    spread = cutout.sample(plane.points_px(radii[:, None], turn[None, :])).std(axis=2).mean(axis=0)
    sectors = np.sort(spread.reshape(SECTORS, -1).mean(axis=1))
    return bool(np.sum(sectors > CHANGES * sectors[-SECTORS // 4]) >= ENOUGH_SECTORS)
