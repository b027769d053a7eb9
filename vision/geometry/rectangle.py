"""How well four corners make a rectangle of a given shape."""

import numpy as np

from .camera import Points


def shape_misfit(corners: Points, width: float, height: float) -> float:
    """Root mean square distance of corners (4, 2) from the nearest rectangle of the shape, as a share.

    The rectangle may be turned, moved and enlarged freely; the share is that of half its diagonal.

    Parameters
    ----------
    corners : (4, 2) array
        In order round the rectangle, the first side being the one of the given width. Either sense.
    width, height : float

    Notes
    -----
    The least-squares similarity in closed form: in complex numbers z -> a z + b is linear in a and b.
    """
    model = np.array([-1 - 1j, 1 - 1j, 1 + 1j, -1 + 1j])
    model = width * model.real + 1j * height * model.imag
    seen = corners[:, 0] + 1j * corners[:, 1]
    seen = seen - seen.mean()
    fits = [abs(np.vdot(m, seen)) ** 2 / np.vdot(m, m).real for m in (model, model.conj())]
    total = np.vdot(seen, seen).real
    return float(np.sqrt(max(1 - max(fits) / total, 0.0)))
